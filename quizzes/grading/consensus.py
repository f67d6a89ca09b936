"""One order out of several mentors': exact Kemeny, Borda beside it, and cuts for a key."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from quizzes.grading.agreement import Counts, Ranks, Votes
from quizzes.grading.cuts import largest_fitting

MOST_DOGS = 12
"""Every set of dogs is looked at once: 4096 for twelve dogs."""

LISTED = 20


@dataclass(frozen=True)
class Kemeny:
    """The orders that the fewest votes speak against.

    orders : up to ``LISTED`` of them, as columns, best first
    count : how many there are in all
    against : how many votes (one mentor on one pair) each of them goes against
    """

    orders: tuple[tuple[int, ...], ...]
    count: int
    against: int


def kemeny(above: Counts, *, places: int | None = None) -> Kemeny:
    """All orders with the least number of votes against them, found exactly.

    ``above[i, j]`` votes have dog i above dog j; who has two dogs level speaks against
    neither order. With ``places``, orders are told apart by their first places only.
    Among equally good orders those come first that have the dogs of earlier columns
    higher. The least for every set of dogs follows from the sets with one dog less:
    ``2^n * n`` steps.

    Raises
    ------
    ValueError for more than ``MOST_DOGS`` dogs.

    References
    ----------
    Kemeny, J. G. (1959). Mathematics without numbers. Daedalus 88(4), 577-591.
    Young, H. P. and Levenglick, A. (1978). A consistent extension of Condorcet's
    election principle. SIAM Journal on Applied Mathematics 35(2), 285-300.
    Over subsets: Betzler, N., Fellows, M. R., Guo, J., Niedermeier, R. and Rosamond,
    F. A. (2009). Fixed-parameter algorithms for Kemeny rankings. Theoretical Computer
    Science 410(45), 4554-4570.
    """
    n = len(above)
    if n > MOST_DOGS:
        raise ValueError(f"an exact order is found for {MOST_DOGS} dogs at most")
    wanted = n if places is None else min(places, n)
    against = _against(above)
    least, ways = _least(against, n - wanted)
    everybody = (1 << n) - 1
    walk = _best_orders(against, least, everybody, wanted)
    listed = tuple(order for order, _ in zip(walk, range(LISTED), strict=False))
    return Kemeny(listed, ways[everybody], least[everybody])


def _against(above: Counts) -> list[list[int]]:
    """For each dog and set of dogs, how many votes have one of the set above the dog."""
    n = len(above)
    sums = np.zeros((n, 1 << n), np.int64)
    for dog in range(n):
        half = 1 << dog
        sums[:, half : 2 * half] = sums[:, :half] + above[dog][:, None]
    return sums.tolist()


def _least(against: list[list[int]], unplaced: int) -> tuple[list[int], list[int]]:
    """For each set of dogs the fewest votes against an order of it, and how many reach it.

    Sets of ``unplaced`` dogs or fewer count as one way: their order is not told apart.
    """
    n = len(against)
    least, ways = [0] * (1 << n), [1] * (1 << n)
    for dogs in range(1, 1 << n):
        costs = [
            (against[first][dogs] + least[dogs ^ (1 << first)], dogs ^ (1 << first))
            for first in range(n)
            if dogs >> first & 1
        ]
        least[dogs] = min(costs)[0]
        if dogs.bit_count() > unplaced:
            ways[dogs] = sum(ways[rest] for cost, rest in costs if cost == least[dogs])
    return least, ways


def _best_orders(
    against: list[list[int]], least: list[int], dogs: int, wanted: int
) -> Iterator[tuple[int, ...]]:
    if not wanted:
        yield ()
        return
    for first in range(len(against)):
        rest = dogs ^ (1 << first)
        if dogs >> first & 1 and against[first][dogs] + least[rest] == least[dogs]:
            for order in _best_orders(against, least, rest, wanted - 1):
                yield (first, *order)


def mean_ranks(ranks: Ranks) -> list[Fraction | None]:
    """Borda's measure as a mean rank: 1 if every mentor has the dog first.

    Exact, so that level dogs are level. A dog that some mentor left out is measured by
    the pairs in which it was compared: 1 + (n - 1) * (lost + level / 2) / compared,
    which is the mean of the midranks where nobody left a dog out. None for a dog that
    was compared with none.

    References
    ----------
    Borda, J. C. de (1784). Mémoire sur les élections au scrutin. Histoire de l'Académie
    Royale des Sciences, année 1781, 657-665. With ties: Black, D. (1976). Partial
    justification of the Borda count. Public Choice 28, 1-15.
    """
    n = ranks.shape[1]
    lost = np.zeros(n, np.int64)
    compared = np.zeros(n, np.int64)
    for row in ranks:
        ranked = ~np.isnan(row)
        others = np.where(ranked, row, np.inf)
        beaten_by = (others[None, :] < others[:, None]).sum(axis=1)
        level = (others[None, :] == others[:, None]).sum(axis=1) - 1
        # Twice the losses, so that a half for level dogs stays whole.
        lost += np.where(ranked, 2 * beaten_by + level, 0)
        compared += np.where(ranked, ranked.sum() - 1, 0)
    return [
        1 + Fraction(int(n - 1) * int(two), 2 * int(pairs)) if pairs else None
        for two, pairs in zip(lost, compared, strict=True)
    ]


def borda(means: Sequence[Fraction | None]) -> tuple[tuple[int, ...], ...]:
    """Columns in groups of equal mean rank, best first; dogs compared with none last."""
    known = sorted({mean for mean in means if mean is not None})
    groups = [[at for at, mean in enumerate(means) if mean == value] for value in known]
    unknown = [at for at, mean in enumerate(means) if mean is None]
    return tuple(tuple(group) for group in (*groups, unknown) if group)


def with_level(order: Sequence[int], votes: Votes) -> tuple[tuple[int, ...], ...]:
    """A consensus order in tie groups: dogs are level where no order has a majority.

    From the top, the next dog joins the group above it if it has a majority neither way
    with each dog of the group, so that no dog is level with one that most have above it.
    """
    decided = votes.has_majority | votes.has_majority.T
    groups: list[list[int]] = []
    for dog in order:
        if groups and not any(decided[dog, other] for other in groups[-1]):
            groups[-1].append(dog)
        else:
            groups.append([dog])
    return tuple(map(tuple, groups))


def median_cut(distances: Sequence[int]) -> int | None:
    """The middle one of the mentors' distances, at least 1; None without any.

    Of two in the middle the smaller, since a small cut says that a decision is close. A
    mentor who has the two dogs the other way round gives a negative distance.
    """
    if not distances:
        return None
    return max(1, sorted(distances)[(len(distances) - 1) // 2])


def fitted_cuts(sizes: Sequence[int], cuts: Sequence[int]) -> tuple[int, ...] | None:
    """The cuts, the widest lowered step by step until a key may have them.

    ``sizes`` are the tie groups, ``cuts`` one per gap, 0 down to dogs without a place.
    None if even the smallest cuts lose too much.
    """
    fitted = [*cuts]
    while over := [
        gap
        for gap, most in enumerate(largest_fitting(sizes, fitted))
        if fitted[gap] > most
    ]:
        widest = max(over, key=lambda gap: fitted[gap])
        if fitted[widest] <= 1:
            return None
        fitted[widest] -= 1
    return tuple(fitted)
