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

    All that is wrong is said at once (`KeyProblems`).
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
    draft, problems = _KeyDraft(), []
    for row in rows:
        try:
            draft.add(armband(row["armband"]), row["place"], row["cut"], row["ruling"])
        except KeyProblem as problem:
            problems.append(_on_line(row["line"], problem))
    problems += draft.problems_of_cuts(every_line=not problems)
    if problems:
        raise KeyProblems(problems)
    return draft.key()


class KeyProblems(KeyProblem):
    """All that must be mended in the table of a key."""

    def __init__(self, problems: list[KeyProblem]) -> None:
        super().__init__(" ".join(map(str, problems)))
        self.problems = problems


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
            if cut:
                _whole("cut", cut, dog)
            self.places.setdefault(number, []).append(dog)
            self.cuts.setdefault(number, set()).update({cut} - {""})
        else:
            self.unplaced.append(dog)

    def key(self) -> Key:
        order = tuple(tuple(self.places[place]) for place in sorted(self.places))
        cuts = [int(min(texts)) for _place, texts in sorted(self.cuts.items()) if texts]
        return Key(order, tuple(cuts) or None, self.rulings, tuple(self.unplaced))

    def _placed(self) -> Iterator[str]:
        return (dog for group in self.places.values() for dog in group)

    def problems_of_cuts(self, *, every_line: bool) -> list[KeyProblem]:
        """Return what keeps the cuts from being one for each place but the last.

        every_line : all lines of the table could be read, so the last place is known
        """
        given = {place: texts for place, texts in self.cuts.items() if texts}
        if not given:
            return []
        last = max(self.places)
        problems = [self._problem_of_cut(place, last) for place in sorted(self.places)]
        open_end = self.unplaced or "withheld" in self.rulings.values()
        if last in given and every_line and not open_end:
            text = "Place %(place)d is the last and has a cut; leave it blank."
            problems.append(KeyProblem(text, place=last))
        return [problem for problem in problems if problem]

    def _problem_of_cut(self, place: int, last: int) -> KeyProblem | None:
        texts = self.cuts[place]
        if len(texts) > 1:
            text = "Place %(place)d has different cuts: %(cuts)s."
            return KeyProblem(text, place=place, cuts=", ".join(sorted(texts)))
        if not texts and place != last:
            text = "Place %(place)d has no cut; every place but the last needs one."
            return KeyProblem(text, place=place)
        return None


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
