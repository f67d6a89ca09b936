"""How far several mentors' orders of one class agree.

Everything here takes ``ranks``, an array of one row per mentor and one column per dog:
1 is best, level dogs share the mean of their places, and NaN stands where a mentor gave
the dog no place in the ring. Dogs that were seen and not placed are level at the end.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from quizzes.grading.model import Dog, Groups

Ranks: TypeAlias = NDArray[np.float64]
Counts: TypeAlias = NDArray[np.int64]


def ranks_of(orders: Iterable[Groups], dogs: Sequence[Dog]) -> Ranks:
    """Midranks (mentors x dogs) of orders in tie groups, best first.

    Dogs of an order that are not among ``dogs`` are passed over, as if they had not
    been in the ring.
    """
    rows = [_midranks(order, set(dogs)) for order in orders]
    shape = (len(rows), len(dogs))
    values = [[row.get(dog, np.nan) for dog in dogs] for row in rows]
    return np.array(values, dtype=np.float64).reshape(shape)


def _midranks(order: Groups, dogs: set[Dog]) -> dict[Dog, float]:
    ranks: dict[Dog, float] = {}
    for group in order:
        here = [dog for dog in group if dog in dogs]
        ranks |= dict.fromkeys(here, len(ranks) + (len(here) + 1) / 2)
    return ranks


@dataclass(frozen=True)
class Concordance:
    """Kendall's W, 0 (no agreement) to 1 (all alike), and over how many dogs.

    by_chance : the mean of W over orders drawn at random with the same ties, which is
        one over the number of mentors (Kendall and Babington Smith 1939)
    """

    w: float
    dogs: int
    by_chance: float


def concordance(ranks: Ranks) -> Concordance | None:
    """Kendall's W with the correction for ties, over the dogs that everybody ranked.

    W = 12 s / (m^2 (n^3 - n) - m T), where s is the sum of squared deviations of the
    rank sums and T the sum of t^3 - t over all groups of t level dogs. None for fewer
    than two mentors or two dogs, and if every mentor has all dogs level. W says how
    alike the orders are and cannot be negative, so a small W can hide orders that
    contradict each other.

    References
    ----------
    Kendall, M. G. and Babington Smith, B. (1939). The problem of m rankings. Annals of
    Mathematical Statistics 10(3), 275-287. With ties: Siegel, S. and Castellan, N. J.
    (1988). Nonparametric Statistics for the Behavioral Sciences, 2nd ed., section 9.6.
    """
    common = ~np.isnan(ranks).any(axis=0)
    m, n = ranks.shape[0], int(common.sum())
    if m < 2 or n < 2:
        return None
    kept = np.array([_again(row) for row in ranks[:, common]])
    sums = kept.sum(axis=0)
    s = float(((sums - sums.mean()) ** 2).sum())
    room = m * m * (n**3 - n) - m * sum(_tied(row) for row in kept)
    return Concordance(12 * s / room, n, 1 / m) if room > 0 else None


def _again(row: Ranks) -> Ranks:
    """Midranks of values, for dogs that stay when others are left out."""
    below = (row[:, None] > row[None, :]).sum(axis=1)
    level = (row[:, None] == row[None, :]).sum(axis=1)
    return below + (level + 1) / 2


def _tied(row: Ranks) -> int:
    counts = np.unique(row, return_counts=True)[1].astype(int)
    return int((counts**3 - counts).sum())


@dataclass(frozen=True)
class TwoMentors:
    """How two mentors compare, pair by pair of the dogs that both ranked.

    agreed : pairs in the same order, or level for both
    tau_b : None where one of them has all dogs level
    """

    agreed: int
    counted: int
    tau_b: float | None

    @property
    def share(self) -> float | None:
        return self.agreed / self.counted if self.counted else None


def compare_two(
    first: Ranks, second: Ranks, pairs: NDArray[np.bool_] | None = None
) -> TwoMentors:
    """Agreed pairs of two mentors (one row of ranks each) and Kendall's tau-b.

    ``pairs`` (dogs x dogs) says which pairs count, all without it.

    References
    ----------
    Kendall, M. G. (1945). The treatment of ties in ranking problems. Biometrika 33(3),
    239-251.
    """
    both = ~(np.isnan(first) | np.isnan(second))
    counted = np.triu(np.outer(both, both), 1)
    if pairs is not None:
        counted &= pairs
    one, other = _signs(first)[counted], _signs(second)[counted]
    untied = np.sqrt(float((one != 0).sum()) * float((other != 0).sum()))
    return TwoMentors(
        agreed=int((one == other).sum()),
        counted=one.size,
        tau_b=float((one * other).sum() / untied) if untied else None,
    )


def _signs(row: Ranks) -> Counts:
    """1 where the row's dog is above the column's, -1 below, 0 level or not known."""
    with np.errstate(invalid="ignore"):
        signs = np.sign(row[None, :] - row[:, None])
    return np.nan_to_num(signs).astype(np.int64)


def _above(n: int) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    return np.triu_indices(n, 1)


def mean_tau_b(ranks: Ranks) -> float | None:
    """Mean tau-b over all pairs of mentors for whom it is defined; None without any."""
    taus = [compare_two(*two).tau_b for two in combinations(ranks, 2)]
    defined = [tau for tau in taus if tau is not None]
    return float(np.mean(defined)) if defined else None


@dataclass(frozen=True)
class Votes:
    """For each two dogs how many mentors have the row's above the column's.

    above : dogs x dogs, zeros on the diagonal
    asked : dogs x dogs, how many ranked both; who has them level is among these
    """

    above: Counts
    asked: Counts

    @property
    def has_majority(self) -> NDArray[np.bool_]:
        """Where more than half of those asked have the row's dog above the column's."""
        return 2 * self.above > self.asked

    @property
    def undecided(self) -> list[tuple[int, int]]:
        """Pairs of columns for which neither order has more than half of those asked."""
        decided = self.has_majority | self.has_majority.T
        return [
            (int(i), int(j))
            for i, j in zip(*_above(len(decided)), strict=True)
            if not decided[i, j]
        ]

    @property
    def unanimous(self) -> NDArray[np.bool_]:
        """Where everybody who ranked both has them in the same order, or level."""
        level = self.asked - self.above - self.above.T
        all_alike = (self.above == self.asked) | (self.asked == self.above.T)
        return (all_alike | (level == self.asked)) & (self.asked > 0)


def votes(ranks: Ranks) -> Votes:
    """Count who has which dog above which.

    References
    ----------
    Condorcet, M. J. A. N. de (1785). Essai sur l'application de l'analyse à la
    probabilité des décisions rendues à la pluralité des voix. For more than two dogs
    the majorities may run in a circle.
    """
    n = ranks.shape[1]
    above, asked = np.zeros((n, n), np.int64), np.zeros((n, n), np.int64)
    for row in ranks:
        ranked = ~np.isnan(row)
        asked += np.outer(ranked, ranked)
        above += _signs(row) == 1
    np.fill_diagonal(asked, 0)
    return Votes(above, asked)


def weighted_kappa(
    first: Sequence[int],
    second: Sequence[int],
    *,
    steps: int,
    weights: Literal["none", "linear", "quadratic"] = "linear",
) -> float | None:
    """Agreement of two people beyond chance on a scale from 0 to ``steps`` - 1.

    A disagreement counts by how many steps apart the two are (linear) or by the square
    of it (quadratic); with "none" every disagreement counts the same. None if there is
    nothing to compare, or chance alone leaves no room to disagree.

    Raises
    ------
    ValueError for lists of different lengths or a value that is not on the scale.

    References
    ----------
    Cohen, J. (1968). Weighted kappa: nominal scale agreement with provision for scaled
    disagreement or partial credit. Psychological Bulletin 70(4), 213-220.
    """
    if len(first) != len(second):
        raise ValueError("both must have marked the same things")
    if any(not 0 <= value < steps for value in (*first, *second)):
        raise ValueError(f"marks run from 0 to {steps - 1}")
    table = np.zeros((steps, steps))
    np.add.at(table, (list(first), list(second)), 1)
    return kappa_of_table(table, _disagreement(steps, weights))


def _disagreement(steps: int, weights: str) -> NDArray[np.float64]:
    apart = np.abs(np.subtract.outer(np.arange(steps), np.arange(steps)))
    power = {"none": 0.0, "linear": 1.0, "quadratic": 2.0}[weights]
    return np.where(apart > 0, apart.astype(np.float64) ** power, 0.0)


def kappa_of_table(
    table: NDArray[np.float64], disagreement: NDArray[np.float64]
) -> float | None:
    """Cohen's weighted kappa of a square table of counts with weights of disagreement.

    1 - (weighted disagreement seen) / (weighted disagreement by chance), as in Cohen
    (1968); see ``weighted_kappa``.
    """
    total = table.sum()
    by_chance = np.outer(table.sum(axis=1), table.sum(axis=0)) / total if total else 0
    room = float((disagreement * by_chance).sum())
    return 1 - float((disagreement * table).sum()) / room if room else None
