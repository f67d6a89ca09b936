"""Questions on a sheet: one right answer, several, or a number with a tolerance; with pictures."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext_lazy

from quizzes.kinds.base import Words
from quizzes.kinds.question import grading
from quizzes.kinds.question.forms import QuestionForm
from quizzes.kinds.question.grading import number_of, number_text, within_reach
from quizzes.kinds.question.rows import LETTERS, Answer, Option, Question, Solution
from quizzes.kinds.sheets.kind import SheetKind
from quizzes.kinds.sheets.pictures import WHOLE, PicturesMixin

LONGEST_NUMBER = 40


def in_unit(number: float, row: Question) -> str:
    return f"{number_text(number)} {row.unit}".strip()


class QuestionKind(PicturesMixin, SheetKind):
    """An answer is an option's id, a list of such ids, or a number.

    Nobody can say how likely a number is guessed: a sheet that asks for one has no chance of guessing, and says
    so. To leave the numbers out would show a chance that is about another result than the one beside it.
    """

    slug = "question"
    label = gettext_lazy("Questions")
    counted = ngettext_lazy("%(n)s question", "%(n)s questions", "n")
    purpose = gettext_lazy(
        "Questions with one right answer, several, or a number, with pictures where you like."
    )
    words = Words(
        new=gettext_lazy("New sheet of questions"),
        begin=gettext_lazy("Answer the questions"),
        again=gettext_lazy("Answer them again"),
        go_on=gettext_lazy("Go on answering"),
        go_on_short=gettext_lazy("Go on answering"),
        as_left=gettext_lazy("You have begun it; your answers are as you left them."),
        look=gettext_lazy("Look at the exercise"),
        suggested=gettext_lazy("%(breed)s. Questions to answer."),
        whole=gettext_lazy("The questions"),
        trial=gettext_lazy("Answer them yourself, as a trainee would"),
    )
    asked = Question
    known = Solution
    form = QuestionForm

    # Answering.

    def show(self, content, *, rng, again):
        options = {}
        for row in self.sheet(content):
            ids = [one.id for one in row.offered]
            if row.mixed:
                rng.shuffle(ids)
            if ids:
                options[row.id] = ids
        return {**super().show(content, rng=rng, again=again), "options": options}

    def on_paper(self, content):
        """Paper mixes the options too, always in the same way: the right one often stands first in the key."""
        options = {
            row.id: sorted((one.id for one in row.offered), key=lambda pk: pk[::-1])
            if row.mixed
            else [one.id for one in row.offered]
            for row in self.sheet(content)
        }
        return {**super().on_paper(content), "options": options}

    def answer_of(self, row, sent):
        values = [value for value in sent("") if value.strip()]
        if not values:
            return None
        if row.answer == Answer.SEVERAL:
            return [one.id for one in row.options if one.id in values] or values
        if not row.is_number:
            return values[0]
        typed = values[0].strip()[:LONGEST_NUMBER]
        number = number_of(typed)
        return typed if number is None else number

    def check_one(self, row, value):
        if row.is_number:
            return self._checked_number(row, value)
        given = value if isinstance(value, list) else [value]
        known = row.by_option
        if row.answer != Answer.SEVERAL and isinstance(value, list):
            given = []
        if not given or not all(isinstance(pk, str) and pk in known for pk in given):
            raise ValidationError(_("This is no answer to this sheet."), code="form")
        return (
            value if row.answer == Answer.ONE else [pk for pk in known if pk in given]
        )

    def _checked_number(self, row, value):
        known = isinstance(value, int | float) and not isinstance(value, bool)
        number = within_reach(float(value)) if known else None
        if number is None:
            text = _("“%(question)s”: give a number, such as 12 or 12.5.")
            values = {"question": self.named(row)}
            raise ValidationError(text, code="number", params=values)
        return number

    def ask(self, sheet, row, shown, value):
        known = row.by_option
        order = [
            pk for pk in shown.get("options", {}).get(row.id, known) if pk in known
        ]
        ticked = value if isinstance(value, list) else [value]
        return {
            "options": [known[pk] for pk in order],
            "ticked": ticked,
            "typed": number_text(value) if isinstance(value, float) else value or "",
        }

    # Grading.

    def points(self, row, known, value) -> Fraction:
        if row.is_number:
            return grading.for_number(known.number, value, known.within, known.nearly)
        if row.answer == Answer.SEVERAL:
            return grading.for_several(known.right, value)
        return grading.for_one(known.right, value)

    def at_random(self, row, known):
        if row.is_number or not row.options:
            return None
        if row.answer == Answer.SEVERAL:
            return grading.guessing_several(len(row.options), len(known.right))
        return grading.guessing_one(len(row.options))

    # Explaining.

    def said_of(self, row, value):
        if row.is_number:
            return in_unit(value, row)
        ids = (
            value
            if isinstance(value, Sequence) and not isinstance(value, str)
            else [value]
        )
        known = row.by_option
        return "; ".join(known[pk].named for pk in ids if pk in known)

    def key_said(self, row, known):
        if not row.is_number:
            return self.said_of(row, known.right) or _("not said")
        if known.number is None:
            return _("not said")
        said = in_unit(known.number, row)
        if known.within:
            return _("%(number)s, give or take %(within)s") % {
                "number": said,
                "within": number_text(known.within),
            }
        return said

    def named(self, row):
        return row.text or row.alt or _("a question without words")

    def right(self, row, known):
        if row.is_number:
            return known.number
        ids = [one.id for one in row.options if one.id in known.right]
        return ids if row.answer == Answer.SEVERAL else next(iter(ids), None)

    def guess(self, row, rng):
        if row.is_number:
            return float(rng.randint(1, 60))
        ids = [one.id for one in row.options]
        if row.answer != Answer.SEVERAL:
            return rng.choice(ids)
        return [pk for pk in ids if rng.random() < 0.5] or [rng.choice(ids)]

    def explain(self, sheet, row, known, value):
        ticked = value if isinstance(value, list) else [value]
        return {
            "told": {
                one.id: {
                    "right": one.id in known.right,
                    "yours": one.id in ticked,
                    "said": known.said.get(one.id, ""),
                }
                for one in row.offered
            },
            "nearly": number_text(known.nearly) if known.nearly is not None else "",
        }

    def also_said(self, sheet, key, answer):
        if any(row.is_number for row in sheet):
            return [
                _(
                    "Nothing is said of chance here: how often a number is guessed, nobody knows."
                )
            ]
        return []

    # The room's counts.

    def tallied(self, value):
        if isinstance(value, list):
            return value
        return [number_text(value) if isinstance(value, float) else value]

    def tally_words(self, row, tallied):
        if row.is_number:
            number = number_of(tallied)
            return tallied if number is None else in_unit(number, row)
        option = row.by_option.get(tallied)
        return option.named if option else _("an answer that is gone")

    def is_right(self, row, known, tallied):
        if not row.is_number:
            return tallied in known.right
        number = number_of(tallied)
        return number is not None and self.points(row, known, number) == 1

    # What the mentor is told.

    def place_named(self, row: Question, place: str) -> str:
        """The place of a picture, in words."""
        if place == WHOLE:
            return _("With the question")
        at = [one.id for one in row.offered].index(place)
        values = {"letter": LETTERS[at], "answer": row.by_option[place].text}
        if not values["answer"]:
            return _("With answer %(letter)s") % values
        return _("With answer %(letter)s: %(answer)s") % values

    def lacks(self, row, known):
        lacking = [] if row.text.strip() else [_("Write the question.")]
        lacking += row.picture_lacks()
        return lacking + (
            _number_lacks(known) if row.is_number else _option_lacks(row, known)
        )


def _number_lacks(known: Solution) -> list[str]:
    if known.number is None:
        return [_("Give the number.")]
    if known.nearly is not None and known.nearly <= known.within:
        return [_("Half right must reach further than right.")]
    return []


def _option_lacks(row: Question, known: Solution) -> list[str]:
    lacking = []
    if len(row.options) < 2:
        lacking.append(_("Give at least two answers to choose from."))
    if not all(one.named.strip() for one in row.options):
        lacking.append(_("Give each answer words, or say what its picture shows."))
    if _repeated(row.options):
        lacking.append(_("Two answers read the same."))
    ticked = len(set(known.right) & set(row.by_option))
    if not ticked:
        lacking.append(_("Tick what is right."))
    elif ticked > 1 and row.answer == Answer.ONE:
        lacking.append(_("Tick one as right, or let more than one be right."))
    return lacking


def _repeated(options: Sequence[Option]) -> bool:
    texts = [one.text.strip().casefold() for one in options if one.text.strip()]
    return len(set(texts)) < len(texts)


KIND = QuestionKind()
