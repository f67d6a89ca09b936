"""How far somebody's estimates lie from the truth: the mean error, its spread, and limits of agreement.

References
----------
Bland, J. M. & Altman, D. G. (1986). Statistical methods for assessing agreement between two methods of clinical
measurement. Lancet i, 307-310.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import lgamma, log, pi, sqrt

import numpy as np

FEWEST = 10
"""With fewer, the interval around a limit is two thirds as wide as the limits lie apart, or wider."""

REACH = 1.96
"""Standard deviations within which 95 of 100 errors lie, if they scatter as errors usually do."""

Interval = tuple[float, float]


@dataclass(frozen=True)
class Limits:
    """Errors taken together; each figure with its 95 per cent interval.

    bias : the mean error
    sd : the standard deviation of the errors
    low, high : the limits of agreement, bias -+ reach * sd
    """

    n: int
    bias: float
    sd: float
    low: float
    high: float
    around_bias: Interval
    around_low: Interval
    around_high: Interval


def limits_of_agreement(errors: Sequence[float], reach: float = REACH) -> Limits:
    """Mean error and limits of agreement. Raises ValueError with fewer than two errors.

    reach : 1.96, or 2 as in the paper's worked example
    """
    values = np.asarray(errors, float)
    n = len(values)
    if n < 2:
        raise ValueError("Limits of agreement need two errors at least.")
    bias, sd = float(values.mean()), float(values.std(ddof=1))
    t = student_quantile(0.975, n - 1)
    half, wide = t * sd / sqrt(n), t * sqrt(3 * sd**2 / n)
    low, high = bias - reach * sd, bias + reach * sd
    return Limits(
        n,
        bias,
        sd,
        low,
        high,
        (bias - half, bias + half),
        (low - wide, low + wide),
        (high - wide, high + wide),
    )


_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(200)


def _below(t: float, df: int) -> float:
    """Student's distribution from 0 to t, by quadrature over the angle, which has no tail."""
    end = np.arctan(t / sqrt(df))
    angles = 0.5 * end * (_NODES + 1)
    height = np.exp(lgamma((df + 1) / 2) - lgamma(df / 2) - 0.5 * log(pi) + 0 * angles)
    return float(0.5 * end * np.sum(_WEIGHTS * height * np.cos(angles) ** (df - 1)))


def student_quantile(p: float, df: int) -> float:
    """The t with Student's distribution p below it, for p from 0.5 up to 0.9999."""
    low, high = 0.0, 1e5
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if _below(middle, df) < p - 0.5 else (low, middle)
    return (low + high) / 2
