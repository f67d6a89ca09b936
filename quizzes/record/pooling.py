"""Shares of several exercises taken together, with how far off the figure may be. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

GROUP = 8
"""Exercises that are taken together. With fewer, an interval says little that can be relied on."""
T_OF_GROUP = 2.3646242515927844
"""Student's t, 97.5 %, for `GROUP` less one degrees of freedom."""


@dataclass(frozen=True)
class Pooled:
    """Everything that agreed of everything that counted, over a number of exercises.

    low, high : between which it would lie 19 times in 20 with other exercises like these;
        None where the exercises do not differ, so that nothing can be said
    """

    agreed: float
    counted: int
    low: float | None
    high: float | None

    @property
    def share(self) -> float:
        return self.agreed / self.counted

    def is_apart_from(self, other: Pooled) -> bool:
        """Whether the two intervals have nothing in common."""
        if None in (self.low, self.high, other.low, other.high):
            return False
        return self.low > other.high or self.high < other.low


def pooled(results: Sequence[tuple[float, int]]) -> Pooled:
    """Pool (agreed, counted) of a whole group of exercises.

    The interval is from the jackknife over exercises: what one exercise asks hangs together, so
    that its pairs are no evidence each of its own, and an interval from pairs would be too narrow.
    """
    if len(results) != GROUP:
        raise ValueError(f"{len(results)} exercises are no group of {GROUP}.")
    agreed, counted = (sum(column) for column in zip(*results, strict=True))
    error = jackknife_error(results)
    if not error:
        return Pooled(agreed, counted, None, None)
    share, most = agreed / counted, T_OF_GROUP * error
    return Pooled(agreed, counted, max(share - most, 0.0), min(share + most, 1.0))


def jackknife_error(results: Sequence[tuple[float, int]]) -> float:
    """The standard error of the pooled share, each exercise left out once (Efron and Tibshirani 1993, ch. 11)."""
    agreed, counted = (sum(column) for column in zip(*results, strict=True))
    without = [(agreed - a) / (counted - c) for a, c in results]
    mean = sum(without) / len(without)
    spread = sum((share - mean) ** 2 for share in without)
    return sqrt(spread * (len(without) - 1) / len(without))
