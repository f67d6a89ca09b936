"""Dogs to grade: Excellent to Sufficient, disqualified, or not to be judged, and what decides it."""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from dataclasses import asdict, replace

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext, ngettext_lazy

from quizzes.kinds.base import Words
from quizzes.kinds.grade import grades
from quizzes.kinds.grade.forms import GradedDogForm
from quizzes.kinds.grade.grades import FEWEST_FOR_KAPPA, MERIT, Grade
from quizzes.kinds.grade.look import OfDraft, class_of
from quizzes.kinds.grade.rows import (
    MOST_REASONS,
    GradedDog,
    KnownGrade,
    compared,
    known_reasons,
    options,
    said,
)
from quizzes.kinds.in_room import AtRoom, dog_cards
from quizzes.kinds.placing.kind import ARMBANDS
from quizzes.kinds.placing.pictures import Pictures, photograph_ids, plate_of
from quizzes.kinds.sheets.kind import SheetKind
from quizzes.kinds.sheets.leaning import leaning
from quizzes.kinds.sheets.rows import Sheet

NOT_JUDGED = (Grade.DISQUALIFIED, Grade.CANNOT_BE_JUDGED)


HIGHER = ngettext_lazy(
    "You graded one dog higher than the mentor.",
    "You graded %(n)s dogs higher than the mentor.",
    "n",
)
LOWER = ngettext_lazy(
    "You graded one dog lower than the mentor.",
    "You graded %(n)s dogs lower than the mentor.",
    "n",
)


