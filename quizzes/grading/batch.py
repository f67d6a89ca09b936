"""Grading: many answers against one key as arrays, and one answer as a Grade."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from quizzes.grading import measures
from quizzes.grading.chance import Form, chance_of
from quizzes.grading.model import RULINGS, Answer, Dog, Grade, Key, Rulings
from quizzes.grading.pairs import (
    UNPLACED,
    Bools,
    Floats,
    Ints,
    pairs_of,
    plan_of,
    sums_of,
)
from quizzes.grading.problems import AnswerProblem

RULING_CODE = {"": 0} | {ruling: code for code, ruling in enumerate(RULINGS, start=1)}


@dataclass(frozen=True)
class AnswerArrays:
    """Answers as numbers, a row each; columns are ``key.dogs``.

    Attributes
    ----------
    places : int8 array, shape (m, n)
        Place of each dog from 1, equal for a tie, 0 for none. Only their order matters
        to a grade.
    rulings : int8 array, shape (m, n)
        0 for none, else 1 and up in the order of ``RULINGS``.
    """

    places: NDArray[np.int8]
    rulings: NDArray[np.int8]

    def __len__(self) -> int:
        return len(self.places)


def encode(key: Key, answers: Sequence[Answer]) -> AnswerArrays:
    """Return answers as arrays; level dogs share the smallest of their places.

    Raises AnswerProblem if an answer names a dog that is not in the class.
    """
    column = {dog: at for at, dog in enumerate(key.dogs)}
    places = np.zeros((len(answers), len(column)), np.int8)
    rulings = np.zeros_like(places)
    for row, answer in enumerate(answers):
        place = 1
        for group in answer.order:
            for dog in group:
                places[row, _find(column, dog)] = place
            place += len(group)
        for dog, ruling in answer.rulings.items():
            rulings[row, _find(column, dog)] = RULING_CODE[ruling]
    return AnswerArrays(places, rulings)


def _find(column: dict[Dog, int], dog: Dog) -> int:
    if dog not in column:
        raise AnswerProblem(
            "The answer has %(dog)s, which is not in the class.", dog=dog
        )
    return column[dog]


@dataclass(frozen=True)
class GradeArrays:
    """The grades of m answers against one key.

    Names are those of ``Grade``. Counts and figures have shape (m,); nan marks an
    undefined figure, also in ``first_right``, which is 1 or 0. The rulings are of shape
    (m, n) with the columns of ``key.dogs``. ``chances`` are the distinct probabilities,
    ``chance_at`` says whose is which.
    """

    key: Key
    answers: AnswerArrays
    pairs_agreed: Floats
    pairs_counted: Ints
    share: Floats
    chances: tuple[Fraction | None, ...]
    chance_at: NDArray[np.intp]
    first_right: Floats
    placed_found: Ints
    rulings_right: Bools
    rulings_missed: Bools
    rulings_wrong: Bools
    score: Floats
    gap_share: Floats
    places_moved: Floats
    mean_places_moved: Floats
    weighted_tau: Floats
    tau_b: Floats
    tau_x: Floats
    rho: Floats

    def __len__(self) -> int:
        return len(self.share)

    @property
    def random_as_good(self) -> Floats:
        """The chances in floating point, nan where there is none."""
        values = [
            np.nan if chance is None else float(chance) for chance in self.chances
        ]
        return np.array(values, float)[self.chance_at]

    def grade(self, at: int) -> Grade:
        """Return the grade of one answer with its pairs; undefined figures are None."""
        dogs = self.key.dogs
        right, missed, wrong = (
            tuple(dogs[column] for column in np.flatnonzero(which[at]))
            for which in (self.rulings_right, self.rulings_missed, self.rulings_wrong)
        )
        first = self.first_right[at]
        return Grade(
            pairs_agreed=float(self.pairs_agreed[at]),
            pairs_counted=int(self.pairs_counted[at]),
            share=_or_none(self.share[at]),
            random_as_good=self.chances[self.chance_at[at]],
            first_right=None if np.isnan(first) else bool(first),
            placed_found=int(self.placed_found[at]),
            placed_in_key=len(self.key.placed),
            rulings=Rulings(right, missed, wrong),
            score=_or_none(self.score[at]),
            gap_share=_or_none(self.gap_share[at]),
            places_moved=_or_none(self.places_moved[at]),
            mean_places_moved=_or_none(self.mean_places_moved[at]),
            weighted_tau=_or_none(self.weighted_tau[at]),
            tau_b=_or_none(self.tau_b[at]),
            tau_x=_or_none(self.tau_x[at]),
            rho=_or_none(self.rho[at]),
            pairs=pairs_of(
                self.key, _ring(self.key, self.answers.places[at : at + 1])[:, 0]
            ),
        )


def _or_none(value: np.float64) -> float | None:
    return None if np.isnan(value) else float(value)


def grade(key: Key, answer: Answer) -> Grade:
    """Return the grade of one answer.

    Dogs that the key orders and the answer ruled out count as unplaced by the answer.
    Dogs that the key ruled out make no pairs; placing one is a missed ruling. See
    ``pairs`` for which pairs count.

    Raises AnswerProblem if the answer names a dog that is not in the class.
    """
    return grade_many(key, [answer]).grade(0)


def grade_many(key: Key, answers: Sequence[Answer] | AnswerArrays) -> GradeArrays:
    """Return the grades of many answers, the same numbers as ``grade`` gives for each.

    Parameters
    ----------
    key : Key
    answers : sequence of Answer, or AnswerArrays with the columns of ``key.dogs``

    Raises
    ------
    AnswerProblem
        If an answer names a dog that is not in the class.
    """
    arrays = answers if isinstance(answers, AnswerArrays) else encode(key, answers)
    plan = plan_of(key)
    ring = _ring(key, arrays.places)
    sums = sums_of(plan, ring)
    agreed, counted = measures.agreed_and_counted(sums)
    chances, chance_at = _chances(plan.form, ring, agreed, counted)
    undefined = np.full(len(arrays), np.nan)
    moved = measures.places_moved(plan, sums)
    ruled = np.array(
        [RULING_CODE[key.rulings.get(dog, "")] for dog in key.dogs], np.int8
    )
    return GradeArrays(
        key=key,
        answers=arrays,
        pairs_agreed=agreed,
        pairs_counted=counted.astype(np.int64),
        share=measures.share(sums),
        chances=chances,
        chance_at=chance_at,
        first_right=_first_right(key, arrays.places, bool(plan.separated.any())),
        placed_found=(arrays.places[:, : len(key.placed)] > 0).sum(axis=1),
        rulings_right=(arrays.rulings == ruled) & (ruled > 0),
        rulings_missed=(arrays.rulings == 0) & (ruled > 0),
        rulings_wrong=(arrays.rulings > 0) & (arrays.rulings != ruled),
        score=undefined if key.cuts is None else measures.score(sums),
        gap_share=undefined if key.cuts is None else measures.share(sums, measures.CUT),
        places_moved=moved,
        mean_places_moved=moved / len(key.ring),
        weighted_tau=measures.weighted_tau(plan, sums),
        tau_b=measures.tau_b(plan, sums),
        tau_x=measures.tau_x(plan, sums),
        rho=measures.rho(plan, sums),
    )


def _ring(key: Key, places: NDArray[np.int8]) -> NDArray[np.int8]:
    """Return the places of the ring's dogs, a row each, ``UNPLACED`` for none."""
    ring = np.ascontiguousarray(places[:, : len(key.ring)].T)
    return np.where(ring == 0, np.int8(UNPLACED), ring)


