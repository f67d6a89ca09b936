"""Weights of the priorities: as the mentor gave them, or from their ranks alone."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

WHOLE = 10_000
"""Weights are counted in parts of this, so that sums of weight times level are exact."""


def rank_order_centroid(n: int) -> tuple[float, ...]:
    """Weights for n priorities of which only the ranks are known.

    The centroid of all weights that fall in that order and add up to 1: priority k gets
    (1/k + 1/(k+1) + ... + 1/n) / n.

    Raises
    ------
    ValueError if n is below 1.

    References
    ----------
    Barron, F. H. and Barrett, B. E. (1996). Decision quality using ranked attribute
    weights. Management Science 42(11), 1515-1523.
    """
    if n < 1:
        raise ValueError(f"weights need at least one priority, not {n}")
    return tuple(
        float(sum(Fraction(1, i) for i in range(k, n + 1)) / n) for k in range(1, n + 1)
    )


def whole_weights(weights: Sequence[float]) -> tuple[int, ...]:
    """The weights as whole parts of 10,000, at least 1 each; they need not add up to 1.

    Raises
    ------
    ValueError if a weight is not above 0.
    """
    if not weights or min(weights) <= 0:
        raise ValueError("every priority needs a weight above 0")
    total = sum(Fraction(weight) for weight in weights)
    return tuple(max(1, round(WHOLE * Fraction(weight) / total)) for weight in weights)


def percent_by_rank(n: int) -> tuple[int, ...]:
    """Rank-order-centroid weights as whole per cent that add up to 100, at least 1 each.

    Largest remainders get the rest; so the order stays, though neighbours may be equal.

    Raises
    ------
    ValueError if n is below 1 or above 100.
    """
    if not 1 <= n <= 100:
        raise ValueError(f"per cent can be given to 1 to 100 priorities, not {n}")
    # One per cent goes to each, the others by weight.
    shares = [(100 - n) * Fraction(weight) for weight in rank_order_centroid(n)]
    whole = [1 + int(share) for share in shares]
    by_remainder = sorted(range(n), key=lambda k: (int(shares[k]) - shares[k], k))
    for k in by_remainder[: 100 - sum(whole)]:
        whole[k] += 1
    return tuple(whole)
