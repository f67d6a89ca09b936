"""The examination from memory, as a kind of exercise: ties the folder's parts to the rest of the site."""

from __future__ import annotations

from collections.abc import Mapping

from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext, ngettext_lazy

from quizzes.grading.items import reached_at_random
from quizzes.kinds.base import Graded, Interaction, Problem, Words
from quizzes.kinds.examination.content import (
    FEWEST_FOR_GAP,
    FEWEST_TO_ORDER,
    FIND,
    GAP,
    ORDER,
    SENSE,
    ExamAnswer,
    ExamContent,
    ExamKey,
)
from quizzes.kinds.examination.grading import (
    SENSES,
    guesses_of,
    order_graded,
    points_of,
    total,
)
from quizzes.kinds.examination.safety import unsafe_orders
from quizzes.kinds.sheets.kind import PostedKind
from quizzes.words import halves, pairs_agreed

PAGE = "quizzes:examination-parts"


class ExaminationKind(PostedKind):
    """The module's sequence, put in order and told step by step; unsafe orders are named first."""

    slug = "examination"
    folder = "examination"
    new_page = "quizzes:examination-new"
    label = gettext_lazy("Examination from memory")
    counted = ngettext_lazy("%(n)s step", "%(n)s steps", "n")
    purpose = gettext_lazy(
        "Your module's examination, from memory: the order, eye or hand, what to find, the step that is missing."
    )
    to_read = ("study:examination", gettext_lazy("Read the examination"))
    words = Words(
        new=gettext_lazy("New examination from memory"),
        begin=gettext_lazy("Begin from memory"),
        again=gettext_lazy("Once more from memory"),
        go_on=gettext_lazy("Go on with the examination"),
        go_on_short=gettext_lazy("Go on"),
        as_left=gettext_lazy("You have begun it; your answers are as you left them."),
        look=gettext_lazy("Look at the exercise"),
        suggested=gettext_lazy("%(breed)s. The examination from memory."),
        whole=gettext_lazy("The examination"),
        trial=gettext_lazy("Do it yourself, as a trainee would"),
    )
    is_marked = False

    def about(self, row):
        return _("The examination from memory.")

    def done(self, n):
        if not n:
            return _("Not done yet.")
        words = ngettext("You have done it once.", "You have done it %(n)s times.", n)
        return words % {"n": n}

    def outcome(self, grade):
        return pairs_agreed(grade)

    def said(self, grade):
        if grade is None or not grade.pairs_counted:
            return _("Nothing to compare.")
        values = {
            "agreed": halves(grade.pairs_agreed),
            "counted": grade.pairs_counted,
        }
        if "order" in grade.result:
            return (
                _("%(agreed)s of %(counted)s pairs of steps in the mentor's order.")
                % values
            )
        return _("%(agreed)s of %(counted)s as the mentor has it.") % values

    def parts(self, exercise_id, size):
        return [
            {
                "title": _("What is asked, and the key"),
                "url": reverse(PAGE, args=[exercise_id]),
                "note": self.purpose,
            }
        ]

    def new_content(self, size, places):
        return ExamContent().document()

    def size(self, content):
        return len(content.get("steps", ()))

    def items(self, content):
        read = ExamContent.read(content)
        asked = (f"{FIND}-{one.step}" for one in read.to_find)
        return frozenset([*read.names, *read.asked, *asked, *read.gap.shown])

    def problems(self, content, key):
        content, key = ExamContent.read(content), ExamKey.read(key)
        return [Problem(PAGE, anchor, text) for anchor, text in _lacking(content, key)]

    def differences(self, before, after):
        from quizzes.kinds.examination.differences import examination_differences

        return examination_differences(before, after)

    def texts(self, content, key):
        from quizzes.kinds.examination.differences import examination_texts

        return examination_texts(content, key)

    def forget_pictures(self, content, club):
        """An examination shows no photographs."""

    def show(self, content, *, rng, again):
        read = ExamContent.read(content)
        shown = {
            "order": [step.id for step in read.steps],
            "to_find": [one.step for one in read.to_find],
            "gap": list(read.gap.options),
        }
        for mixed in shown.values():
            rng.shuffle(mixed)
        options = {one.step: list(one.options) for one in read.to_find}
        for mixed in options.values():
            rng.shuffle(mixed)
        return {**shown, "options": options}

    def check(self, content, shown, answer):
        content = ExamContent.read(content)
        if not isinstance(answer, Mapping) or not _is_answer(content, answer):
            raise ValidationError(_("This is no answer to this exercise."), code="form")
        return ExamAnswer.read(answer).document()

    def missing(self, content, shown, answer):
        content, answer = ExamContent.read(content), ExamAnswer.read(answer)
        return [*missing_first(content, answer), *missing_gap(content, answer)]

    def grade(self, content, key, answer) -> Graded:
        content, key = ExamContent.read(content), ExamKey.read(key)
        answer = ExamAnswer.read(answer)
        reached = points_of(content, key, answer)
        guesses = guesses_of(content, key)
        others = {
            "reached": float(total(reached)),
            "of": len(reached),
            "chance": reached_at_random(guesses, total(reached)) if reached else None,
        }
        result = {
            "points": {pk: float(n) for pk, n in reached.items()},
            "others": others,
        }
        if ORDER not in content.asked:
            share = others["reached"] / others["of"] if reached else None
            return Graded(
                share, others["reached"], others["of"], others["chance"], result
            )
        order = order_graded(key, answer.order)
        result["order"] = {
            "tau": order.tau,
            "left_out": len(order.left_out),
            "unsafe": len(unsafe_orders(key, answer.order)),
        }
        share = order.agreed / order.counted if order.counted else None
        return Graded(share, order.agreed, order.counted, order.chance, result)

    def grade_unfinished(self, content, key, shown, answer):
        given = ExamAnswer.read(answer)
        has_some = given.order or given.senses or given.finds or given.gap
        return self.grade(content, key, answer) if has_some else None

    def marks(self, answer):
        answer = ExamAnswer.read(answer)
        for place, step in enumerate(answer.order, start=1):
            yield f"{ORDER}-{step}", str(place)
        for part, given in ((SENSE, answer.senses), (FIND, answer.finds)):
            for step, value in given.items():
                yield f"{part}-{step}", value
        if answer.gap:
            yield GAP, answer.gap
            yield "after", str(answer.after)

    def interaction(self, content, key, answer):
        """The steps in the order given; several orders may be right, so none is listed."""
        content, order = ExamContent.read(content), ExamAnswer.read(answer).order
        if not order:
            return None
        steps = [(step.id, step.name) for step in content.steps]
        return Interaction(
            type="sequencing",
            response="[,]".join(order),
            components={"choices": steps},
        )

    def anonymous(self, answer):
        """Everything in it is chosen; nothing is written."""
        return ExamAnswer.read(answer).document()

    def sent(self, attempt, post):
        from quizzes.kinds.examination.player import sent_answer

        return sent_answer(attempt, post)

    def saved_page(self, request, attempt, do):
        from quizzes.kinds.examination.player import saved_page

        return saved_page(request, attempt, do)


