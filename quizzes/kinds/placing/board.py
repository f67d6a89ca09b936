"""The board: which dog stands where, and which have a ruling instead. Pure; every move gives a new board."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import pairwise

from django.core.exceptions import ValidationError
from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

LONGEST_REASON = 200
LONGEST_SLUG = 50
MOST_REASONS = 3
"""Priorities named for a pair; who names all of them names none."""


class Ruling(models.TextChoices):
    """What is recorded instead of a place; whether the book wants a reason."""

    ABSENT = "absent", gettext_lazy("Absent")
    EXCUSED = "excused", gettext_lazy("Excused")
    DISQUALIFIED = "disqualified", gettext_lazy("Disqualified")
    WITHHELD = "withheld", gettext_lazy("Withheld")

    @property
    def meaning(self) -> str:
        return {
            "absent": _("Entered, not brought into the ring."),
            "excused": _("Leaves the ring this time; may be shown another day."),
            "disqualified": _("For a fault that the standard or the rules name."),
            "withheld": _("Stays in the ring; no award, for lack of merit."),
        }[self.value]

    @property
    def needs_reason(self) -> bool:
        return self.value != "absent"


def written(reason: str) -> str:
    """The reason on one line, without what no database keeps (null bytes, half characters)."""
    line = " ".join(reason.split())
    return "".join(filter(str.isprintable, line))[:LONGEST_REASON].strip()


def refuse(message: str, code: str, **params: object) -> ValidationError:
    return ValidationError(message, code=code, params=params)


@dataclass(frozen=True)
class Board:
    """The dogs placed so far, best first, and the rulings of others.

    dogs : ids of all dogs in ring order
    places : how many places are given, None for all
    order : ids placed, no gaps: a place is free only below all places that are taken
    rulings : dog id -> {"ruling", "reason"}
    handled : ids gone over with the hand, where the class asks for that; nothing is graded by it
    reasons : by "upper>lower", {"for": priorities that decide, "grant": one or none}, where the class asks for them
    """

    dogs: tuple[str, ...]
    places: int | None = None
    order: tuple[str, ...] = ()
    rulings: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    handled: tuple[str, ...] = ()
    reasons: Mapping[str, Mapping] = field(default_factory=dict)

    @property
    def rows(self) -> int:
        """How many places the board shows."""
        return min(self.places or len(self.dogs), len(self.dogs) - len(self.rulings))

    @property
    def in_line(self) -> tuple[str, ...]:
        """Dogs with neither place nor ruling, in ring order."""
        return tuple(
            dog
            for dog in self.dogs
            if dog not in self.order and dog not in self.rulings
        )

    @property
    def is_full(self) -> bool:
        return len(self.order) >= self.rows

    @property
    def is_complete(self) -> bool:
        """True if the placing can be handed in."""
        return self.is_full and bool(self.order or self.rulings)

    def _known(self, dog: str) -> None:
        if dog not in self.dogs:
            raise refuse(_("This dog is not in the class."), "unknown-dog")

    def place(self, dog: str) -> Board:
        """Give the dog the first free place; a dog that has a place keeps it."""
        self._known(dog)
        if dog in self.order:
            return self
        board = self.clear_ruling(dog)
        if board.is_full:
            text = _(
                "All places are taken: take one back, or move it down to make room."
            )
            raise refuse(text, "full")
        return board._with(order=(*board.order, dog))

    def take_back(self, dog: str) -> Board:
        """Back into the line; the dogs below move up one place."""
        return self._with(order=tuple(other for other in self.order if other != dog))

    def put(self, dog: str, place: int) -> Board:
        """Move a placed dog to a place, 1 for first; the others close up."""
        if dog not in self.order:
            raise refuse(_("Place this dog first, then move it."), "not-placed")
        if not 1 <= place <= len(self.order):
            raise refuse(
                _("Give a place from 1 to %(last)s."),
                "no-such-place",
                last=len(self.order),
            )
        others = [other for other in self.order if other != dog]
        others.insert(place - 1, dog)
        return self._with(order=tuple(others))

    def move(self, dog: str, by: int) -> Board:
        """Move a placed dog up (-1) or down (+1); at the end nothing changes."""
        if dog not in self.order:
            raise refuse(_("Place this dog first, then move it."), "not-placed")
        place = self.order.index(dog) + 1 + by
        return self.put(dog, min(max(place, 1), len(self.order)))

    def rule(self, dog: str, ruling: str, reason: str = "") -> Board:
        """Record a ruling instead of a place."""
        self._known(dog)
        reason = written(reason)
        if ruling not in Ruling.values:
            raise refuse(_("Choose one of the rulings."), "no-ruling")
        if Ruling(ruling).needs_reason and not reason:
            raise refuse(
                _("Give the reason, as it goes in the judge's book."), "no-reason"
            )
        entry = {"ruling": ruling, "reason": reason}
        return self.take_back(dog)._with(rulings={**self.rulings, dog: entry})

    def withhold_rest(self, reason: str) -> Board:
        """No award for any dog that is still in the line."""
        board = self
        for dog in self.in_line:
            board = board.rule(dog, Ruling.WITHHELD, reason)
        return board

    def go_over(self, dog: str) -> Board:
        """Note that the dog was gone over with the hand."""
        self._known(dog)
        return self._with(handled=tuple(dict.fromkeys((*self.handled, dog))))

    @property
    def neighbours(self) -> tuple[tuple[str, str], ...]:
        """Each placed dog with the one below it."""
        return tuple(pairwise(self.order))

    def give_reasons(self, pair: str, said: Mapping) -> Board:
        """Reasons for a pair; they stay when the dogs part, and count when they are neighbours again."""
        upper, _between, lower = pair.partition(">")
        self._known(upper)
        self._known(lower)
        named = said.get("for", []) if isinstance(said, Mapping) else None
        grant = said.get("grant", "") if isinstance(said, Mapping) else None
        slugs = [*named, grant] if isinstance(named, list) else [None]
        if not all(isinstance(one, str) and len(one) <= LONGEST_SLUG for one in slugs):
            raise refuse(_("These are no reasons."), "form")
        if len(named) > MOST_REASONS:
            text = _("Name at most %(n)s priorities for a pair: the ones that decide.")
            raise refuse(text, "many", n=MOST_REASONS)
        entry = {"for": list(dict.fromkeys(named)), "grant": grant}
        return self._with(reasons={**self.reasons, pair: entry})

    def reasons_for(self, upper: str, lower: str) -> Mapping:
        return self.reasons.get(f"{upper}>{lower}", {"for": [], "grant": ""})

    @property
    def without_reasons(self) -> tuple[tuple[str, str], ...]:
        """Neighbours for whom no priority is named yet."""
        return tuple(
            pair for pair in self.neighbours if not self.reasons_for(*pair)["for"]
        )

    def clear_ruling(self, dog: str) -> Board:
        rest = {other: entry for other, entry in self.rulings.items() if other != dog}
        return self._with(rulings=rest)

    def _with(self, **changes: object) -> Board:
        fields = {
            "dogs": self.dogs,
            "places": self.places,
            "order": self.order,
            "rulings": self.rulings,
            "handled": self.handled,
            "reasons": self.reasons,
        }
        return Board(**{**fields, **changes})  # type: ignore[arg-type]

    def answer(self) -> dict:
        """The document an attempt stores."""
        rulings = {dog: dict(entry) for dog, entry in self.rulings.items()}
        handled = {"handled": list(self.handled)} if self.handled else {}
        reasons = {"reasons": dict(self.reasons)} if self.reasons else {}
        return {"order": list(self.order), "rulings": rulings, **handled, **reasons}

    @classmethod
    def read(cls, answer: Mapping, dogs: tuple[str, ...], places: int | None) -> Board:
        """The board of a stored or sent answer, built move by move so that each is checked.

        Raises ValidationError for dogs that are not in the class, are named twice, or are
        both placed and ruled out, and for more dogs than there are places.
        """
        if not isinstance(answer, Mapping):
            raise refuse(_("This is not a placing."), "form")
        order, rulings = answer.get("order", []), answer.get("rulings", {})
        handled, reasons = answer.get("handled", []), answer.get("reasons", {})
        lists = isinstance(order, list) and isinstance(handled, list)
        if not lists or not isinstance(rulings, dict) or not isinstance(reasons, dict):
            raise refuse(_("This is not a placing."), "form")
        named = [*map(str, order), *rulings]
        if len(set(named)) != len(named):
            raise refuse(_("A dog is named twice in this placing."), "twice")
        board = cls(dogs=dogs, places=places)
        for dog, entry in rulings.items():
            if not isinstance(entry, dict):
                raise refuse(_("This is not a placing."), "form")
            board = board.rule(
                dog, str(entry.get("ruling")), str(entry.get("reason", ""))
            )
        for dog in order:
            board = board.place(str(dog))
        for dog in handled:
            board = board.go_over(str(dog))
        for pair, said in reasons.items():
            board = board.give_reasons(pair, said)
        return board
