"""The pairs of a key, and how answers stand on them.

A pair counts if the key separates it and the answer could separate it:

===================================== ============================================
the key separates the pair and ...    verdict
===================================== ============================================
the answer has it the same way round  agreed
the answer has it the other way round disagreed
the answer has both placed, level     half
the answer placed neither             half if the key leaves dogs unplaced as well,
                                      else undecided: the answer was not asked
===================================== ============================================

A pair that the key has level is open and never counts. So a faultless answer always
agrees on every pair that counts, whatever the ties in the key, and a random order
agrees on half of them.

References
----------
Somers, R. H. (1962). A new asymmetric measure of association for ordinal variables.
American Sociological Review 27(6), 799-811. Twice the share
less 1 is his D given the key.
Fagin, R., Kumar, R., Mahdian, M., Sivakumar, D. & Vee, E. (2006). Comparing partial
rankings. SIAM Journal on Discrete Mathematics 20(3), 628-648. The unplaced dogs of a
known class are one last bucket.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import lcm
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from quizzes.grading.chance import Form
from quizzes.grading.model import Key, Pair, Verdict

Ints: TypeAlias = NDArray[np.int64]
Floats: TypeAlias = NDArray[np.float64]
Bools: TypeAlias = NDArray[np.bool_]

UNPLACED = 127
"""Stands below every place; places fit into a byte."""

CHUNK = 8192
"""Answers compared at a time, so that a chunk stays in the processor's cache."""


@dataclass(frozen=True)
class Plan:
    """What a key fixes before any answer is seen.

    There are n dogs in the ring and N = n(n-1)/2 pairs, in key order.
    ``weights`` holds a row of pair weights for each sum that is taken, all whole
    numbers: pairs the key separates, pairs it has level, cuts, and Vigna's weights of
    separated and of level pairs. ``moves`` turns the pairs that agree with key order
    into centred ranks.
    """

    upper: Ints
    lower: Ints
    separated: Bools
    cuts: Ints
    weights: Floats
    moves: Floats
    ranks: Floats
    form: Form


@lru_cache(maxsize=256)
def plan_of(key: Key) -> Plan:
    """Return the plan of a key."""
    sizes, n = key.group_sizes, len(key.ring)
    group = np.repeat(np.arange(len(sizes)), sizes)
    depth = np.repeat(np.cumsum([0, *(key.gaps or (0,) * (len(sizes) - 1))]), sizes)
    upper, lower = (side.astype(np.int64) for side in np.triu_indices(n, 1))
    separated = group[upper] < group[lower]
    cuts = depth[lower] - depth[upper]
    # 1/place, times a common multiple of the places so that the sums stay whole.
    unit = lcm(*range(1, len(sizes) + 1)) // (1 + group)
    vigna = unit[upper] + unit[lower]
    weights = np.stack(
        [separated, ~separated, cuts, vigna * separated, vigna * ~separated]
    )
    moves = np.zeros((n, len(upper)))
    moves[upper, np.arange(len(upper))] = -1
    moves[lower, np.arange(len(upper))] = 1
    return Plan(
        upper=upper,
        lower=lower,
        separated=separated,
        cuts=cuts,
        weights=weights.astype(np.float64),
        moves=moves,
        ranks=moves @ separated.astype(np.float64),
        form=Form(sizes, open_end=bool(key.bucket)),
    )


@dataclass(frozen=True)
class Sums:
    """Weighted sums over the pairs of each answer, (5, m), and centred ranks, (n, m).

    Rows of the first four are those of ``Plan.weights``: over pairs in key order, in
    reversed order, level in the answer, and with both dogs unplaced where that leaves
    the pair undecided. A centred rank is twice the distance of a dog's midrank from the
    middle of the ring.
    """

    ahead: Floats
    behind: Floats
    level: Floats
    undecided: Floats
    ranks: Floats


def sums_of(plan: Plan, ring: NDArray[np.int8]) -> Sums:
    """Compare answers with the key, pair by pair.

    Parameters
    ----------
    plan : Plan
    ring : int8 array, shape (n, m)
        Places that m answers give the ring's dogs, ``UNPLACED`` for none.
    """
    stacked = np.vstack([plan.weights, plan.moves])
    totals = [np.empty((len(stacked), ring.shape[1])) for _ in range(3)]
    for start in range(0, ring.shape[1], CHUNK):
        part = slice(start, start + CHUNK)
        # All terms are whole numbers below 2**53, so the sums are exact in any order.
        for total, pairs in zip(totals, compare(plan, ring[:, part]), strict=True):
            total[:, part] = stacked @ pairs.astype(np.float64)
    rows = len(plan.weights)
    ahead, behind, undecided = (total[:rows] for total in totals)
    level = plan.weights.sum(axis=1, keepdims=True) - ahead - behind
    return Sums(ahead, behind, level, undecided, totals[0][rows:] - totals[1][rows:])


def compare(plan: Plan, ring: NDArray[np.int8]) -> tuple[Bools, Bools, Bools]:
    """Return which pairs are in key order, reversed and undecided, each (N, m)."""
    upper, lower = ring[plan.upper], ring[plan.lower]
    neither = (upper == UNPLACED) & (lower == UNPLACED)
    undecided = np.zeros_like(neither) if plan.form.open_end else neither
    return upper < lower, upper > lower, undecided


def pairs_of(key: Key, ring: NDArray[np.int8]) -> tuple[Pair, ...]:
    """Return the pairs of the ring with their verdicts; ``ring``: one answer, (n,)."""
    plan = plan_of(key)
    ahead, behind, undecided = (
        column[:, 0] for column in compare(plan, ring[:, np.newaxis])
    )
    states = [~plan.separated, ahead, behind, undecided]
    names: list[Verdict] = ["open", "agreed", "disagreed", "undecided", "half"]
    verdicts = np.select(states, range(4), default=4)
    cuts = [None] * len(verdicts) if key.cuts is None else plan.cuts.tolist()
    ends = zip(
        plan.upper.tolist(), plan.lower.tolist(), verdicts.tolist(), cuts, strict=True
    )
    return tuple(
        Pair(key.ring[i], key.ring[j], names[verdict], cut)
        for i, j, verdict, cut in ends
    )
