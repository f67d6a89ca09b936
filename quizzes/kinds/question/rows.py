"""A question with its options, and what the key says of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Annotated

from django.db.models import TextChoices
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from quizzes.kinds import shapes
from quizzes.kinds.question.grading import LARGEST
from quizzes.kinds.sheets.pictures import Pictured, PicturedRow
from quizzes.kinds.sheets.rows import Known, new_row_id

MOST_OPTIONS = 6
LETTERS = "abcdef"


class Answer(TextChoices):
    """What kind of answer a question has."""

    ONE = "one", gettext_lazy("one is right")
    SEVERAL = "several", gettext_lazy("one or more are right")
    NUMBER = "number", gettext_lazy("a number")


def new_option_id() -> str:
    """An id that says nothing: neither where the option stands nor whether it is right."""
    return new_row_id()


@dataclass(frozen=True)
class Option(Pictured):
    """One answer to choose, in words or as a picture."""

    id: Annotated[str, shapes.ID] = field(default_factory=new_option_id)
    text: Annotated[str, shapes.LINE] = ""

    @property
    def named(self) -> str:
        return self.text or self.alt


@dataclass(frozen=True)
class Question(PicturedRow):
    """A question.

    mixed : whether each attempt mixes the options anew
    unit : in what a number is given, as it stands behind the field
    """

    text: Annotated[str, shapes.SAID] = ""
    answer: Annotated[str, shapes.one_of(Answer.values, or_none=False)] = Answer.ONE
    options: Annotated[tuple[Option, ...], shapes.at_most(MOST_OPTIONS)] = ()
    mixed: bool = True
    unit: Annotated[str, shapes.Says(maxLength=20)] = ""

    @classmethod
    def read(cls, document: Mapping) -> Question:
        options = tuple(Option.read(one) for one in document.get("options", ()))
        return super().read({**document, "options": options})

    @property
    def is_number(self) -> bool:
        return self.answer == Answer.NUMBER

    @property
    def offered(self) -> tuple[Option, ...]:
        """The options of a question that has any."""
        return () if self.is_number else self.options

    @property
    def by_option(self) -> dict[str, Option]:
        return {one.id: one for one in self.offered}

    def texts(self):
        yield from ((name, text) for name, text in super().texts() if name != "answer")
        for letter, one in zip(LETTERS, self.offered, strict=False):
            named = _("answer %(letter)s") % {"letter": letter}
            yield from ((f"{named}, {name}", text) for name, text in one.texts())

    def holders(self):
        return super().holders() | {one.id: one.holder for one in self.offered}

    def with_pictures(self, chosen):
        row = super().with_pictures(chosen)
        options = tuple(replace(one, **chosen.get(one.id, {})) for one in self.options)
        return replace(row, options=options)

    def for_reading(self):
        """Options that are mixed stand by their ids: a mentor often writes the right one first."""
        found = super().for_reading()
        if self.mixed:
            found["options"].sort(key=lambda one: one["id"])
        return found

    def with_photographs(self, name):
        row = super().with_photographs(name)
        options = tuple(one.with_photographs(name) for one in self.options)
        return replace(row, options=options)

    def plates(self):
        yield from super().plates()
        for one in self.options:
            yield from one.plates()

    def misfits(self, known: Solution):
        ids = [one.id for one in self.options]
        if len(set(ids)) < len(ids):
            yield _("two answers have the same id.")
        for pk in sorted({*known.right, *known.said} - set(ids)):
            text = _("the key names the answer “%(id)s”, which is not there.")
            yield text % {"id": pk}


@dataclass(frozen=True)
class Solution(Known):
    """The key of a question.

    right : ids of the right options
    said : what is said of an option afterwards, by its id
    number : the right number; full points within `within` of it, half within `nearly`
    """

    right: tuple[Annotated[str, shapes.ID], ...] = ()
    said: Mapping[Annotated[str, shapes.ID], Annotated[str, shapes.LINE]] = field(
        default_factory=dict
    )
    number: Annotated[float, shapes.span(-LARGEST, LARGEST)] | None = None
    within: Annotated[float, shapes.span(0, LARGEST)] = 0.0
    nearly: Annotated[float, shapes.span(0, LARGEST)] | None = None

    def texts(self):
        yield from super().texts()
        for n, text in enumerate(self.said.values(), start=1):
            yield _("said of an answer, %(n)s") % {"n": n}, text
