"""Reasons for one dog over another, beside the levels of both or what the mentor names.

A reason is true where the upper dog is the better one on that priority; the deciding one is where weight
and level part the two most. Reasons are judged by whether they are true of the two dogs, so they can be
good for a pair that the key has the other way round.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

Levels = Mapping[str, int]


@dataclass(frozen=True)
class Reasoned:
    """What was said for one pair, sorted.

    true, level, untrue : the priorities that were named, by whether the upper dog is better, both
        are level, or the lower is better; unknown : where a level is missing
    deciding : the priority that decides; empty where nothing is known
    names_it : the deciding one is among those named
    granted : True where the lower dog is better in what was granted, or nothing was granted and it
        is better in nothing; None where that is not known
    grants : what could have been granted, the heaviest first
    points : 1 where it names what decides and nothing untrue; a half where all that is named is
        true, or it names what decides beside something untrue; 0 else; None where nothing is known
    """

    true: tuple[str, ...]
    level: tuple[str, ...]
    untrue: tuple[str, ...]
    unknown: tuple[str, ...]
    deciding: str
    names_it: bool
    granted: bool | None
    grants: tuple[str, ...]
    points: float | None


def compare(
    named: Sequence[str],
    grant: str,
    upper: Levels,
    lower: Levels,
    weights: Mapping[str, float],
    decides: str = "",
) -> Reasoned:
    """What was named for a pair, beside what is so.

    Parameters
    ----------
    named : priorities that were said to decide the pair
    grant : the priority in which the lower dog was said to be better; empty for none
    upper, lower : levels of the two dogs as they were placed, by priority, as far as they are known
    weights : of all priorities
    decides : the priority that the mentor names for this very pair; else it follows from the levels

    The structure, a pair with its reason and its grant, is that of oral reasons as taught for judging
    contests; the points are by judgement.
    """
    apart = {
        slug: weight * (upper[slug] - lower[slug])
        for slug, weight in weights.items()
        if slug in upper and slug in lower
    }
    best = max(apart, key=apart.__getitem__, default="")
    deciding = decides or (best if best and apart[best] > 0 else "")
    true = tuple(slug for slug in named if apart.get(slug, 0) > 0)
    level = tuple(slug for slug in named if slug in apart and apart[slug] == 0)
    untrue = tuple(slug for slug in named if apart.get(slug, 0) < 0)
    unknown = tuple(slug for slug in named if slug not in apart)
    grants = tuple(
        sorted((slug for slug in apart if apart[slug] < 0), key=apart.__getitem__)
    )
    return Reasoned(
        true=true,
        level=level,
        untrue=untrue,
        unknown=unknown,
        deciding=deciding,
        names_it=bool(deciding) and deciding in named,
        granted=_granted(grant, grants, apart, len(apart) == len(weights)),
        grants=grants,
        points=_points(named, deciding, true, level + untrue, unknown),
    )


def _granted(
    grant: str, grants: Sequence[str], apart: Mapping[str, float], all_known: bool
) -> bool | None:
    if grant:
        return grant in grants if grant in apart else None
    return not grants if all_known else None


def _points(
    named: Sequence[str],
    deciding: str,
    true: Sequence[str],
    false: Sequence[str],
    unknown: Sequence[str],
) -> float | None:
    if not deciding and not true and not false:
        return None
    if not named:
        return 0.0
    if deciding in named:
        return 0.5 if false else 1.0
    if false or (unknown and not true):
        return 0.0
    return 0.5 if true else 0.0
