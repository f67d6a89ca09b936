"""Which weights a person's placings amount to, whatever weights the person believes in.

Each placing is taken as a row of choices: the first place among all dogs, the second among
those that are left, and so on (the exploded, or rank-ordered, logit). A dog is chosen with a
chance in proportion to exp(sum b_k x_k), x_k its level on priority k. The b are what is
estimated; divided by their sum they are weights that can be laid beside the mentor's.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

MOST_STEPS = 60
CLOSE = 1e-10
DRAWS = 4000
LEAST_CHOICES = 24
"""Choices from which on anything is said of a person's weights; by judgement, see `enough`."""


@dataclass(frozen=True)
class Ranking:
    """One placing.

    levels : shape (dogs, priorities), in the order given, best first; dogs without a place last
    placed : how many of them have a place; None for all
    """

    levels: Floats
    placed: int | None = None

    def __post_init__(self) -> None:
        levels = np.asarray(self.levels, dtype=np.float64)
        if levels.ndim != 2 or not np.isfinite(levels).all():
            raise ValueError(
                "Levels are a table of finite numbers, a row for each dog."
            )
        object.__setattr__(self, "levels", levels)

    @property
    def choices(self) -> int:
        """How many times one dog was chosen among several."""
        dogs = len(self.levels)
        placed = dogs if self.placed is None else min(self.placed, dogs)
        return max(min(placed, dogs - 1), 0)


@dataclass(frozen=True)
class Fit:
    """Estimated coefficients.

    coefficients : shape (priorities,); covariance : shape (priorities, priorities), the inverse of
    the information; log_likelihood : without the penalty; choices : how many it rests on
    """

    coefficients: Floats
    covariance: Floats
    log_likelihood: float
    choices: int

    @property
    def errors(self) -> Floats:
        """Standard errors."""
        found: Floats = np.sqrt(np.diag(self.covariance))
        return found


class NoMaximum(ValueError):
    """The placings are sorted so neatly by the levels that no finite weights fit them best."""


def fit(
    rankings: Sequence[Ranking],
    *,
    toward: Sequence[float] | None = None,
    strength: float = 0.0,
) -> Fit:
    """Coefficients that make the placings most likely, by Newton's method.

    Parameters
    ----------
    rankings : placings over the same priorities
    toward : shape (priorities,); what the coefficients are held toward; 0 without it
    strength : 0 for maximum likelihood; s for a penalty of s/2 times the squared distance
        from `toward`, which is a normal prior of variance 1/s

    Raises
    ------
    ValueError for placings that are none, or of different priorities.
    NoMaximum where without a penalty the coefficients would grow for ever.

    References
    ----------
    Beggs, S., Cardell, S. and Hausman, J. (1981). Assessing the potential demand for electric
    cars. Journal of Econometrics 17(1), 1-19.
    McFadden, D. (1974). Conditional logit analysis of qualitative choice behavior. In P. Zarembka
    (ed.), Frontiers in Econometrics, 105-142.
    """
    sets = [
        ranking.levels[at:] - ranking.levels[at]
        for ranking in rankings
        for at in range(ranking.choices)
    ]
    counts = {one.shape[1] for one in sets}
    if len(counts) != 1:
        raise ValueError("Give placings of two dogs or more, over the same priorities.")
    count = counts.pop()
    held = np.zeros(count) if toward is None else np.asarray(toward, dtype=np.float64)
    at = held.copy()
    gained = _penalised(at, sets, held, strength)
    for _ in range(MOST_STEPS):
        slope, bend = _derivatives(at, sets, held, strength)
        step = _solved(bend, slope)
        # Newton's step, halved until it gains.
        scale = 1.0
        while scale > CLOSE:
            new = _penalised(at + scale * step, sets, held, strength)
            if new >= gained - 1e-12:
                break
            scale /= 2
        at, gained = at + scale * step, new
        if np.abs(scale * step).max() < CLOSE:
            break
        if np.abs(at).max() > 50:
            raise NoMaximum("Not enough disagreement to tell the weights apart.")
    _slope, bend = _derivatives(at, sets, held, strength)
    likelihood = _penalised(at, sets, held, 0.0)
    if strength == 0 and likelihood > -1e-6:
        raise NoMaximum("Not enough disagreement to tell the weights apart.")
    covariance = np.asarray(np.linalg.pinv(bend), dtype=np.float64)
    return Fit(at, covariance, likelihood, len(sets))


def _penalised(
    at: Floats, sets: Sequence[Floats], held: Floats, strength: float
) -> float:
    total = -sum(float(np.log(np.exp(one @ at).sum())) for one in sets)
    return total - strength / 2 * float(((at - held) ** 2).sum())


def _derivatives(
    at: Floats, sets: Sequence[Floats], held: Floats, strength: float
) -> tuple[Floats, Floats]:
    """Slope, and the negative of the second derivatives."""
    slope = -strength * (at - held)
    bend = strength * np.eye(len(at))
    for one in sets:
        chances = np.exp(one @ at)
        chances /= chances.sum()
        mean = chances @ one
        slope -= mean
        bend += (one * chances[:, None]).T @ one - np.outer(mean, mean)
    return slope, bend


def _solved(bend: Floats, slope: Floats) -> Floats:
    try:
        step = np.linalg.solve(bend, slope)
    except np.linalg.LinAlgError as error:
        text = "The placings leave some weight open: the dogs never differ in it alone."
        raise NoMaximum(text) from error
    return np.asarray(step, dtype=np.float64)


@dataclass(frozen=True)
class Share:
    """One priority's part of a person's weights, in per cent, with the bounds of an interval."""

    share: float
    low: float
    high: float

    def departs(self, mentor: float) -> int:
        """1 where even the lower bound is above the mentor's weight, -1 below, 0 where it is in between."""
        return (self.low > mentor) - (self.high < mentor)


def shares(found: Fit, *, level: float = 0.9, seed: int = 0) -> list[Share]:
    """The coefficients as weights that add up to 100, each with an interval.

    Draws from the normal distribution of the estimate; what would be negative counts as 0, since a
    weight says how much a priority is rewarded. The interval lies between the quantiles of the draws.

    Parameters
    ----------
    level : how much of the draws the interval holds, 0 to 1

    Raises ValueError where no coefficient is above 0.
    """
    middle = _to_hundred(found.coefficients[None, :])[0]
    if np.isnan(middle).any():
        raise ValueError("The placings reward none of the priorities.")
    rng = np.random.default_rng(seed)
    root = _root(found.covariance)
    noise = rng.standard_normal((DRAWS, len(root))) @ root.T
    drawn = _to_hundred(found.coefficients + noise)
    tail = (1 - level) / 2
    low, high = np.nanquantile(drawn, [tail, 1 - tail], axis=0)
    return [
        Share(float(m), float(a), float(b))
        for m, a, b in zip(middle, low, high, strict=True)
    ]


def _root(covariance: Floats) -> Floats:
    values, vectors = np.linalg.eigh(covariance)
    return vectors * np.sqrt(np.clip(values, 0, None))


def _to_hundred(rows: Floats) -> Floats:
    kept = np.clip(rows, 0, None)
    total = kept.sum(axis=1, keepdims=True)
    with np.errstate(invalid="ignore", divide="ignore"):
        found: Floats = np.where(total > 0, 100 * kept / total, np.nan)
    return found


def enough(rankings: Sequence[Ranking]) -> bool:
    """Whether the placings are enough to say anything: about five classes of six dogs."""
    return sum(ranking.choices for ranking in rankings) >= LEAST_CHOICES