class GradeKind(SheetKind):
    """An answer is {"grade": ..., "reasons": [...]}. The grade alone is counted; reasons are compared."""

    slug = "grade"
    label = gettext_lazy("Dogs to grade")
    counted = ngettext_lazy("%(n)s dog", "%(n)s dogs", "n")
    purpose = gettext_lazy(
        "Dogs described, drawn or photographed; trainees give each a grade and say what decides it."
    )
    words = Words(
        new=gettext_lazy("New dogs to grade"),
        begin=gettext_lazy("Grade the dogs"),
        again=gettext_lazy("Grade them again"),
        go_on=gettext_lazy("Go on grading"),
        go_on_short=gettext_lazy("Go on grading"),
        as_left=gettext_lazy("You have begun it; what you graded is as you left it."),
        look=gettext_lazy("Look at the exercise"),
        suggested=gettext_lazy("%(breed)s. Dogs to grade."),
        whole=gettext_lazy("The dogs"),
        trial=gettext_lazy("Grade them yourself, as a trainee would"),
    )
    asked = GradedDog
    known = KnownGrade
    form = GradedDogForm
    bounds = gettext_lazy(
        "These are the grades of shows that give grades. What each asks for is in that show's own rules, and they decide."
    )
    styles = ("css/grade.css",)
    above = "quizzes/grade/_scale.html"
    adding = "quizzes/grade/_copy.html"

    @property
    def scale(self):
        """The grades with what each says, for the page."""
        return [(grade.label, grades.GISTS[grade]) for grade in Grade]

    # The documents: the dogs stand in the content as those of a class do, so that they are drawn like them.

    def sheet(self, content):
        dogs = {dog["id"]: dog for dog in content.get("dogs", ())}
        rows = [GradedDog.read(dogs[one["id"]]) for one in content.get("items", ())]
        own = ("items", "mixed", "dogs")
        more = {name: value for name, value in content.items() if name not in own}
        return Sheet(tuple(rows), content.get("mixed", True), more)

    def stored(self, sheet, key):
        rows = tuple(_numbered(sheet.rows))
        kept = super().stored(replace(sheet, rows=rows), key)
        kept["content"]["items"] = [{"id": row.id} for row in rows]
        kept["content"]["dogs"] = [asdict(row) for row in rows]
        for one in kept["key"]["items"].values():
            one["reasons"] = list(one["reasons"])
        return kept

    def new_content(self, size, places):
        return self.stored(Sheet((self.asked(),)), {})["content"]

    def begin_with(self, module):
        more = {
            "breed": "",
            "priorities": list(module.priorities.values("slug", "name")),
        }
        return Sheet((self.asked(),), True, more), {}

    def forget_pictures(self, content, club):
        from quizzes.kinds.placing.photographs import erase_unused

        erase_unused(class_of(self.sheet(content)).pictures, club.pk)

    # What is shown.

    def show(self, content, *, rng, again):
        line = [[row.id, row.armband] for row in self.sheet(content)]
        return {**super().show(content, rng=rng, again=again), "line": line}

    def look(self, attempt):
        klass = class_of(self.sheet(attempt.revision.content))
        return dog_cards(Pictures(attempt, klass), told=attempt.is_handed_in)

    def draft_look(self, draft):
        return dog_cards(OfDraft(draft, class_of(self.sheet(draft.content))))

    def room_look(self, revision, at, *, told):
        klass = class_of(self.sheet(revision.content))
        photographs = photograph_ids(klass, revision.exercise.club_id)
        return dog_cards(AtRoom(klass, revision, at, photographs), told=told)

    def large_picture(self, look):
        return look and look.picture

    def room_plate(self, request, sheet, row, place, *, told):
        return plate_of(request, class_of(sheet), row, told=told)

    def to_add(self, user, draft):
        from quizzes.kinds.grade.copying import CopyForm

        return CopyForm(user=user, draft=draft)

    def with_added(self, sheet, sent, user, draft):
        from quizzes.kinds.grade.copying import CopyForm

        return CopyForm(sent, user=user, draft=draft).added_to(sheet)

    def ask(self, sheet, row, shown, value):
        value = value or {}
        chosen = list(value.get("reasons", ()))
        chosen += [""] * (MOST_REASONS - len(chosen))
        return {
            "choices": Grade.choices,
            "grade": value.get("grade", ""),
            "reasons": list(enumerate(chosen, start=1)),
            "options": options(_priorities(sheet)),
        }

    # Answering.

    def answer_of(self, row, sent):
        grade = next(iter(sent("grade")), "")
        names = (f"reason-{n}" for n in range(1, MOST_REASONS + 1))
        chosen = filter(None, (next(iter(sent(name)), "") for name in names))
        reasons = list(dict.fromkeys(chosen))
        return {"grade": grade, "reasons": reasons} if grade or reasons else None

    def check(self, content, shown, answer):
        checked = super().check(content, shown, answer)
        known = known_reasons(_priorities(self.sheet(content)))
        for value in checked["items"].values():
            _refuse_unless(known.issuperset(value["reasons"]))
        return checked

    def check_one(self, row, value):
        _refuse_unless(isinstance(value, Mapping))
        grade, reasons = value.get("grade"), value.get("reasons", [])
        _refuse_unless(grade == "" or grade in Grade.values)
        _refuse_unless(isinstance(reasons, list) and len(reasons) <= MOST_REASONS)
        _refuse_unless(all(isinstance(one, str) for one in reasons))
        return {"grade": grade, "reasons": list(reasons)}

    def missing(self, content, shown, answer):
        """Reasons alone are no grade."""
        given = answer.get("items", {})
        graded = {pk: value for pk, value in given.items() if value["grade"]}
        return super().missing(content, shown, {"items": graded})

    # Grading and explaining.

    def points(self, row, known, value):
        return grades.points(known.grade, value["grade"])

    def at_random(self, row, known):
        return grades.at_random(known.grade)

    def tallied(self, value):
        return [value["grade"]] if value["grade"] else []

    def tally_words(self, row, tallied):
        return Grade(tallied).label

    def is_right(self, row, known, tallied):
        return tallied == known.grade

    def said_of(self, row, value):
        grade = value if isinstance(value, str) else value["grade"]
        return str(Grade(grade).label) if grade else ""

    def interaction(self, content, key, answer):
        """Dogs matched with grades; reasons have no form in a record."""
        items = answer.get("items", {}).items()
        graded = {pk: value["grade"] for pk, value in items if value["grade"]}
        return super().interaction(content, key, {"items": graded})

    def anonymous(self, answer):
        """Everything in it is chosen; nothing is written."""
        return {"items": answer["items"]}

    def key_said(self, row, known):
        return str(Grade(known.grade).label) if known.grade else _("not said")

    def named(self, row):
        return _("Armband %(n)s") % {"n": row.armband or "?"}

    def lacks(self, row, known):
        lacking = []
        if not (row.ringside or row.hands_on or row.photographs):
            lacking.append(
                _("Describe the dog, or copy one that is drawn or photographed.")
            )
        if not known.grade:
            lacking.append(_("Give the dog its grade."))
        elif known.grade in NOT_JUDGED and not known.why.strip():
            lacking.append(_("Say why: a report has to, where a dog gets no grade."))
        elif known.grade in MERIT and not known.reasons:
            lacking.append(_("Say which priority decides the grade."))
        return lacking

    def right(self, row, known):
        return {"grade": known.grade, "reasons": list(known.reasons)}

    def guess(self, row, rng):
        return {"grade": rng.choice(Grade.values), "reasons": []}

    def explain(self, sheet, row, known, value):
        names = {one["slug"]: one["name"] for one in _priorities(sheet)}
        value = value or {"grade": "", "reasons": []}
        return {
            "off": _off(known.grade, value["grade"]),
            "gist": grades.GISTS[Grade(known.grade)] if known.grade else "",
            "gave_reasons": bool(value["reasons"]),
            "key_reasons": [said(one, names) for one in known.reasons],
            "compared": compared(value["reasons"], known.reasons, names),
        }

    def also_said(self, sheet, key, answer):
        steps = [
            grades.steps_apart(*pair) or 0 for pair in self._pairs(sheet, key, answer)
        ]
        return leaning(steps, HIGHER, LOWER)

    def figures(self, sheet, key, answer):
        if len(sheet) < FEWEST_FOR_KAPPA:
            return []
        pairs = self._pairs(sheet, key, answer)
        n = len(grades.on_the_scale(pairs))
        kappa = grades.kappa(pairs)
        if kappa is None:
            text = _(
                "Cohen's kappa with linear weights is not defined over the %(n)s dogs that you and the mentor both "
                "have on the scale from Excellent to Sufficient: chance alone leaves no room to differ."
            )
            return [text % {"n": n}]
        text = _(
            "Cohen's kappa with linear weights over the %(n)s dogs that you and the mentor both have on the scale "
            "from Excellent to Sufficient: %(kappa)s. 1 is full agreement, 0 as much as chance alone gives."
        )
        return [text % {"n": n, "kappa": f"{kappa:.2f}"}]

    def _pairs(self, sheet, key, answer) -> list[tuple[str, str]]:
        given = answer["items"]
        return [
            (self.known_of(key, row).grade, given[row.id]["grade"])
            for row in sheet
            if row.id in given
        ]

    def texts(self, content, key):
        read = ("ringside", "hands_on", "credit", "why")
        found = super().texts(content, key)
        return {
            name: one for name, one in found.items() if name.partition("-")[2] in read
        }


