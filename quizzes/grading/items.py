"""Several things asked at once: how many points an answer reached, and how often guessing reaches as many."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from functools import lru_cache

Points = Mapping[Fraction, Fraction]
"""How likely each number of points is for one thing asked; the values add up to 1."""

FULL, HALF, NONE = Fraction(1), Fraction(1, 2), Fraction(0)


def guessing(full: Fraction, half: Fraction = NONE) -> dict[Fraction, Fraction]:
    """Points for one thing when guessing is right with probability `full`, half right with `half`.

    Raises ValueError where they add up to more than 1 or one is negative.
    """
    rest = 1 - full - half
    if min(full, half, rest) < 0:
        raise ValueError("Probabilities are not negative and add up to no more than 1.")
    found = {FULL: Fraction(full), HALF: Fraction(half), NONE: Fraction(rest)}
    return {points: chance for points, chance in found.items() if chance}


def reached_at_random(asked: Sequence[Points], points: Fraction | float) -> float:
    """How often guessing at every thing, each for itself, reaches at least that many points.

    The sum of independent counts (a Poisson binomial distribution where only full points are given, a
    binomial one where all things are alike), by convolution in fractions and so without rounding.

    Parameters
    ----------
    asked : sequence of mappings, one for each thing asked
        See `Points`.
    points : number of points reached, 0 or more; halves are allowed

    Returns
    -------
    float in [0, 1]; 1 where nothing is asked and nothing was reached

    References
    ----------
    Wang, Y. H. (1993). On the number of successes in independent trials. Statistica Sinica 3(2), 295-312.
    """
    sums = _sums(tuple(tuple(sorted(one.items())) for one in asked))
    return float(sum((p for total, p in sums.items() if total >= points), NONE))


@lru_cache(maxsize=64)
def _sums(asked: tuple[tuple[tuple[Fraction, Fraction], ...], ...]) -> Points:
    """How likely each sum is. A room's answers are all to the same, and are graded one after another."""
    sums: dict[Fraction, Fraction] = {NONE: FULL}
    for one in asked:
        grown: dict[Fraction, Fraction] = {}
        for had, chance in sums.items():
            for more, likely in one:
                grown[had + more] = grown.get(had + more, NONE) + chance * likely
        sums = grown
    return sums
