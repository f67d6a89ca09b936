"""How far a room's answers changed between two placings of the same class.

References
----------
Student (1908). The probable error of a mean. Biometrika 6(1), 1-25.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np

from quizzes.grading.limits import student_quantile

SURE = 0.975
FEWEST = 5
"""With fewer people an interval says next to nothing, and a figure could tell who changed what."""


@dataclass(frozen=True)
class Change:
    """The mean of each person's change, with its 95 per cent interval.

    before, after : the means of the same people
    low, high : None where the interval is undefined: one person, or everybody changed alike
    better, worse, same : how many people
    """

    n: int
    before: float
    after: float
    mean: float
    low: float | None
    high: float | None
    better: int
    worse: int
    same: int

    @property
    def is_told(self) -> bool:
        """Whether the interval leaves no change out: both ends on one side of 0."""
        if self.low is None or self.high is None:
            return False
        return self.low > 0 or self.high < 0


def paired_change(before: Sequence[float], after: Sequence[float]) -> Change | None:
    """The paired change from `before` to `after`, same people in the same order; None without anybody.

    The interval is mean -+ t(0.975, n - 1) * s / sqrt(n), s the standard deviation of the changes. It takes the
    changes as roughly normal and people as independent; neighbours who talked are not.

    Raises ValueError for sequences of different lengths.
    """
    if len(before) != len(after):
        raise ValueError("Everybody needs both answers.")
    if not len(before):
        return None
    first, second = np.asarray(before, float), np.asarray(after, float)
    changes = second - first
    n, mean = len(changes), float(changes.mean())
    sd = float(changes.std(ddof=1)) if n > 1 else 0.0
    # Changes that are all alike say nothing of how far others would scatter.
    is_defined = sd > 1e-12
    half = student_quantile(SURE, n - 1) * sd / sqrt(n) if is_defined else 0.0
    return Change(
        n=n,
        before=float(first.mean()),
        after=float(second.mean()),
        mean=mean,
        low=mean - half if is_defined else None,
        high=mean + half if is_defined else None,
        better=int((changes > 1e-12).sum()),
        worse=int((changes < -1e-12).sum()),
        same=int((abs(changes) <= 1e-12).sum()),
    )
