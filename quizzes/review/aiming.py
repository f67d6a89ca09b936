"""What a person is taken for, and which of several classes teaches them most. Pure computing."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from quizzes.generator.difficulty import STANDARD, pair_chances

LATEST = 20
"""Classes that count: what somebody rewarded a year ago is not what they reward now."""
HELD = 0.5
"""How strongly an estimate is held toward the mentor's weights: a prior whose standard deviation is 1.4 of
the coefficient's unit, so that it gives way after a few classes."""
AIM = 0.75
"""Share of pairs right at which a class is neither guessing nor review."""
FAR = 4.0
"""How much a class loses in standing for each 1 of share that it misses the aim by, in pairs turned."""


def typical(weights: list[int]) -> NDArray[np.float64]:
    """Coefficients of a person who rewards just what the mentor does, with a standard trainee's errors.

    A logit's own error, of standard deviation pi / sqrt(6), is made as large as the standard trainee's
    error of a dog's merit.
    """
    part = np.array(weights, dtype=float) / sum(weights)
    error = STANDARD.level_error * float(np.sqrt((part * part).sum()))
    return part * np.pi / (np.sqrt(6.0) * error)


def turned(
    levels: NDArray[np.int64], mentor: Sequence[float], own: Sequence[float]
) -> int:
    """Pairs that come out the other way round by the person's own weights.

    Parameters
    ----------
    levels : shape (dogs, priorities)
    mentor, own : weights of the priorities
    """
    by_mentor, by_own = levels @ np.asarray(mentor), levels @ np.asarray(own)
    upper, lower = np.triu_indices(len(levels), 1)
    one = by_mentor[upper] - by_mentor[lower]
    other = by_own[upper] - by_own[lower]
    return int((one * other < 0).sum())


def likely_right(
    levels: NDArray[np.int64], mentor: Sequence[float], own: Sequence[float]
) -> float:
    """The share of the key's pairs that somebody with those weights is likely to have, errors included."""
    whole = [max(round(10 * weight), 0) for weight in own]
    chances = pair_chances(levels, whole if any(whole) else [1] * len(whole))
    merit = levels @ np.asarray(mentor)
    order = np.argsort(-merit, kind="stable")
    upper, lower = np.triu_indices(len(levels), 1)
    return float(chances[order[upper], order[lower]].mean())


def best(
    candidates: Sequence[NDArray[np.int64]],
    mentor: Sequence[float],
    own: Sequence[float],
) -> int:
    """The index of the candidate with the most pairs turned, near enough to three in four right.

    Raises ValueError where there is none to choose from.
    """
    if not candidates:
        raise ValueError("There is no class to choose from.")

    def worth(levels: NDArray[np.int64]) -> float:
        pairs = len(levels) * (len(levels) - 1) / 2
        missed = abs(likely_right(levels, mentor, own) - AIM)
        return turned(levels, mentor, own) - FAR * missed * pairs / 10

    return max(range(len(candidates)), key=lambda at: worth(candidates[at]))
