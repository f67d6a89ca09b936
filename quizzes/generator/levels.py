"""Levels for the dogs of a class: a chain of merits with the gaps that are wanted.

From the top down, each dog is the best of a pool of random dogs: below the last, near
the merit that its place asks for, and apart enough where a plate has to show it. The
scale of the gaps follows from the difficulty.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import sqrt
from typing import Any

import numpy as np
from numpy.typing import NDArray

from quizzes.generator.difficulty import (
    STANDARD,
    TARGETS,
    Whole,
    expected_share,
    normal_share,
)
from quizzes.generator.drawing import IDEAL, SEEN_APART
from quizzes.generator.streams import Stream

POOL = 320
TRIES = 6
NEAR = 0.008
"""A chain this near to its target is taken at once."""

DEAR, WORSE = 10**6, 10**5
"""Costs beyond any distance from the target: of a gap nobody can judge, and of two dogs
that differ in less than a third of the priorities."""

HIGHEST, LOWEST = 3.75, 0.35
"""Merits, in levels, between which a class lies; few dogs are ideal or hopeless."""


@dataclass(frozen=True)
class Chain:
    """Levels, best dog first, with what a trainee would make of them.

    level : gaps whose two dogs have the same merit, as when few priorities leave no choice
    blurred : gaps that turn on a drawn priority by too little to be seen
    """

    levels: Whole
    share: float
    level: tuple[int, ...]
    blurred: tuple[int, ...]

    @property
    def faults(self) -> int:
        return len(self.level) + len(self.blurred)


def deciding(upper: Sequence[int], lower: Sequence[int], weights: Sequence[int]) -> int:
    """The priority that gains the upper dog most, by weight times levels; -1 for none."""
    gains = [w * (u - v) for u, v, w in zip(upper, lower, weights, strict=True)]
    best = max(range(len(gains)), key=gains.__getitem__)
    return best if gains[best] > 0 else -1


def too_near(
    upper: Sequence[int],
    lower: Sequence[int],
    weights: Sequence[int],
    seen: Sequence[bool] | NDArray[Any],
) -> bool:
    """Whether the pair turns on a drawn priority by too little to be seen on a plate."""
    lead = deciding(upper, lower, weights)
    return lead >= 0 and bool(seen[lead]) and upper[lead] - lower[lead] < SEEN_APART


def random_dogs(stream: Stream, merit: float, count: int, priorities: int) -> Whole:
    """Dogs whose levels scatter around one merit, each priority by itself."""
    bits = stream.array(count, priorities)
    base = int(merit)
    above = (bits >> np.uint64(40)) % np.uint64(1000) < round(1000 * (merit - base))
    # Four coin tosses: a level is left alone in 6 of 16, one off in 8, two off in 2.
    tosses = sum((bits >> np.uint64(shift)) & np.uint64(1) for shift in range(4))
    scatter = np.asarray(tosses, dtype=np.int64) - 2
    return np.clip(base + above.astype(np.int64) + scatter, 0, IDEAL)


def _best(pool: Whole, above: Whole, target: int, whole: Whole, seen: Whole) -> Whole:
    """The dog of the pool that suits the place below ``above`` best."""
    gains = (above - pool) * whole
    merit = pool @ whole
    lead = gains.argmax(axis=1)
    apart = (above - pool)[np.arange(len(pool)), lead]
    blurred = seen[lead] & (apart < SEEN_APART)
    level = merit >= int(above @ whole)
    higher = merit > int(above @ whole)
    alike = (above != pool).sum(axis=1) < len(whole) / 3
    cost = (
        np.abs(merit - target) + DEAR * (blurred + level + 2 * higher) + WORSE * alike
    )
    best: Whole = pool[int(cost.argmin())]
    return best


def _walk(
    key: str, gaps: Sequence[float], top: float, whole: Whole, seen: Whole
) -> Whole:
    """A chain of dogs from the top merit down by the gaps."""
    total, count = int(whole.sum()), len(whole)
    first = Stream.of(key, 0)
    pool = random_dogs(first, top, POOL, count)
    near = np.abs(pool @ whole - round(top * total)).argmin()
    rows, goal = [pool[int(near)]], top
    for place, gap in enumerate(gaps, 1):
        goal -= gap
        last = int(rows[-1] @ whole)
        target = min(round(goal * total), last - 1)
        pool = random_dogs(Stream.of(key, place), max(goal, LOWEST), POOL, count)
        # Dogs near the last one as well, so that a small step is always at hand.
        nudged = _nudged(Stream.of(key, place, "near"), rows[-1], count)
        pool = np.vstack([pool, nudged, rows[-1]])
        rows.append(_best(pool, rows[-1], target, whole, seen))
    return np.array(rows)


def _nudged(stream: Stream, dog: Whole, count: int) -> Whole:
    """Dogs like this one but for a few priorities."""
    bits = stream.array(POOL // 2, count)
    moved = (bits & np.uint64(3)) == 0
    steps = ((bits >> np.uint64(8)) % np.uint64(7)).astype(np.int64) - 3
    return np.clip(dog + moved * steps, 0, IDEAL)


def _scale(gaps: Sequence[float], weights: Sequence[int], target: float) -> float:
    """What to multiply the gaps by so that about the target share comes out right."""
    total = sum(weights)
    spread = sum(w * w for w in weights) / total**2
    error = sqrt(STANDARD.shared * spread)
    at = [sum(gaps[:place]) for place in range(len(gaps) + 1)]
    apart = np.array([b - a for i, a in enumerate(at) for b in at[i + 1 :]])
    low, high = 0.0, 4.0
    for _ in range(30):
        middle = (low + high) / 2
        share = sum(normal_share(middle * apart / error).tolist()) / len(apart)
        low, high = (middle, high) if share < target else (low, middle)
    return high


def _judge(levels: Whole, whole: Whole, seen: Whole, placed: int | None) -> Chain:
    rows = levels.tolist()
    weights = whole.tolist()
    merits = (levels @ whole).tolist()
    level = [gap for gap, (a, b) in enumerate(pairwise(merits)) if a == b]
    blurred = [
        gap
        for gap, (upper, lower) in enumerate(pairwise(rows))
        if gap not in level and too_near(upper, lower, weights, seen)
    ]
    share = expected_share(levels, weights, placed=placed, level=level)
    return Chain(levels, share, tuple(level), tuple(blurred))


def make_levels(
    key: str,
    size: int,
    difficulty: str,
    weights: Sequence[int],
    seen: Sequence[bool],
    placed: int | None = None,
) -> Chain:
    """Levels of a class of that difficulty, best dog first.

    Parameters
    ----------
    key : names the stream; the same key gives the same levels
    seen : per priority, whether a plate shows it

    Returns
    -------
    The chain nearest to the target among those with the fewest level or blurred gaps.
    """
    whole, shown = np.array(weights, dtype=np.int64), np.array(seen, dtype=bool)
    stream, target = Stream.of(key, "gaps"), TARGETS[difficulty]
    gaps = [stream.between(50, 160) / 100 for _ in range(size - 1)]
    centre = stream.between(230, 290) / 100
    scale = _scale(gaps, weights, target)
    best: Chain | None = None
    for attempt in range(TRIES):
        span = scale * sum(gaps)
        steps = [gap * min(scale, (HIGHEST - LOWEST) / sum(gaps)) for gap in gaps]
        top = min(HIGHEST, max(centre + span / 2, LOWEST + span))
        rows = _walk(f"{key}/{attempt}", steps, top, whole, shown)
        chain = _judge(rows, whole, shown, placed)
        if best is None or _miss(chain, target) < _miss(best, target):
            best = chain
        if not chain.faults and abs(chain.share - target) <= NEAR:
            break
        scale = _corrected(scale, chain.share, target)
    assert best is not None
    return best


def _miss(chain: Chain, target: float) -> tuple[int, float]:
    share = chain.share if chain.share == chain.share else 0.0
    return chain.faults, abs(share - target)


def _corrected(scale: float, share: float, target: float) -> float:
    """A scale nearer to the target: chance above one half grows with the gaps."""
    if not share > 0.5:
        return scale * 1.3
    factor = (target - 0.5) * (1 - share + 0.05) / ((share - 0.5) * (1 - target + 0.05))
    return scale * min(max(factor, 0.6), 1.6)
