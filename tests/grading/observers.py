"""Observers whose threshold is known, put through staircases: how far off what is read from their answers is."""

from dataclasses import dataclass
from math import exp, log
from statistics import NormalDist

import numpy as np

from quizzes.grading.staircase import Plan, mean_of_reversals, threshold, track


def normal(difference, limit, target):
    """Two noisy readings compared."""
    scale = NormalDist().inv_cdf(target)
    return NormalDist().cdf(scale * difference / limit)


def slipping(difference, limit, target):
    """The same, with four answers of a hundred given blindly."""
    return 0.02 + 0.96 * normal(difference, limit, target)


def steep(difference, limit, target):
    """A Weibull curve that rises fast: little below the threshold, nearly everything above."""
    return _weibull(difference, limit, target, 3.0)


def flat(difference, limit, target):
    """A Weibull curve that rises slowly."""
    return _weibull(difference, limit, target, 1.0)


def _weibull(difference, limit, target, slope):
    rate = log(1 / (2 - 2 * target))
    return 1 - 0.5 * exp(-rate * (difference / limit) ** slope)


def answers_of(curve, limit, plan, trials, rng):
    """Whether each answer was right, as the staircase goes."""
    right = []
    for _ in range(trials):
        chance = curve(track(plan, right).following, limit, plan.target)
        right.append(bool(rng.random() < chance))
    return right


@dataclass(frozen=True)
class Told:
    """How the estimates of many runs lie to the true threshold.

    bias : geometric mean of estimate to truth; spread : standard deviation of its logarithm
    covered : share of the intervals that hold the truth
    turning : the same bias for the mean of the reversals, nan where it never had enough of them
    """

    bias: float
    spread: float
    covered: float
    turning: float
    right: float


def told(curve, limit, plan: Plan, *, trials, runs, seed) -> Told:
    rng = np.random.default_rng(seed)
    logs, covered, turning, late = [], [], [], []
    for _ in range(runs):
        right = answers_of(curve, limit, plan, trials, rng)
        found = threshold(track(plan, right).differences, right, plan)
        logs.append(log(found.difference / limit))
        covered.append((found.low or 0) <= limit <= (found.high or np.inf))
        mean = mean_of_reversals(plan, right)
        if mean is not None:
            turning.append(log(mean / limit))
        late.append(np.mean(right[trials // 2 :]))
    return Told(
        exp(np.mean(logs)),
        float(np.std(logs)),
        float(np.mean(covered)),
        exp(np.mean(turning)) if turning else float("nan"),
        float(np.mean(late)),
    )
