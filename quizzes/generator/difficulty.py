"""How hard a class is, and how certain its key.

Difficulty is the share of the key's pairs that a *standard trainee* is expected to get
right: lower is harder, one half is guessing. A trainee sees each level of each dog with
a normal error and weighs each priority by the mentor's weight times one plus a normal
error that is the same for all dogs of the class. For two dogs whose levels differ by
d_k on priority k of weight w_k, the difference that the trainee sees has

    mean  m = sum w_k d_k
    variance  v = sum w_k^2 (2 s^2 (1 + t^2) + t^2 d_k^2),

s the error of a level and t that of a weight, and the pair comes out right with chance
Phi(m / sqrt(v)). So a pair is hard when the merits are near each other, and harder when
virtues and faults are mixed than when one dog is better in everything.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum

import numpy as np
from numpy.typing import NDArray

from quizzes.generator.streams import Stream

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]

TARGETS = {"plain": 0.90, "middling": 0.80, "close": 0.70}
"""Expected share of pairs right that a class of each difficulty aims at."""

TOLERANCE = 0.03
"""A class further than this from its target is said to have missed it."""


@dataclass(frozen=True)
class Trainee:
    """Errors of one trainee: of a level in levels, of a weight as a share of it."""

    level_error: float = 1.0
    weight_error: float = 0.5

    @property
    def shared(self) -> float:
        """Variance of a pair for each square of a weight, whatever the levels are."""
        drawn = self.weight_error * self.weight_error
        return 2 * self.level_error * self.level_error * (1 + drawn)


STANDARD = Trainee()

_TAIL = (
    0.0498673470,
    0.0211410061,
    0.0032776263,
    0.0000380036,
    0.0000488906,
    0.0000053830,
)


def normal_share(x: Floats) -> Floats:
    """The share of a normal distribution below x, within 1.5e-7.

    Only sums, products and quotients, which every machine rounds alike; the error
    function of a mathematical library differs from one to the next.

    References
    ----------
    Abramowitz, M. and Stegun, I. A. (1964). Handbook of mathematical functions, formula
    26.2.19, p. 932.
    """
    size, power = np.abs(x), np.ones_like(x)
    series = np.ones_like(x)
    for coefficient in _TAIL:
        power = power * size
        series = series + coefficient * power
    for _ in range(4):
        series = series * series
    tail = 0.5 / series
    return np.where(x < 0, tail, 1.0 - tail)


def pair_chances(
    levels: Whole, weights: Sequence[int], trainee: Trainee = STANDARD
) -> Floats:
    """Chance that the trainee puts dog i above dog j, for all pairs.

    Parameters
    ----------
    levels : shape (dogs, priorities)
    weights : whole parts, one per priority

    Returns
    -------
    shape (dogs, dogs); 0.5 on the diagonal
    """
    whole = np.array(weights, dtype=np.int64)
    apart = levels[:, None, :] - levels[None, :, :]
    mean = (apart @ whole).astype(np.float64)
    squares = whole * whole
    spread = (apart * apart) @ squares
    drawn = trainee.weight_error * trainee.weight_error
    variance = trainee.shared * int(squares.sum()) + drawn * spread
    return normal_share(mean / np.sqrt(np.maximum(variance, 1e-9)))


def expected_share(
    levels: Whole,
    weights: Sequence[int],
    *,
    placed: int | None = None,
    level: Sequence[int] = (),
    trainee: Trainee = STANDARD,
) -> float:
    """Share of the key's pairs that the trainee is expected to get right.

    Parameters
    ----------
    levels : rows in the key's order, best first, dogs without a place last
    placed : how many rows have a place; None for all
    level : gaps between rows that may stand in either order

    Returns
    -------
    float in [0, 1], rounded to four places; nan if the key separates no two dogs
    """
    dogs = len(levels)
    chances = pair_chances(levels, weights, trainee).tolist()
    group = [row - sum(gap < row for gap in level) for row in range(dogs)]
    counted = [
        chances[upper][lower]
        for upper in range(dogs if placed is None else placed)
        for lower in range(upper + 1, dogs)
        if group[upper] != group[lower]
    ]
    return round(fsum(counted) / len(counted), 4) if counted else float("nan")


_ONE = 209
"""Standard deviation of the sum of eight random bytes: sqrt(8 * (256**2 - 1) / 12)."""


def _errors(stream: Stream, error: float, *shape: int) -> Whole:
    """Whole numbers nearly normal around 0, of standard deviation 20,900 times error."""
    raw = stream.array(*shape).view(np.uint8).reshape(*shape, 8)
    noise: Whole = (raw.sum(axis=-1, dtype=np.int64) - 1020) * round(100 * error)
    return noise


def certainty(
    levels: Whole,
    weights: Sequence[int],
    *,
    level_error: float = 0.35,
    weight_error: float = 0.2,
    draws: int = 2000,
    seed: int | str = 0,
) -> Floats:
    """How often dog i stands above dog j when the mentor's own figures are uncertain.

    Monte Carlo in whole numbers throughout, so that the same seed gives the same counts
    everywhere. Every draw changes each level by a normal error and each weight by a
    normal error in proportion to it, never below 0; equal merits count half.

    Parameters
    ----------
    levels : shape (dogs, priorities)
    level_error : standard deviation of a level, in levels
    weight_error : standard deviation of a weight, as a share of it

    Returns
    -------
    shape (dogs, dogs), in [0, 1]; 0.5 on the diagonal
    """
    dogs, count = levels.shape
    stream = Stream.of(seed, "certainty")
    one = 100 * _ONE
    seen = levels * one + _errors(stream, level_error, draws, dogs, count)
    scale = np.maximum(one + _errors(stream, weight_error, draws, count), 0)
    weighed = scale * np.array(weights, dtype=np.int64)
    merit = (seen @ weighed[:, :, None])[:, :, 0]
    above = (merit[:, :, None] > merit[:, None, :]).sum(axis=0)
    level = (merit[:, :, None] == merit[:, None, :]).sum(axis=0)
    result: Floats = (2 * above + level) / (2 * draws)
    return result
