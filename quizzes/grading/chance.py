"""How often a random order of the same form would do at least as well, by counting.

The form of an answer is the sizes of its tie groups from the top, with the dogs it left
unplaced as a last group. All ways of dealing the ring's dogs into these groups are
equally likely. How many pairs agree depends only on how many dogs of each tie group of
the key land in each group of the answer.

If either side has no ties the count of agreed pairs follows the q-multinomial
coefficient (without any ties: the Mahonian numbers, OEIS A008302). Otherwise the tables
of counts are summed over key groups, with the free places of the answer as the state.
Polynomials are held as one large integer each, evaluated at a power of two that exceeds
every coefficient, so that adding, multiplying and dividing them is integer arithmetic.

References
----------
MacMahon, P. A. (1916). Combinatory Analysis, vol. 2. Cambridge University Press.
Kendall, M. G. (1938). A new measure of rank correlation. Biometrika 30(1-2), 81-93.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import accumulate
from math import factorial, prod
from typing import NamedTuple

MOST_STATES = 5000
"""States of the general count that are still quick; twelve dogs need at most 3072."""


class Form(NamedTuple):
    """Group sizes from the top; ``open_end``: the last group is the unplaced dogs."""

    sizes: tuple[int, ...]
    open_end: bool = False


class OneIn(NamedTuple):
    """A probability as 1 in ``number``, rounded ("about 1 in 9") unless ``exact``."""

    number: int
    exact: bool


def one_in(chance: Fraction | None) -> OneIn | None:
    """Return a chance above 0 as one in so many, to the nearest whole number.

    Above two thirds the number is 1; only if ``exact`` does every order do as well.
    None for None.
    """
    if chance is None:
        return None
    ratio = 1 / chance
    return OneIn(int(ratio + Fraction(1, 2)), ratio.denominator == 1)


def chance_of(
    key: Form, answer: Form, agreed_twice: int, counted: int
) -> Fraction | None:
    """Return how likely a random answer of this form has at least the given share.

    Parameters
    ----------
    key, answer : Form
        Group sizes over the same dogs.
    agreed_twice, counted : int
        Twice the agreed pairs (a half pair adds 1), and the pairs that count.

    Returns
    -------
    Fraction in (0, 1]; None if nothing counts, or if both sides have ties and
        the count would take more than ``MOST_STATES``.
    """
    if not counted:
        return None
    tails = _tails(key, answer)
    if tails is None:
        return None
    shares, ways = tails
    at_least = bisect_right(shares, -Fraction(agreed_twice, 2 * counted))
    return Fraction(ways[at_least - 1], ways[-1])


@lru_cache(maxsize=4096)
def _tails(key: Form, answer: Form) -> tuple[list[Fraction], list[int]] | None:
    """Return the possible shares, negated (best first), and their cumulated counts."""
    outcomes = outcome_counts(key, answer)
    if outcomes is None:
        return None
    by_share: Counter[Fraction] = Counter()
    for (agreed_twice, counted), ways in outcomes.items():
        by_share[-Fraction(agreed_twice, 2 * counted)] += ways
    shares = sorted(by_share)
    return shares, list(accumulate(by_share[share] for share in shares))


def outcome_counts(key: Form, answer: Form) -> dict[tuple[int, int], int] | None:
    """Return how many answers have each (twice the agreed pairs, pairs counted).

    The counts add up to n!/(product of the factorials of the answer's group sizes).
    Returns None if both sides have ties and the table would need more than
    ``MOST_STATES`` states.
    """
    if max(key.sizes) == 1:
        return _against_strict_key(key, answer)
    if max(answer.sizes) == 1:
        return _of_strict_answer(key)
    if prod(size + 1 for size in answer.sizes) > MOST_STATES:
        return None
    return _by_tables(key, answer)


def _against_strict_key(key: Form, answer: Form) -> dict[tuple[int, int], int]:
    dropped = _within(answer.sizes[-1]) if answer.open_end and not key.open_end else 0
    halves = sum(map(_within, answer.sizes)) - dropped
    counted = _separated(key.sizes) - dropped
    return {
        (2 * agreed + halves, counted): ways
        for agreed, ways in enumerate(q_multinomial(answer.sizes))
    }


def _of_strict_answer(key: Form) -> dict[tuple[int, int], int]:
    # An arrangement of the key's groups stands for every order within them.
    orders = prod(map(factorial, key.sizes))
    counted, ways = _separated(key.sizes), q_multinomial(key.sizes)
    return {(2 * agreed, counted): orders * count for agreed, count in enumerate(ways)}


def q_multinomial(sizes: Sequence[int]) -> list[int]:
    """Return the coefficients of the Gaussian multinomial, n the sum of the sizes.

    Entry k counts the arrangements of groups of these sizes with k inversions; sizes
    all 1 give the Mahonian numbers (OEIS A008302).
    """
    width = _width(sum(sizes))
    value = _q_factorial(sum(sizes), width) // prod(
        _q_factorial(size, width) for size in sizes
    )
    return _coefficients(value, width)


def _q_factorial(number: int, width: int) -> int:
    """Return the q-factorial at q = 256**width."""
    return prod(
        ((1 << 8 * width * i) - 1) // ((1 << 8 * width) - 1)
        for i in range(1, number + 1)
    )


def _by_tables(key: Form, answer: Form) -> dict[tuple[int, int], int]:
    """Count by adding the key's groups from the top, one term per table of counts.

    State: dogs so far in each group of the answer. A polynomial counts twice the agreed
    pairs in its low powers and undecided pairs in steps of ``stride``.
    """
    pairs, width = _separated(key.sizes), _width(sum(key.sizes))
    stride = 2 * pairs + 1
    undecided_at = (
        len(answer.sizes) - 1 if answer.open_end and not key.open_end else None
    )
    states = {(0,) * len(answer.sizes): 1}
    for size in key.sizes:
        following: dict[tuple[int, ...], int] = {}
        for filled, poly in states.items():
            free = [
                most - taken for most, taken in zip(answer.sizes, filled, strict=True)
            ]
            for dealt in _deals(size, free):
                power = _new_agreement(filled, dealt, undecided_at, stride)
                ways = factorial(size) // prod(map(factorial, dealt))
                state = tuple(map(sum, zip(filled, dealt, strict=True)))
                following[state] = following.get(state, 0) + (
                    (poly * ways) << 8 * width * power
                )
        states = following
    counts = enumerate(_coefficients(states[answer.sizes], width))
    return {
        (power % stride, pairs - power // stride): ways
        for power, ways in counts
        if ways
    }


def _new_agreement(
    filled: Sequence[int], dealt: Sequence[int], undecided_at: int | None, stride: int
) -> int:
    """Return the power that dealing a lower key group into the answer's groups adds."""
    above, power = 0, 0
    for group, (upper, lower) in enumerate(zip(filled, dealt, strict=True)):
        power += lower * (2 * above + upper * (stride if group == undecided_at else 1))
        above += upper
    return power


def _deals(dogs: int, free: Sequence[int]) -> Iterator[tuple[int, ...]]:
    """Yield every way of dealing so many dogs into groups with so many free places."""
    if len(free) == 1:
        if dogs <= free[0]:
            yield (dogs,)
        return
    for here in range(min(dogs, free[0]) + 1):
        for rest in _deals(dogs - here, free[1:]):
            yield (here, *rest)


def _width(dogs: int) -> int:
    """Return the bytes that any count of orders of so many dogs fits into."""
    return factorial(dogs).bit_length() // 8 + 1


def _coefficients(value: int, width: int) -> list[int]:
    data = value.to_bytes(-(-value.bit_length() // (8 * width)) * width, "little")
    return [
        int.from_bytes(data[at : at + width], "little")
        for at in range(0, len(data), width)
    ]


def _within(size: int) -> int:
    return size * (size - 1) // 2


def _separated(sizes: Sequence[int]) -> int:
    """Return the pairs of dogs that lie in different groups."""
    return _within(sum(sizes)) - sum(map(_within, sizes))
