"""What the generator is given and what it gives back, as plain values."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

from quizzes.grading.problems import Problem
from quizzes.grading.weights import rank_order_centroid, whole_weights

LEVELS = 5
SMALLEST, LARGEST = 3, 12
Difficulty = Literal["plain", "middling", "close"]
Ruling = Literal["disqualified", "excused"]
Document = dict[str, Any]


def gettext_noop(text: str) -> str:
    """Marks a sentence that a site may translate; here it stays as it is."""
    return text


class WishProblem(Problem):
    """A wish that can't be met; the text says what to mend."""


class Note(str):
    """A sentence for the mentor; a site can translate ``template`` and fill in ``values``."""

    template: str
    values: Mapping[str, object]

    def __new__(cls, template: str, **values: object) -> Note:
        note = super().__new__(cls, template % values)
        note.template, note.values = template, values
        return note


@dataclass(frozen=True)
class Priority:
    """One thing the mentor weighs.

    weight : None for all priorities of a module, which then are weighted by rank
    phrases : one for each level, from 0 (faulty) to 4 (ideal)
    faults : codes of ``quizzes.plates`` that draw it, the most telling one first
    by_hand : only the hand can tell, so it stays out of the drawing
    """

    slug: str
    name: str
    weight: float | None
    phrases: tuple[str, ...]
    faults: tuple[str, ...] = ()
    by_hand: bool = False


@dataclass(frozen=True)
class ModuleFault:
    """A fault of the module; only "disqualify" and "excuse" keep a dog from a place."""

    name: str
    ruling: str
    description: str = ""


@dataclass(frozen=True)
class Wish:
    """The class that is wanted.

    size : dogs in the ring, the odd one included
    breed : slug in ``quizzes.plates.BREEDS``; any other is not drawn
    build : what every dog departs from that breed in, as the class's dogs keep it
    places : how many are placed; None for all
    odd_one : ruling that one of the dogs needs
    either_below : neighbours whose certainty is lower may stand in either order
    """

    size: int
    difficulty: Difficulty
    sex: Literal["dog", "bitch", "mixed"]
    class_name: str
    breed: str
    seed: int | str
    places: int | None = None
    odd_one: Ruling | None = None
    either_below: float = 0.0
    build: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class MadeClass:
    """A class as the documents it is stored as.

    difficulty_measured : share of pairs a standard trainee is expected to get right
    notes : what could not be done as wished, in sentences for the mentor
    """

    content: Document
    key: Document
    difficulty_measured: float
    notes: tuple[Note, ...] = ()


@dataclass(frozen=True)
class Changes:
    """What a mentor changes in a class; what is not named stays or is derived anew.

    levels : dog id -> priority slug -> level
    texts : dog id -> "ringside" or "hands_on" -> text
    reasons : (upper id, lower id) -> "reason" or "grant" -> text
    """

    levels: Mapping[str, Mapping[str, int]] = field(default_factory=dict)
    texts: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    order: Sequence[str] | None = None
    cuts: Sequence[int | None] | None = None
    level: Sequence[int] | None = None
    reasons: Mapping[tuple[str, str], Mapping[str, str]] = field(default_factory=dict)


def weights_of(priorities: Sequence[Priority]) -> tuple[int, ...]:
    """Whole weights of the priorities, from their ranks if the mentor gave none."""
    given = [priority.weight for priority in priorities]
    known = [weight for weight in given if weight is not None]
    if not known:
        return whole_weights(rank_order_centroid(len(priorities)))
    if len(known) < len(given) or min(known) <= 0:
        text = gettext_noop("Give every priority a weight above 0, or none of them.")
        raise WishProblem(text)
    return whole_weights(known)


def check_priorities(priorities: Sequence[Priority]) -> None:
    """Raise WishProblem if a class can't be made from these priorities."""
    if not priorities:
        text = gettext_noop("The module has no priorities to make a class from.")
        raise WishProblem(text)
    for priority in priorities:
        if len(priority.phrases) != LEVELS or not all(map(str.strip, priority.phrases)):
            text = gettext_noop("%(name)s needs a phrase for each of five levels.")
            raise WishProblem(text, name=priority.name)
    weights_of(priorities)


def check_wish(wish: Wish) -> None:
    """Raise WishProblem if no class can be as wished."""
    if not SMALLEST <= wish.size <= LARGEST:
        text = gettext_noop("A class has from %(least)s to %(most)s dogs.")
        raise WishProblem(text, least=SMALLEST, most=LARGEST)
    if wish.sex not in ("dog", "bitch", "mixed"):
        text = gettext_noop("%(sex)s is no sex of a class: dog, bitch or mixed.")
        raise WishProblem(text, sex=wish.sex)
    placed = wish.size - bool(wish.odd_one)
    if wish.places is not None and not 1 <= wish.places <= placed:
        text = gettext_noop("Give from 1 to %(most)s places.")
        raise WishProblem(text, most=placed)
    if not 0 <= wish.either_below <= 1:
        raise WishProblem(gettext_noop("A certainty lies between 0 and 1."))