def _lacking(content: ExamContent, key: ExamKey):
    """What keeps the exercise from being published: where, and in words."""
    if not content.steps:
        yield (
            "steps",
            _(
                "The module has no examination yet: write its steps, then take them over here."
            ),
        )
        return
    if set(key.order) != set(content.names):
        text = _("The key does not have every step: take the sequence over again.")
        yield "steps", text
    if not content.asked:
        yield "parts", _("Nothing is asked yet: tick at least one part.")
    if ORDER in content.asked and len(content.steps) < FEWEST_TO_ORDER:
        yield (
            "parts",
            _("Putting in order needs at least %(n)s steps.") % {"n": FEWEST_TO_ORDER},
        )
    if FIND in content.asked and not content.to_find:
        yield "parts", _("Tick at least one step at which it is asked what to find.")
    if FIND in content.asked and any(len(one.options) < 2 for one in content.to_find):
        yield (
            "parts",
            _("What to find needs at least two steps that find different things."),
        )
    if GAP in content.asked and len(content.steps) < FEWEST_FOR_GAP:
        yield (
            "parts",
            _("A missing step needs at least %(n)s steps.") % {"n": FEWEST_FOR_GAP},
        )
    elif GAP in content.asked and not key.gap:
        yield "gap", _("Say which step is missing.")


def _is_answer(content: ExamContent, answer: Mapping) -> bool:
    """Whether everything in a document that was sent is of this exercise."""
    names, finds = content.names, {one.step: one.options for one in content.to_find}
    order = answer.get("order", [])
    senses, found = answer.get("senses", {}), answer.get("finds", {})
    gap, after = answer.get("gap", ""), answer.get("after", -1)
    return (
        isinstance(order, list)
        and all(isinstance(step, str) and step in names for step in order)
        and len(set(order)) == len(order)
        and isinstance(senses, Mapping)
        and all(step in names and said in SENSES for step, said in senses.items())
        and isinstance(found, Mapping)
        and all(said in finds.get(step, ()) for step, said in found.items())
        and gap in ("", *content.gap.options)
        and type(after) is int
        and -1 <= after <= len(content.gap.shown)
        and all(type(answer.get(name, False)) is bool for name in ("left", "sealed"))
    )


def missing_first(content: ExamContent, answer: ExamAnswer) -> list[str]:
    """What is missing of all but the missing step, in sentences."""
    found = []
    open_steps = len(content.steps) - len(answer.order)
    if ORDER in content.asked and not answer.order:
        found.append(_("No step has a place yet."))
    elif ORDER in content.asked and open_steps and not answer.left:
        text = ngettext(
            "One step has no place. Give it one, or tick that you leave it out.",
            "%(n)s steps have no place. Give them one, or tick that you leave them out.",
            open_steps,
        )
        found.append(text % {"n": open_steps})
    if SENSE in content.asked:
        left = [step.name for step in content.steps if step.id not in answer.senses]
        if left:
            found.append(
                _("By eye or by hand is not said for: %(names)s.")
                % {"names": ", ".join(left)}
            )
    if FIND in content.asked:
        left = [
            content.names[one.step]
            for one in content.to_find
            if one.step not in answer.finds
        ]
        if left:
            found.append(
                _("What to find is not said for: %(names)s.")
                % {"names": ", ".join(left)}
            )
    return found


def missing_gap(content: ExamContent, answer: ExamAnswer) -> list[str]:
    """What is missing of the part with the missing step."""
    if GAP not in content.asked:
        return []
    if content.in_two and not answer.sealed:
        return [_("The missing step is still to be found: go on to it.")]
    found = []
    if not answer.gap:
        found.append(_("Which step is missing is not said yet."))
    if answer.after < 0:
        found.append(_("Where the missing step belongs is not said yet."))
    return found


KIND = ExaminationKind()