def _priorities(sheet: Sheet) -> list[Mapping]:
    return list(sheet.more.get("priorities", ()))


def _numbered(rows):
    """The dogs with an armband each; a new one wears a number that is free."""
    worn = {row.armband for row in rows}
    for row in rows:
        if row.armband is None:
            free = sorted(set(ARMBANDS) - worn)
            number = secrets.choice(free)
            worn.add(number)
            yield replace(row, armband=number)
        else:
            yield row


def _off(right: str, answer: str) -> str:
    """How an answer differs, in a sentence; empty where it does not or is none."""
    steps = grades.steps_apart(right, answer)
    if steps:
        text = (
            ngettext("You are one step lower.", "You are %(n)s steps lower.", steps)
            if steps > 0
            else ngettext(
                "You are one step higher.", "You are %(n)s steps higher.", -steps
            )
        )
        return text % {"n": abs(steps)}
    if {right, answer} == set(NOT_JUDGED):
        return _(
            "The two are not steps of one scale. A dog that can't be gone over because it threatens or shrinks away "
            "is disqualified; one that is lame or will not move is released without a grade."
        )
    if answer and right != answer:
        return _(
            "One of the two is not on the scale of merit, so there is no half right here."
        )
    return ""


def _refuse_unless(is_fine: bool) -> None:
    if not is_fine:
        raise ValidationError(_("This is no answer to this sheet."), code="form")


KIND = GradeKind()
