"""Which difficulty suits a person: about three pairs in four right.

With fewer right the key looks like chance; with more there is little left to learn.
"""

from __future__ import annotations

from collections.abc import Iterable

from quizzes.generator import TARGETS

AIM = 0.75
LAST = 6
"""How many of the latest results count."""

PRIOR_PAIRS = 10
"""Pairs at which a person is taken for the standard trainee before they have placed any."""


def ability(results: Iterable[tuple[str, float, int]]) -> float:
    """By how much more of the pairs a person gets right than a standard trainee would.

    results : difficulty, pairs agreed, pairs counted, of each class placed
    """
    above, pairs = 0.0, PRIOR_PAIRS
    for difficulty, agreed, counted in results:
        above += agreed - counted * TARGETS[difficulty]
        pairs += counted
    return above / pairs


def suited(results: Iterable[tuple[str, float, int]]) -> str:
    """The difficulty at which the person is likely to have three pairs in four right.

    Of two that are equally near the easier one.
    """
    more = ability(results)
    easiest_first = sorted(TARGETS, key=TARGETS.__getitem__, reverse=True)
    return min(
        easiest_first,
        key=lambda difficulty: round(abs(TARGETS[difficulty] + more - AIM), 6),
    )
