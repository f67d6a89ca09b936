"""What every kind of exercise offers to the rest of the site."""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from importlib import import_module
from typing import Any, Protocol

from django.http import HttpRequest, HttpResponse
from django.urls import reverse

Document = Mapping[str, Any]


@dataclass(frozen=True)
class Graded:
    """One graded answer: the headline, and the whole as a document of the kind.

    share : of the pairs (or whatever the kind counts) that agree, 0 to 1; None if undefined
    agreed, counted : the same as counts; halves are allowed
    chance : how often an answer at random does at least this well; None if undefined
    """

    share: float | None
    agreed: float
    counted: int
    chance: float | None
    result: dict


@dataclass(frozen=True)
class Words:
    """How the pages that all kinds share speak of this kind: buttons, headings, sentences.

    suggested : takes breed, dogs (how many, in words) and difficulty
    """

    new: str
    begin: str
    again: str
    go_on: str
    go_on_short: str
    as_left: str
    look: str
    suggested: str
    whole: str
    trial: str


@dataclass(frozen=True)
class Interaction:
    """An answer in the terms of xAPI's interaction types (xAPI-Data 1.0.3, 2.4.4.1), for a record that is taken away.

    type : "sequencing", "choice", "matching", "numeric", "long-fill-in", …
    response : the answer, items joined by "[,]" and pairs by "[.]"
    pattern : every right response in the same form; None where they can't all be listed
    components : what the items mean, by the standard's name of the list: pairs of id and text
    """

    type: str
    response: str
    pattern: tuple[str, ...] | None = None
    components: Mapping[str, Sequence[tuple[str, str]]] = field(default_factory=dict)


@dataclass(frozen=True)
class Problem:
    """Something to mend before an exercise can be published, and where.

    page : name of the address of the mentor's page on which it is mended
    """

    page: str
    anchor: str
    text: str


class OwnPages:
    """A kind whose pages stand in a folder: urls.py, player.py, result.py, room.py, in_room.py.

    They import the kind, so they are imported when they are asked for.
    folder : beside this file; new_page : the name of the address where a mentor begins one
    """

    folder: str
    new_page: str

    def _part(self, name: str):
        return import_module(f"quizzes.kinds.{self.folder}.{name}")

    @property
    def new_url(self) -> str:
        return reverse(self.new_page)

    @property
    def urlpatterns(self) -> list:
        return self._part("urls").urlpatterns

    def answer_page(self, request, attempt, **more):
        return self._part("player").answer_page(request, attempt, **more)

    def result_page(self, request, attempt, grades):
        return self._part("result").result_page(request, attempt, grades)

    def room_page(self, request, revision, attempts):
        return self._part("room").room_page(request, revision, attempts)

    def in_room(self, revision):
        return self._part("in_room").Room(self, revision)


class Kind(Protocol):
    """A kind of exercise. Content, key and answer are documents that only the kind reads.

    counted : "%(n)s dogs", for the number n of what is answered
    purpose : what trainees do and what it is for, for a mentor who chooses a kind
    new_url : where a mentor begins one

    A kind may leave out `interaction` and `anonymous`: its answers are then taken away without their details,
    and go with the person. One whose grades never have a share says `gives_points = False`. Without `grade_unfinished` an answer that is not whole when the time of an assessment is
    up counts nothing.
    """

    slug: str
    label: str
    words: Words
    counted: str
    purpose: str
    new_url: str
    is_marked: bool
    urlpatterns: list

    def about(self, row: Document) -> str:
        """What a list says of an exercise (a row of RevisionQuerySet.rows)."""

    def done(self, n: int) -> str:
        """How often somebody has handed it in, as it is said to them."""

    def outcome(self, grade) -> str:
        """A grade, or None, in a few words for lists."""

    def said(self, grade) -> str:
        """The same as a sentence."""

    def parts(self, exercise_id: int, size: int) -> list[dict]:
        """The mentor's pages of an exercise, in the order of work: title, url and note."""

    def new_content(self, size: int, places: int | None) -> dict:
        """Content with that many empty items."""

    def size(self, content: Document) -> int:
        """How many items are answered, for the clock and the lists."""

    def items(self, content: Document) -> frozenset[str]:
        """The ids of the items; attempts at the same items can be graded under another key.

        Empty where another key changes no grade.
        """

    def problems(self, content: Document, key: Document) -> list[Problem]:
        """What must be mended before the exercise can be published."""

    def differences(
        self, before: tuple[Document, Document], after: tuple[Document, Document]
    ) -> list[str]:
        """What changed between two contents with their keys, a sentence each."""

    def texts(
        self, content: Document, key: Document
    ) -> dict[str, tuple[tuple[str, str], str]]:
        """Every text that somebody reads: by a name that stays, where and what it is, and the text."""

    def forget_pictures(self, content: Document, club) -> None:
        """Erase the photographs of a content that is gone, unless something shows them."""

    def show(self, content: Document, *, rng: random.Random, again: bool) -> dict:
        """What one attempt shows: the items in an order of its own; renumbered if again."""

    def check(self, content: Document, shown: Document, answer: Document) -> dict:
        """The answer, checked and in its stored form. Raises ValidationError."""

    def missing(
        self, content: Document, shown: Document, answer: Document
    ) -> list[str]:
        """What is missing before the answer can be handed in, in words."""

    def grade(self, content: Document, key: Document, answer: Document) -> Graded:
        """The grade of a complete answer under a key."""

    def grade_unfinished(
        self, content: Document, key: Document, shown: Document, answer: Document
    ) -> Graded | None:
        """The grade of an answer that is not whole, what is missing taken for wrong; None if there is nothing in it."""

    def marks(self, answer: Document) -> Iterable[tuple[str, str]]:
        """The (item, value) pairs that the running tallies count."""

    def rubric(self, key: Document):
        """What a mentor marks an answer by (marking.rubric.Rubric); asked of marked kinds only."""

    def explained(self, attempt) -> dict:
        """What quizzes/<kind>/_written.html shows a marker; asked of marked kinds only."""

    def interaction(
        self, content: Document, key: Document, answer: Document
    ) -> Interaction | None:
        """The answer as other record stores read it; None if it can't be said so."""

    def anonymous(self, answer: Document) -> dict | None:
        """What may stay of an answer when its account is deleted: nothing that was written, or None at all."""

    def answer_page(
        self, request: HttpRequest, attempt, *, errors=(), status=200
    ) -> HttpResponse:
        """The page on which an open attempt is answered; errors say why it was not taken."""

    def result_page(self, request: HttpRequest, attempt, grades) -> HttpResponse:
        """The page that explains the grades of an attempt that was handed in."""

    def room_page(self, request: HttpRequest, revision, attempts) -> HttpResponse:
        """The mentor's page on everybody's attempts at one revision."""

    def in_room(self, revision):
        """The revision as a seminar's room is asked it (quizzes.kinds.in_room.InRoom)."""
