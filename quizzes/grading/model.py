"""The plain values that grading takes and gives: a key, an answer, and a grade."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, field
from fractions import Fraction
from functools import cached_property
from typing import Any, Literal, TypeAlias

from quizzes.grading.cuts import cut_problem
from quizzes.grading.problems import AnswerProblem, KeyProblem, Problem

Dog: TypeAlias = Any  # any hashable; str or int if the grade is to be stored as JSON
Groups: TypeAlias = tuple[tuple[Dog, ...], ...]
Verdict: TypeAlias = Literal["agreed", "disagreed", "half", "open", "undecided"]

RULINGS = ("excused", "disqualified", "absent", "withheld")
"""What can be recorded instead of a place; a grade codes them 1 to 4 in this order."""

MOST_DOGS = 30
"""Sums over the pairs of a larger class would not stay exact in double precision."""


@dataclass(frozen=True)
class Key:
    """The mentor's placing of one class.

    Parameters
    ----------
    order : tuple of tuples of dogs
        Tie groups, best first; the dogs of one group may stand in either order.
    cuts : tuple of int, or None
        One cut per gap between consecutive groups. If dogs are left without a place,
        one more cut may follow, from the last group down to them (0 if it is left out).
        None: no cut score.
    rulings : mapping of dog to ruling
        ``excused``, ``disqualified`` and ``absent`` dogs take no part in the pairs. A
        ``withheld`` dog stays in the ring without an award, below every placed dog.
    unplaced : tuple of dogs
        Dogs that were seen and got no place, as in a key that places the first four of
        ten.

    Raises
    ------
    KeyProblem
        With a sentence that says what to mend.
    """

    order: Groups
    cuts: tuple[int, ...] | None = None
    rulings: Mapping[Dog, str] = field(default_factory=dict, hash=False)
    unplaced: tuple[Dog, ...] = ()

    def __post_init__(self) -> None:
        _normalise(self)
        object.__setattr__(self, "unplaced", tuple(self.unplaced))
        _check_dogs(self, KeyProblem, "The key", self.unplaced)
        self._check_class()
        if self.cuts is not None:
            object.__setattr__(self, "cuts", tuple(self.cuts))
            problem = cut_problem(
                self.group_sizes, self.cuts, open_end=bool(self.bucket)
            )
            if problem:
                raise problem

    def _check_class(self) -> None:
        if not self.order:
            raise KeyProblem("The key places no dog; give at least one dog a place.")
        for dog in self.unplaced:
            if self.rulings.get(dog, "withheld") != "withheld":
                raise KeyProblem(
                    "The key has %(dog)s unplaced as well as %(ruling)s.",
                    dog=dog,
                    ruling=self.rulings[dog],
                )
        if len(self.dogs) > MOST_DOGS:
            raise KeyProblem(
                "The key has %(dogs)d dogs; a class has at most %(most)d.",
                dogs=len(self.dogs),
                most=MOST_DOGS,
            )

    @cached_property
    def placed(self) -> tuple[Dog, ...]:
        """Dogs with a place, best first."""
        return tuple(dog for group in self.order for dog in group)

    @cached_property
    def bucket(self) -> tuple[Dog, ...]:
        """Dogs in the ring without a place, level: unplaced, then withheld."""
        withheld = (
            dog
            for dog, ruling in self.rulings.items()
            if ruling == "withheld" and dog not in self.unplaced
        )
        return self.unplaced + tuple(withheld)

    @cached_property
    def ring(self) -> tuple[Dog, ...]:
        """The dogs the key orders: placed, then bucket. Only these make pairs."""
        return self.placed + self.bucket

    @cached_property
    def ruled_out(self) -> tuple[Dog, ...]:
        """Dogs that were excused, disqualified or absent."""
        return tuple(
            dog for dog, ruling in self.rulings.items() if ruling != "withheld"
        )

    @cached_property
    def dogs(self) -> tuple[Dog, ...]:
        """Every dog of the class: the ring, then those ruled out."""
        return self.ring + self.ruled_out

    @cached_property
    def group_sizes(self) -> tuple[int, ...]:
        """Dogs in each tie group, the bucket last if it is not empty."""
        sizes = tuple(len(group) for group in self.order)
        return (*sizes, len(self.bucket)) if self.bucket else sizes

    @property
    def separated(self) -> int:
        """How many pairs of dogs the key has in an order."""
        sizes = self.group_sizes
        n = sum(sizes)
        return (n * (n - 1) - sum(size * (size - 1) for size in sizes)) // 2

    @cached_property
    def gaps(self) -> tuple[int, ...] | None:
        """One cut per gap, that down to the bucket included; None without cuts."""
        if self.cuts is None:
            return None
        return self.cuts + (0,) * (len(self.group_sizes) - 1 - len(self.cuts))


@dataclass(frozen=True)
class Answer:
    """A trainee's placing: tie groups, best first; missing dogs were left unplaced.

    Raises AnswerProblem if a dog occurs twice, or has both a place and a ruling.
    """

    order: Groups
    rulings: Mapping[Dog, str] = field(default_factory=dict, hash=False)

    def __post_init__(self) -> None:
        _normalise(self)
        _check_dogs(self, AnswerProblem, "The answer", ())


def _normalise(placing: Key | Answer) -> None:
    """Copy what was passed, so that a later change cannot reach a frozen value."""
    object.__setattr__(placing, "order", tuple(tuple(group) for group in placing.order))
    object.__setattr__(placing, "rulings", dict(placing.rulings))


def _check_dogs(
    placing: Key | Answer,
    refuse: type[Problem],
    whose: str,
    unplaced: Iterable[Dog],
) -> None:
    seen: set[Dog] = set()
    for group in placing.order:
        if not group:
            raise refuse("%(whose)s has a place without a dog.", whose=whose)
    for dog in (*(dog for group in placing.order for dog in group), *unplaced):
        if dog in seen:
            raise refuse("%(whose)s has %(dog)s twice.", whose=whose, dog=dog)
        seen.add(dog)
    for dog, ruling in placing.rulings.items():
        if ruling not in RULINGS:
            raise refuse(
                "%(whose)s has an unknown ruling for %(dog)s: %(ruling)s.",
                whose=whose,
                dog=dog,
                ruling=ruling,
            )
        if any(dog in group for group in placing.order):
            raise refuse(
                "%(whose)s has %(dog)s both placed and %(ruling)s.",
                whose=whose,
                dog=dog,
                ruling=ruling,
            )


@dataclass(frozen=True)
class Pair:
    """Two dogs of the ring, ``upper`` above or level with ``lower`` in the key.

    ``verdict`` is ``agreed`` or ``disagreed``; ``half`` if the answer has them level;
    ``open`` if the key has them level; ``undecided`` if the answer placed neither and
    was not asked to. ``cut`` is the sum of the cuts between the two, None if the key
    has no cuts.
    """

    upper: Dog
    lower: Dog
    verdict: Verdict
    cut: int | None


@dataclass(frozen=True)
class Rulings:
    """Dogs ruled as in the key, not ruled though the key does, and ruled otherwise."""

    right: tuple[Dog, ...] = ()
    missed: tuple[Dog, ...] = ()
    wrong: tuple[Dog, ...] = ()


@dataclass(frozen=True)
class Grade:
    """How one answer compares with the key. None means that a value is undefined.

    Attributes
    ----------
    pairs_agreed, pairs_counted, share : float, int, float in [0, 1]
        Pairs in the mentor's order (a half pair is .5), pairs that count, and their
        ratio.
    random_as_good : Fraction
        Exact probability that a random order of the same form has at least this share.
        None without a share, and for classes above twelve with ties on both sides too
        many to count.
    first_right : bool
        Whether the dog put first is first in the key; any of several that are level
        there. None if the key separates no two dogs.
    placed_found, placed_in_key : int
        Placed dogs of the key that the answer placed as well, and how many the key
        placed.
    rulings : Rulings
    score, gap_share : float in [0, 50], float in [0, 1]
        Fifty less the cuts of reversed pairs, and the share with each pair weighted by
        its cut.
    places_moved, mean_places_moved : float
        Spearman's footrule on midranks, summed over the ring and per dog.
    weighted_tau, tau_b, tau_x, rho : float in [-1, 1]
        See ``quizzes.grading.measures``.
    pairs : tuple of Pair
        All pairs of the ring, in key order.
    """

    pairs_agreed: float
    pairs_counted: int
    share: float | None
    random_as_good: Fraction | None
    first_right: bool | None
    placed_found: int
    placed_in_key: int
    rulings: Rulings
    score: float | None
    gap_share: float | None
    places_moved: float | None
    mean_places_moved: float | None
    weighted_tau: float | None
    tau_b: float | None
    tau_x: float | None
    rho: float | None
    pairs: tuple[Pair, ...]

    def to_dict(self) -> dict[str, Any]:
        """Return values that JSON can hold, provided that dogs are str or int."""
        stored = asdict(self)
        stored["random_as_good"] = (
            None if self.random_as_good is None else str(self.random_as_good)
        )
        stored["rulings"] = {
            name: list(dogs) for name, dogs in stored["rulings"].items()
        }
        stored["pairs"] = [
            [pair.upper, pair.lower, pair.verdict, pair.cut] for pair in self.pairs
        ]
        return stored

    @classmethod
    def from_dict(cls, stored: Mapping[str, Any]) -> Grade:
        """Rebuild a grade from ``to_dict``, before or after a trip through JSON."""
        chance = stored["random_as_good"]
        return cls(
            **{
                **stored,
                "random_as_good": None if chance is None else Fraction(chance),
                "rulings": Rulings(
                    **{name: tuple(dogs) for name, dogs in stored["rulings"].items()}
                ),
                "pairs": tuple(Pair(*pair) for pair in stored["pairs"]),
            }
        )
