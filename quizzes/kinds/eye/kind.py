"""Estimating by eye, as a kind of sheet."""

from __future__ import annotations

import math
from collections.abc import Mapping

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext_lazy

from quizzes.drawing import builds
from quizzes.drawing.amounts import amount
from quizzes.drawing.dogs import VIEW_LABELS
from quizzes.drawing.sketch import Sketch
from quizzes.grading.items import NONE
from quizzes.kinds.base import Words
from quizzes.kinds.eye import looks
from quizzes.kinds.eye.asked import (
    ASKABLE,
    IN_HEAD,
    MARKS,
    MOST_MARKS,
    Estimate,
    Placed,
)
from quizzes.kinds.eye.together import put_together
from quizzes.kinds.eye.tolerances import points_for, points_for_marks, tolerance
from quizzes.kinds.eye.truth import truth_of
from quizzes.kinds.sheets.kind import SheetKind
from quizzes.kinds.sheets.rows import Sheet

LOWEST, HIGHEST = -100.0, 400.0
"""Between these an estimate is a number at all."""

WORDS = Words(
    new=gettext_lazy("New sheet to estimate by eye"),
    begin=gettext_lazy("Begin estimating"),
    again=gettext_lazy("Estimate them again"),
    go_on=gettext_lazy("Go on estimating"),
    go_on_short=gettext_lazy("Go on estimating"),
    as_left=gettext_lazy("You have begun it; your estimates are as you left them."),
    look=gettext_lazy("Look at the exercise"),
    suggested=gettext_lazy("%(breed)s. Angles and lengths to estimate by eye."),
    whole=gettext_lazy("What is estimated"),
    trial=gettext_lazy("Estimate them yourself, as a trainee would"),
)


class EyeKind(SheetKind):
    """Graded by the distance from what is measured; nothing can be said of guessing."""

    slug = "eye"
    label = gettext_lazy("By eye")
    counted = ngettext_lazy("%(n)s estimate", "%(n)s estimates", "n")
    purpose = gettext_lazy(
        "Angles, lengths and landmarks that trainees estimate on plates or photographs, told by measuring."
    )
    words = WORDS
    asked = Estimate
    known = Placed
    styles = ("css/pictures.css", "css/eye.css")
    scripts = ("js/eye/page.js",)

    @property
    def form(self):
        from quizzes.kinds.eye.forms import EstimateForm

        return EstimateForm

    @property
    def urlpatterns(self):
        from quizzes.kinds.eye.urls import urlpatterns

        return urlpatterns

    def begin_with(self, module):
        """A dog of the module's breed, as it is drawn, with what is estimated still to be said."""
        base, own = builds.of_module(module.module)
        sketch = Sketch(breed=base, build=own, own=own) if base else Sketch()
        return Sheet((Estimate(drawing=sketch.document()),)), {}

    def answer_of(self, row, sent):
        if not row.marks:
            return next(iter(sent("")), "").strip() or None
        put = {
            name: [next(iter(sent(f"{name}-{axis}")), "").strip() for axis in "xy"]
            for name in row.marks
        }
        return {name: pair for name, pair in put.items() if any(pair)} or None

    def check_one(self, row, value):
        if not row.marks:
            return _number(value, LOWEST, HIGHEST)
        if not isinstance(value, Mapping) or not set(value) <= set(row.marks):
            raise ValidationError(_("This is no answer to this sheet."), code="form")
        return {name: _place(pair) for name, pair in value.items()}

    def missing(self, content, shown, answer):
        """A row is answered once all of its landmarks are put."""
        rows, given = self.sheet(content).by_id, answer.get("items", {})
        whole = {pk: value for pk, value in given.items() if _is_whole(rows[pk], value)}
        return super().missing(content, shown, {"items": whole})

    def points(self, row, known, value):
        truth = truth_of(row, known)
        if row.marks:
            return points_for_marks(value, row.marks, truth)
        is_true = truth.value(row.measure)
        if is_true is None:
            return NONE
        within = tolerance(row.measure, truth)
        return points_for(float(value) - is_true, within)

    def grade(self, content, key, answer):
        """With each estimate beside the truth, so that a person's errors can be taken together."""
        from quizzes.kinds.eye.errors import estimates

        graded = super().grade(content, key, answer)
        found = estimates(self, content, key, answer)
        graded.result["estimates"] = found
        return graded

    def said_of(self, row, value):
        if row.marks:
            return ", ".join(str(MARKS[name]) for name in value)
        return amount(float(value), looks.unit_of_row(row))

    def key_said(self, row, known):
        truth = truth_of(row, known)
        if row.marks:
            return "; ".join(
                f"{MARKS[name]} {x:.0f}, {y:.0f}"
                for name in row.marks
                if name in truth.places
                for x, y in [truth.places[name]]
            )
        value = truth.value(row.measure)
        return (
            _("not measured")
            if value is None
            else amount(value, truth.unit(row.measure))
        )

    def named(self, row):
        if row.marks:
            return _("Landmarks")
        one = ASKABLE.get(row.measure)
        return one.label if one else _("something to estimate")

    def lacks(self, row, known):
        truth = truth_of(row, known)
        if not truth.measured and not truth.places:
            return [_("Choose a dog or a photograph.")]
        if bool(row.measure) == bool(row.marks):
            return [_("Say what is estimated: one measurement, or landmarks.")]
        return _lacks_marks(row, truth) if row.marks else _lacks_measure(row, truth)

    def right(self, row, known):
        truth = truth_of(row, known)
        if row.marks:
            return {
                name: [round(part, 1) for part in truth.places[name]]
                for name in row.marks
            }
        return round(truth.value(row.measure), 1)

    def guess(self, row, rng):
        """Near the truth where the dog is drawn, as somebody estimates who has looked."""
        truth = truth_of(row, Placed())
        if row.marks:
            return {
                name: [
                    _off(rng, part, 1.5, 0, 100)
                    for part in truth.places.get(name, (50, 50))
                ]
                for name in row.marks
            }
        value = truth.value(row.measure) or 60.0
        return _off(rng, value, 7.0, LOWEST, HIGHEST)

    def look(self, attempt):
        return looks.of_attempt(self.sheet(attempt.revision.content), attempt)

    def draft_look(self, draft):
        return looks.of_draft(self.sheet(draft.content), draft)

    def ask(self, sheet, row, shown, value):
        return looks.asked_of(row, value)

    def explain(self, sheet, row, known, value):
        from quizzes.kinds.eye.explained import explained

        return explained(row, known, value)

    def tallied(self, value):
        if isinstance(value, Mapping):
            return [f"{name[:12]}@{x:.0f},{y:.0f}" for name, (x, y) in value.items()]
        return [str(value)]

    def result_page(self, request, attempt, grades):
        from quizzes.kinds.eye.result import result_page

        return result_page(request, attempt, grades)

    def put_together(self, row, known, counts):
        return put_together(row, known, counts)

    def room_look(self, revision, at, *, told):
        sheet = self.sheet(revision.content)
        return looks.of_room(sheet, revision.exercise.club_id, at, told=told)

    def room_plate(self, request, sheet, row, place, *, told):
        from quizzes.kinds.eye.plates import plate_of

        return plate_of(request, sheet, row, may_tell=told)


