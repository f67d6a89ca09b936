"""What a seminar's room needs of a kind of exercise: asked of many at once, summed and told at once.

Sums are documents without people that screens and reports show as they are: rows with what was answered how often.
"""

from __future__ import annotations

import random
from abc import ABC, abstractmethod
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, ClassVar

from django.http import Http404, HttpResponse
from django.utils.translation import gettext_lazy

from quizzes.kinds.base import Document, Graded
from quizzes.kinds.placing.pictures import Pictures
from quizzes.kinds.placing.ring import Card


@dataclass(frozen=True)
class Addresses:
    """Where the room's pages find what is shown.

    plate : of a dog, a row or a pair by its id, and which place in it
    photograph : by its id, "small" or "large"
    """

    plate: Callable[[str, str], str]
    photograph: Callable[[str, str], str]


class InRoom(ABC):
    """One exercise as a room is asked it. Most of it is what the kind does anyway.

    ask, told_by : templates of what is asked and of one's own answer beside the key
    styles : style sheets that these need
    hand_in : the words of the button
    is_kept : answers go into people's records, where the kind's own result page explains them
    note : what the mentor is told before it is put on the list
    """

    ask: ClassVar[str]
    told_by: ClassVar[str]
    styles: Sequence[str] = ()
    hand_in: Any = gettext_lazy("Hand in")
    is_kept = True
    note: Any = ""

    def __init__(self, kind, revision):
        self.kind, self.revision = kind, revision

    @cached_property
    def content(self) -> Document:
        """The content as a room is asked it."""
        return self.revision.content

    # Answering.

    def show(self, rng: random.Random) -> dict:
        return self.kind.show(self.content, rng=rng, again=False)

    @abstractmethod
    def asked(self, shown: Document, answer: Document, at: Addresses) -> dict:
        """What `ask` needs; `answer` holds what was typed already, if anything."""

    @abstractmethod
    def sent(self, shown: Document, post) -> dict:
        """The answer that the form holds. Raises ValidationError for what can't be read."""

    def is_step(self, post) -> bool:
        """Whether the form was sent to change something in it, as it is without scripts, and not to hand in."""
        return False

    def check(self, shown: Document, answer: Document) -> dict:
        return self.kind.check(self.content, shown, answer)

    def missing(self, shown: Document, answer: Document) -> list[str]:
        return self.kind.missing(self.content, shown, answer)

    def grade(self, answer: Document) -> Graded:
        return self.kind.grade(self.content, self.revision.key, answer)

    # What comes of it.

    @abstractmethod
    def gathered(self, answers: Sequence[Document]) -> dict:
        """The room's answers under the key: {"kind", "rows", …} without people."""

    @abstractmethod
    def told(self, hand, at: Addresses) -> dict:
        """One graded hand beside the key, for `told_by`."""

    def in_writing(self, answer: Document) -> tuple[str, str]:
        """A placing and its rulings as on a card; nothing for other kinds."""
        return "", ""

    # Pictures.

    def on_stage(self, at: Addresses) -> dict:
        """What the projector shows while it is answered: dogs by number, or rows."""
        return {}

    def plate(self, request, what: str, place: str, *, told: bool) -> HttpResponse:
        """A drawing of it; measured only where it may be told."""
        raise Http404

    @property
    def photographs(self) -> frozenset[str]:
        """The ids of all photographs that it shows."""
        return frozenset()


class AtRoom(Pictures):
    """What a room is shown of the dogs of a class, under the room's own addresses."""

    def __init__(self, content, revision, at: Addresses, photographs: set[str]):
        self.content, self.revision, self.at = content, revision, at
        self.armbands = {dog.id: dog.armband for dog in content}
        self.photographs = photographs

    def plate_address(self, dog):
        return self.at.plate(dog.id, "whole")

    def photograph_address(self, picture, size):
        return self.at.photograph(picture, size)


def dog_cards(pictures: Pictures, *, told=False) -> dict[str, Card]:
    """Each dog with what is shown of it, by its id."""
    return {
        dog.id: Card(
            dog=dog,
            armband=dog.armband,
            picture=pictures.of(dog, told=told),
            views=pictures.more(dog),
        )
        for dog in pictures.content
    }


def line_of(cards: Iterable[Card]) -> list[dict]:
    """Dogs as the projector shows them, the lowest number first; none if there is nothing to see of any."""
    found = [
        {"armband": one.armband, "picture": one.picture}
        for one in sorted(cards, key=lambda card: card.armband or 0)
    ]
    return found if any(one["picture"] for one in found) else []


def row(number: int, named, key, answers: Iterable[Mapping], **more) -> dict:
    """One row of the sums, as it is stored.

    more : `right` of `of` answers as the key has it, where there is one; `why`; the key in `short`
    """
    return {
        "number": number,
        "named": str(named),
        "key": str(key),
        "answers": [{**one, "said": str(one["said"])} for one in answers],
        "why": "",
        **more,
    }


def most_first(counts: Mapping, said: Callable, is_right: Callable) -> list[dict]:
    """Answers with how many gave each, the most frequent first."""
    return [
        {"said": said(value), "count": count, "right": bool(is_right(value))}
        for value, count in Counter(counts).most_common()
    ]
