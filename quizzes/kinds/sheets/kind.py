"""The base of a kind that asks several things on one sheet: what it need not say again."""

from __future__ import annotations

import random
from abc import ABC, abstractmethod
from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any, ClassVar

from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from quizzes.grading.items import FULL, NONE, Points, reached_at_random
from quizzes.kinds.base import Graded, OwnPages, Problem, Words
from quizzes.kinds.sheets import taking
from quizzes.kinds.sheets.rows import (
    Asked,
    Known,
    Sheet,
    key_document,
    read_key,
    read_sheet,
)
from quizzes.words import halves, pairs_agreed

Sent = Callable[[str], list[str]]
"""What a form sent for one row: the values of the field of that name, "" for the only one."""

MOST_ROWS = 40
PAGE = "quizzes:sheet-rows"


class PostedKind(OwnPages, ABC):
    """A kind whose answer one form sends whole (player.write); what is asked need not be rows."""

    @abstractmethod
    def sent(self, attempt, post) -> dict:
        """The answer that the posted form holds."""

    def saved_page(self, request, attempt, do: str) -> HttpResponse | None:
        """Where to go once the form is saved by the button of that name; None for the usual."""


class SheetKind(PostedKind):
    """A kind whose answer is one value for each row, graded row by row with full, half or no point.

    A subclass gives slug, label, counted, words, purpose, asked, known and form, and answers the questions below.
    """

    slug: ClassVar[str]
    label: Any
    counted: Any
    words: Words
    purpose: Any
    asked: ClassVar[type[Asked]]
    known: ClassVar[type[Known]]
    folder = "sheets"
    is_marked = False
    # Those that all sheets share stand in quizzes/urls.py.
    urlpatterns: ClassVar[list] = []
    bounds: Any = ""
    """What every page of the kind says of its limits, first."""
    care: Any = ""
    """The cautions that go with them, where hands on dogs, bites or health are touched."""
    styles: ClassVar[tuple[str, ...]] = ()
    """Style sheets of its own, as static files."""
    above = ""
    """A template that stands above what is asked."""
    to_read: tuple[str, Any] = ("study:module-detail", gettext_lazy("Read the module"))
    """Where its result leads back to: a page of the module by its name, and the words for it."""

    # What a kind says of one row.

    @property
    @abstractmethod
    def form(self):
        """The mentor's form of one row (forms.RowForm)."""

    @abstractmethod
    def answer_of(self, row: Asked, sent: Sent) -> Any:
        """The value that a form sent for the row; None if it is not answered."""

    @abstractmethod
    def check_one(self, row: Asked, value: Any) -> Any:
        """The value as it is stored. Raises ValidationError for what is no answer to the row."""

    @abstractmethod
    def points(self, row: Asked, known: Known, value: Any) -> Fraction:
        """1 for an answer as the key has it, ½ for one half right, 0 for another."""

    def at_random(self, row: Asked, known: Known) -> Points | None:
        """The points of guessing; None where nothing can be said of guessing."""
        return None

    @abstractmethod
    def said_of(self, row: Asked, value: Any) -> str:
        """A value in words."""

    @abstractmethod
    def key_said(self, row: Asked, known: Known) -> str:
        """What the key has for the row, in words."""

    def key_in_short(self, row: Asked, known: Known) -> str:
        """The same in as few words as a projector has room for."""
        return self.key_said(row, known)

    @abstractmethod
    def lacks(self, row: Asked, known: Known) -> list[str]:
        """What the row still needs before it can be published, in sentences."""

    @abstractmethod
    def named(self, row: Asked) -> str:
        """What the row is about, in a few words."""

    @abstractmethod
    def right(self, row: Asked, known: Known) -> Any:
        """The value that the key has, as an answer."""

    @abstractmethod
    def guess(self, row: Asked, rng: random.Random) -> Any:
        """A value at random, as the demo's trainees guess."""

    # What a kind may say otherwise.

    def begin_with(self, module) -> tuple[Sheet, dict[str, Known]]:
        """Sheet and key of a new exercise of that module's revision."""
        return Sheet((self.asked(),)), {}

    def look(self, attempt) -> dict:
        """What the pages of an attempt show of its rows, by a row's id; for _ask and _explained."""
        return {}

    def draft_look(self, draft) -> dict:
        """The same for the mentor's pages: the rows, and the sheet on paper."""
        return {}

    def room_look(self, revision, at, *, told: bool) -> dict:
        """The same for a seminar's room; at : where its pictures are (quizzes.kinds.in_room.Addresses)."""
        return {}

    def large_picture(self, look) -> Mapping | None:
        """The one picture of a row for a projector, from what `room_look` says of the row."""
        return look or None

    def room_plate(self, request, sheet: Sheet, row: str, place: str, *, told: bool):
        """A drawing of a row for the room; measured only where it may be told."""
        raise Http404

    adding = ""
    """The template with which a mentor adds rows in the kind's own way; its button does "copy"."""

    def to_add(self, user, draft) -> Any:
        """What that template needs, as `to_add`."""
        return None

    def with_added(self, sheet: Sheet, sent: Mapping, user, draft) -> Sheet:
        """The sheet with what was chosen there. Raises ValidationError."""
        return sheet

    def ask(self, sheet: Sheet, row: Asked, shown: Mapping, value: Any) -> dict:
        """What templates/quizzes/<kind>/_ask.html needs beside row, value and field."""
        return {}

    def explain(self, sheet: Sheet, row: Asked, known: Known, value: Any) -> dict:
        """What templates/quizzes/<kind>/_explained.html needs beside row, known, value and points."""
        return {}

    def also_said(self, sheet: Sheet, key: Mapping[str, Known], answer) -> list[str]:
        """Sentences on the whole answer, shown under the result's first one."""
        return []

    def warned(self, sheet: Sheet, key: Mapping[str, Known], answer) -> list[str]:
        """Sentences on what was unsafe, shown before anything else of the result."""
        return []

    def figures(self, sheet: Sheet, key: Mapping[str, Known], answer) -> list[str]:
        """Sentences with figures for those who ask, folded away under the rows."""
        return []

    def tallied(self, value: Any) -> list[str]:
        """The words under which the running tallies count a value; no longer than 20 characters."""
        return [str(value)]

    def tally_words(self, row: Asked, tallied: str) -> str:
        """Such a word as it is shown to mentors."""
        return self.said_of(row, tallied)

    def is_right(self, row: Asked, known: Known, tallied: str) -> bool:
        """Whether a counted answer is as the key has it."""
        return self.points(row, known, tallied) == FULL

    def put_together(self, row: Asked, known: Known, counts: Mapping[str, int]):
        """The answers of many at once: what was said, how often, whether it is right; the most frequent first."""
        often = sorted(counts.items(), key=lambda one: -one[1])
        return [
            {
                "said": self.tally_words(row, word),
                "count": count,
                "right": self.is_right(row, known, word),
            }
            for word, count in often
        ]

    # The rest follows.

    @property
    def new_url(self) -> str:
        return reverse("quizzes:sheet-new", args=[self.slug])

    def sheet(self, content: Mapping) -> Sheet:
        return read_sheet(self.asked, content)

    def key(self, document: Mapping) -> dict[str, Known]:
        return read_key(self.known, document)

    def known_of(self, key: Mapping[str, Known], row: Asked) -> Known:
        return key.get(row.id) or self.known()

    def about(self, row):
        return f"{self.label}."

    def done(self, n):
        if not n:
            return _("Not answered yet.")
        words = ngettext(
            "You have answered it once.", "You have answered it %(n)s times.", n
        )
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
        return _("%(agreed)s of %(counted)s as the key has it.") % values

    def parts(self, exercise_id, size):
        return [
            {
                "title": _("What is asked, and the key"),
                "url": reverse(PAGE, args=[exercise_id]),
                "note": self.purpose,
            }
        ]

    def new_content(self, size, places):
        return Sheet((self.asked(),)).document()

    def size(self, content):
        return len(content.get("items", ()))

    def items(self, content):
        return frozenset(row.id for row in self.sheet(content))

    def problems(self, content, key):
        sheet, key = self.sheet(content), self.key(key)
        if not len(sheet):
            return [Problem(PAGE, "rows", _("Nothing is asked yet: add a row."))]
        return [
            Problem(PAGE, f"row-{row.id}", f"{n}. {text}")
            for n, row in enumerate(sheet, start=1)
            for text in self.lacks(row, self.known_of(key, row))
        ]

    def differences(self, before, after):
        from quizzes.kinds.sheets.differences import sheet_differences

        return sheet_differences(self, before, after)

    def texts(self, content, key):
        from quizzes.kinds.sheets.differences import sheet_texts

        return sheet_texts(self, content, key)

    def forget_pictures(self, content, club):
        """Most such kinds show no photographs of their own."""

    def show(self, content, *, rng, again):
        order = [row.id for row in self.sheet(content)]
        if content.get("mixed", True):
            rng.shuffle(order)
        return {"order": order}

    def on_paper(self, content: Mapping) -> dict:
        """What the printed sheet shows: its rows in the mentor's order, as the key beside it has them."""
        return {"order": [row.id for row in self.sheet(content)]}

    def check(self, content, shown, answer):
        sent = answer.get("items") if isinstance(answer, Mapping) else None
        rows = self.sheet(content).by_id
        if not isinstance(sent, Mapping) or not set(sent) <= set(rows):
            raise ValidationError(_("This is no answer to this sheet."), code="form")
        given = {
            pk: self.check_one(rows[pk], value)
            for pk, value in sent.items()
            if value is not None
        }
        return {"items": given}

    def missing(self, content, shown, answer):
        given = answer.get("items", {})
        order = shown["order"]
        left = [str(n) for n, pk in enumerate(order, start=1) if pk not in given]
        if not left:
            return []
        text = ngettext(
            "One thing is not answered yet: number %(which)s.",
            "%(n)s things are not answered yet: numbers %(which)s.",
            len(left),
        )
        return [text % {"n": len(left), "which": ", ".join(left)}]

    def grade(self, content, key, answer) -> Graded:
        sheet, key, given = self.sheet(content), self.key(key), answer["items"]
        known = {row.id: self.known_of(key, row) for row in sheet}
        reached = {
            row.id: self.points(row, known[row.id], given[row.id])
            for row in sheet
            if row.id in given
        }
        total = sum(reached.values(), NONE)
        guesses = [self.at_random(row, known[row.id]) for row in sheet]
        chance = (
            None
            if None in guesses or not guesses
            else reached_at_random(guesses, total)
        )
        return Graded(
            share=float(total / len(sheet)) if len(sheet) else None,
            agreed=float(total),
            counted=len(sheet),
            chance=chance,
            result={"points": {pk: float(n) for pk, n in reached.items()}},
        )

    def grade_unfinished(self, content, key, shown, answer):
        return self.grade(content, key, answer) if answer["items"] else None

    def marks(self, answer):
        for pk, value in answer["items"].items():
            for word in self.tallied(value):
                yield pk, word

    def stored(self, sheet: Sheet, key: Mapping[str, Known]) -> dict:
        """Content and key as a revision keeps them; a row that is gone takes its key along."""
        kept = {row.id: key[row.id] for row in sheet if row.id in key}
        return {"content": sheet.document(), "key": key_document(kept)}

    def sent(self, attempt, post):
        from quizzes.kinds.sheets.player import sent_rows

        return sent_rows(self, attempt.revision.content, post)

    def interaction(self, content, key, answer):
        return taking.interaction(self, content, answer)

    def anonymous(self, answer):
        return taking.anonymous(answer)