def _number(value, low: float, high: float) -> float:
    """A number as people type it, to a tenth. Raises ValidationError."""
    try:
        found = float(str(value).replace(",", ".").rstrip("°% "))
    except ValueError:
        found = math.nan
    if not low <= found <= high:
        text = _("“%(typed)s” is no number that can be meant here.")
        typed = str(value)[:20].replace("\x00", "")
        raise ValidationError(text, code="number", params={"typed": typed})
    return round(found, 1)


def _place(pair) -> list[float]:
    if not isinstance(pair, list | tuple) or len(pair) != 2:
        raise ValidationError(_("This is no answer to this sheet."), code="form")
    return [_number(part, 0.0, 100.0) for part in pair]


def _is_whole(row, value) -> bool:
    return not row.marks or set(value) == set(row.marks)


def _off(rng, value, spread, low, high) -> float:
    return round(min(max(rng.gauss(value, spread), low), high), 1)


def _lacks_measure(row, truth) -> list[str]:
    one = ASKABLE.get(row.measure)
    if one is None or row.measure not in truth.measured:
        return [
            _("This can't be measured here: a photograph needs the landmarks for it.")
        ]
    seen = row.is_photograph or row.view == one.view
    if not seen and not (row.view == "head" and row.measure in IN_HEAD):
        values = {"what": one.label, "view": str(VIEW_LABELS[one.view]).lower()}
        return [_("Choose the view that shows it. %(what)s: %(view)s.") % values]
    return []


def _lacks_marks(row, truth) -> list[str]:
    lacking = []
    if not truth.has_scale:
        text = _(
            "Place the withers and the ground under both feet on the photograph first."
        )
        lacking.append(text)
    unseen = [str(MARKS[name]) for name in row.marks if name not in truth.places]
    if unseen:
        text = _("These landmarks are not on the picture: %(names)s.")
        lacking.append(text % {"names": ", ".join(unseen)})
    if len(row.marks) > MOST_MARKS:
        text = _("At most %(n)s landmarks on one picture.")
        lacking.append(text % {"n": MOST_MARKS})
    return lacking


KIND = EyeKind()