def _first_right(key: Key, places: NDArray[np.int8], defined: bool) -> Floats:
    """Return 1 where every dog put first is first in the key, else 0.

    A dog that the key ruled out is not right either. nan throughout unless defined.
    """
    if not defined:
        return np.full(len(places), np.nan)
    placed = np.where(places == 0, UNPLACED, places)
    first = placed == placed.min(axis=1, keepdims=True)
    right = ~first[:, len(key.order[0]) :].any(axis=1)
    return np.asarray(right, dtype=np.float64)


def _chances(
    key_form: Form, ring: NDArray[np.int8], agreed: Floats, counted: Floats
) -> tuple[tuple[Fraction | None, ...], NDArray[np.intp]]:
    """Return the distinct chances and which is whose; each is looked up once."""
    n = len(ring)
    ordered = np.sort(ring, axis=0)
    steps = (ordered[1:] > ordered[:-1]).astype(np.int64)
    form = (1 << np.arange(n - 1)) @ steps + (
        (ordered[-1] == UNPLACED).astype(np.int64) << (n - 1)
    )
    most = n * n
    codes = (form * most + (2 * agreed).astype(np.int64)) * most + counted.astype(
        np.int64
    )
    distinct, where = np.unique(codes, return_inverse=True)
    chances = []
    for code in distinct.tolist():
        rest, pairs = divmod(code, most)
        bits, agreed_twice = divmod(rest, most)
        chances.append(chance_of(key_form, _form(bits, n), agreed_twice, pairs))
    return tuple(chances), where


def _form(bits: int, n: int) -> Form:
    """Rebuild a form from its bits: a step after dog i; the last dog is unplaced."""
    ends = [at + 1 for at in range(n - 1) if bits >> at & 1] + [n]
    sizes = tuple(end - start for start, end in zip([0, *ends], ends, strict=False))
    return Form(sizes, open_end=bool(bits >> (n - 1)))


def order_matrix(places: NDArray[np.integer]) -> Ints:
    """Count how often each dog was put in each place.

    Parameters
    ----------
    places : int array, shape (m, n)
        Places from 1 to n, 0 for none, as in ``AnswerArrays``.

    Returns
    -------
    int array, shape (n, n + 1)
        Row: dog; column 0: left unplaced, column k: put kth (dogs that are level share
        the smallest of their places). Each row adds up to m.
    """
    n = places.shape[1]
    cells = np.arange(n) * (n + 1) + places
    return np.bincount(cells.ravel().astype(np.int64), minlength=n * (n + 1)).reshape(
        n, n + 1
    )
