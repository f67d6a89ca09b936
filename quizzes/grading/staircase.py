"""A staircase of pairs: how large the next difference is, and how small a one somebody sees.

The pairs follow a transformed up-down method: so many right answers in a row make the difference smaller, one wrong
answer makes it larger, which settles where a run of right answers is as likely as not: at 70.7 per cent right with
two in a row, at 79.4 with three. What somebody sees is then read from all the answers by likelihood, and not from
the reversals, of which some 30 pairs have few (tests/bench/staircase_bench.py prints how both come out).

References
----------
Levitt, H. (1971). Transformed up-down methods in psychoacoustics. J. Acoust. Soc. Am. 49(2B), 467-477.
Hall, J. L. (1981). Hybrid adaptive procedure for estimation of psychometric functions. J. Acoust. Soc. Am. 69,
1763-1769.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import erf, exp, log, sqrt
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

STEPS = (2.0, 2.0**0.5, 2.0**0.25)
"""By what a difference is divided or multiplied: before the first reversal, before the second, afterwards."""

SLIPS = 0.02
"""Of 100 answers, 2 are taken to be slips of the hand, right as often as not."""

WITHIN = 3.841
"""The 95 per cent point of chi-square with one degree of freedom."""

BEYOND = 4.0
"""How far beyond the differences that can be shown an estimate is looked for, as a factor."""


@dataclass(frozen=True)
class Plan:
    """What a staircase may show.

    largest, smallest : the differences between which it moves; it begins with the largest
    down : right answers in a row that make the difference smaller, 1 or more
    """

    largest: float
    smallest: float
    down: int = 2

    @property
    def target(self) -> float:
        """The share of right answers at which going down is as likely as going up."""
        return float(0.5 ** (1 / self.down))

    def kept_within(self, difference: float) -> float:
        return min(max(difference, self.smallest), self.largest)


@dataclass(frozen=True)
class Track:
    """A staircase so far: the difference of each pair that was answered, and of the next.

    reversals : which of them (counted from 0) turned the staircase round
    """

    differences: tuple[float, ...]
    following: float
    reversals: tuple[int, ...]


def track(plan: Plan, right: Sequence[bool]) -> Track:
    """The staircase that these answers make, the first one first."""
    level, streak, heading = plan.largest, 0, 0
    shown: list[float] = []
    turned: list[int] = []
    for at, was_right in enumerate(right):
        shown.append(level)
        streak = streak + 1 if was_right else 0
        move = 0 if was_right else 1
        if streak == plan.down:
            move, streak = -1, 0
        if not move:
            continue
        if heading and move != heading:
            turned.append(at)
        heading = move
        step = STEPS[min(len(turned), len(STEPS) - 1)]
        level = plan.kept_within(level * step**move)
    return Track(tuple(shown), level, tuple(turned))


def mean_of_reversals(
    plan: Plan, right: Sequence[bool], left_out: int = 2
) -> float | None:
    """Levitt's estimate: the geometric mean of the differences at the reversals, the first ones left out.

    None with fewer than four that count.
    """
    found = track(plan, right)
    turned = [found.differences[at] for at in found.reversals[left_out:]]
    if len(turned) < 4:
        return None
    return exp(sum(map(log, turned)) / len(turned))


@dataclass(frozen=True)
class Threshold:
    """The difference that is seen as often as the plan's target says, with a 95 per cent interval.

    low, high : None where the answers set no bound on that side
    """

    difference: float
    low: float | None
    high: float | None


def threshold(
    differences: Sequence[float], right: Sequence[bool], plan: Plan
) -> Threshold:
    """What difference somebody sees as often as the target says.

    Two noisy readings are compared, so a difference d is seen with probability Phi(d / s), and the threshold is
    the d at which that is the target. Beforehand any threshold from a quarter of the smallest difference to four
    times the largest is taken to be as likely as another, on a scale of ratios; the estimate is the median of what
    the answers leave of that, the interval its middle 95 per cent.
    """
    ends = log(plan.smallest / BEYOND), log(plan.largest * BEYOND)
    grid = np.linspace(*ends, 400)
    fits = _likelihood(
        np.asarray(differences, float), np.asarray(right, bool), grid, plan
    )
    so_far = np.cumsum(np.exp(fits - fits.max()))
    low, middle, high = np.exp(
        np.interp([0.025, 0.5, 0.975], so_far / so_far[-1], grid)
    ).tolist()
    # An end of the grid that fits the answers as well bounds nothing.
    open_low, open_high = (2 * (fits.max() - fits[[0, -1]]) <= WITHIN).tolist()
    return Threshold(middle, None if open_low else low, None if open_high else high)


def _likelihood(
    differences: Floats, right: NDArray[np.bool_], grid: Floats, plan: Plan
) -> Floats:
    """The log-likelihood of the answers for each logarithm of a threshold."""
    chances = seen(differences[None, :], np.exp(grid)[:, None], plan.target)
    found: Floats = np.where(right, np.log(chances), np.log1p(-chances)).sum(axis=1)
    return found


_ERF = np.vectorize(erf, otypes=[float])


def seen(difference: Floats, threshold: Floats, target: float) -> Floats:
    """How often somebody with that threshold sees that difference, slips included."""
    scale = NormalDist().inv_cdf(target) / sqrt(2)
    found: Floats = 0.5 + 0.5 * _ERF(scale * difference / threshold)
    return SLIPS / 2 + (1 - SLIPS) * found
