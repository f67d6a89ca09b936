"""A question with its options, and what the key says of them."""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from django.db.models import TextChoices
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from quizzes.kinds.sheets.pictures import Pictured, PicturedRow
from quizzes.kinds.sheets.rows import Known

MOST_OPTIONS = 6
LETTERS = "abcdef"


class Answer(TextChoices):
    """What kind of answer a question has."""

    ONE = "one", gettext_lazy("one is right")
    SEVERAL = "several", gettext_lazy("one or more are right")
    NUMBER = "number", gettext_lazy("a number")


def new_option_id() -> str:
    """An id that says nothing: neither where the option stands nor whether it is right."""
    return secrets.token_hex(4)


@dataclass(frozen=True)
class Option(Pictured):
    """One answer to choose, in words or as a picture."""

    id: str = field(default_factory=new_option_id)
    text: str = ""

    @property
    def named(self) -> str:
        return self.text or self.alt


@dataclass(frozen=True)
class Question(PicturedRow):
    """A question.

    mixed : whether each attempt mixes the options anew
    unit : in what a number is given, as it stands behind the field
    """

    text: str = ""
    answer: str = Answer.ONE
    options: tuple[Option, ...] = ()
    mixed: bool = True
    unit: str = ""

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


@dataclass(frozen=True)
class Solution(Known):
    """The key of a question.

    right : ids of the right options
    said : what is said of an option afterwards, by its id
    number : the right number; full points within `within` of it, half within `nearly`
    """

    right: tuple[str, ...] = ()
    said: Mapping = field(default_factory=dict)
    number: float | None = None
    within: float = 0.0
    nearly: float | None = None

    def texts(self):
        yield from super().texts()
        for n, text in enumerate(self.said.values(), start=1):
            yield _("said of an answer, %(n)s") % {"n": n}, text
