"""Reading a key from a table."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from quizzes.grading.cards import armband
from quizzes.grading.model import RULINGS, Key
from quizzes.grading.problems import KeyProblem
from quizzes.grading.table import read_table


def read_key(data: bytes | str) -> Key:
    """Return the key of KEY.csv; raises KeyProblem that says what to mend.

    Dogs with the same place may stand in either order; numbers may be left out between
    places. A dog with neither place nor ruling is unplaced. The cut of a place may
    stand with any of its dogs, and is blank for the last unless dogs are unplaced.
    """
    rows = read_table(
        data,
        required=("armband", "place"),
        optional=("cut", "ruling"),
        refuse=KeyProblem,
    )
    draft = _KeyDraft()
    for row in rows:
        try:
            draft.add(armband(row["armband"]), row["place"], row["cut"], row["ruling"])
        except KeyProblem as problem:
            raise _on_line(row["line"], problem) from problem
    return draft.key()


def _on_line(line: str, problem: KeyProblem) -> KeyProblem:
    return KeyProblem("Line %(line)s: " + problem.template, line=line, **problem.values)


@dataclass
class _KeyDraft:
    """A key as its lines come in."""

    places: dict[int, list[str]] = field(default_factory=dict)
    cuts: dict[int, set[str]] = field(default_factory=dict)
    rulings: dict[str, str] = field(default_factory=dict)
    unplaced: list[str] = field(default_factory=list)

    def add(self, dog: str, place: str, cut: str, ruling: str) -> None:
        if not dog:
            raise KeyProblem("There is no armband.")
        if dog in self.unplaced or dog in self.rulings or dog in self._placed():
            raise KeyProblem("Armband %(dog)s is in the key twice.", dog=dog)
        if place and ruling:
            problem = "Armband %(dog)s has a place as well as the ruling %(ruling)s."
            raise KeyProblem(problem, dog=dog, ruling=ruling)
        if cut and not place:
            raise KeyProblem("Armband %(dog)s has a cut but no place.", dog=dog)
        if ruling:
            self.rulings[dog] = _ruling(dog, ruling)
        elif place:
            number = _whole("place", place, dog)
            self.places.setdefault(number, []).append(dog)
            self.cuts.setdefault(number, set()).update({cut} - {""})
        else:
            self.unplaced.append(dog)

    def key(self) -> Key:
        order = tuple(tuple(self.places[place]) for place in sorted(self.places))
        return Key(order, self._cuts(), self.rulings, tuple(self.unplaced))

    def _placed(self) -> Iterator[str]:
        return (dog for group in self.places.values() for dog in group)

    def _cuts(self) -> tuple[int, ...] | None:
        if not any(self.cuts.values()):
            return None
        cuts = []
        for place in sorted(self.places):
            texts = self.cuts[place]
            if len(texts) > 1:
                problem = "Place %(place)d has different cuts: %(cuts)s."
                raise KeyProblem(problem, place=place, cuts=", ".join(sorted(texts)))
            if texts:
                cuts.append(_whole("cut", min(texts), self.places[place][0]))
            elif place != max(self.places):
                problem = (
                    "Place %(place)d has no cut; every place but the last needs one."
                )
                raise KeyProblem(problem, place=place)
        self._check_last(len(cuts))
        return tuple(cuts)

    def _check_last(self, given: int) -> None:
        open_end = self.unplaced or "withheld" in self.rulings.values()
        if given == len(self.places) and not open_end:
            problem = "Place %(place)d is the last and has a cut; leave it blank."
            raise KeyProblem(problem, place=max(self.places))


def _ruling(dog: str, text: str) -> str:
    ruling = text.casefold()
    if ruling not in RULINGS:
        problem = "Armband %(dog)s has an unknown ruling %(text)s; use %(known)s."
        raise KeyProblem(problem, dog=dog, text=text, known=", ".join(RULINGS))
    return ruling


def _whole(what: str, text: str, dog: str) -> int:
    if not re.fullmatch("[0-9]{1,4}", text) or (what == "place" and int(text) == 0):
        problem = (
            "The %(what)s of armband %(dog)s is %(text)s, not a whole number from 1."
        )
        raise KeyProblem(problem, what=what, dog=dog, text=text)
    return int(text)
