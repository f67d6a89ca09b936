"""Points of an examination from memory: pairs of steps in the mentor's order, and answers as the key has them."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations

import numpy as np

from quizzes.grading.agreement import compare_two, ranks_of
from quizzes.grading.chance import Form, chance_of
from quizzes.grading.items import FULL, HALF, NONE, Points, guessing
from quizzes.kinds.examination.content import (
    FIND,
    GAP,
    SENSE,
    ExamAnswer,
    ExamContent,
    ExamKey,
)

BOTH = "both"
SENSES = ("eye", "hand", BOTH)


@dataclass(frozen=True)
class OrderGrade:
    """How an order stands to the key's.

    agreed, counted : pairs that the key separates; one with a step that was left out can't agree
    tau : Kendall's tau-b over the steps that have a place; None for fewer than two
    chance : how often as many steps in a random order have as many pairs right
    left_out : steps without a place
    moved : the fewest steps that would have to be moved to reach the key's order
    """

    agreed: int
    counted: int
    tau: float | None
    chance: float | None
    left_out: tuple[str, ...]
    moved: tuple[str, ...]


def order_graded(key: ExamKey, order: Sequence[str]) -> OrderGrade:
    """Compare an order of some or all of the key's steps with the key's."""
    groups = key.group_of
    placed = [step for step in order if step in groups]
    levels = [groups[step] for step in placed]
    pairs = list(combinations(levels, 2))
    agreed = sum(upper < lower for upper, lower in pairs)
    among = sum(upper != lower for upper, lower in pairs)
    counted = sum(upper != lower for upper, lower in combinations(groups.values(), 2))
    return OrderGrade(
        agreed=agreed,
        counted=counted,
        tau=_tau(key, placed),
        chance=_chance(levels, agreed, among),
        left_out=tuple(step for step in key.order if step not in placed),
        moved=tuple(placed[n] for n in _out_of_line(levels)),
    )


def _tau(key: ExamKey, placed: Sequence[str]) -> float | None:
    if len(placed) < 2:
        return None
    mine = ranks_of([[(step,) for step in placed]], placed)[0]
    theirs = ranks_of([key.groups], placed)[0]
    # Midranks of the steps that are left, where others were left out.
    theirs = np.array(
        [(theirs < one).sum() + ((theirs == one).sum() + 1) / 2 for one in theirs]
    )
    return compare_two(theirs, mine).tau_b


def _chance(levels: Sequence[int], agreed: int, among: int) -> float | None:
    if not among:
        return None
    sizes = tuple(levels.count(level) for level in sorted(set(levels)))
    chance = chance_of(Form(sizes), Form((1,) * len(levels)), 2 * agreed, among)
    return None if chance is None else float(chance)


def _out_of_line(levels: Sequence[int]) -> list[int]:
    """Indexes outside a longest run of levels that never fall.

    References
    ----------
    Schensted, C. (1961). Longest increasing and decreasing subsequences. Canadian Journal of Mathematics 13, 179-191.
    """
    tops: list[int] = []
    ends: list[int] = []
    before: list[int] = []
    for n, level in enumerate(levels):
        at = bisect_right(tops, level)
        tops[at:], ends[at:] = [level, *tops[at + 1 :]], [n, *ends[at + 1 :]]
        before.append(ends[at - 1] if at else -1)
    kept, n = set(), ends[-1] if ends else -1
    while n >= 0:
        kept.add(n)
        n = before[n]
    return [n for n in range(len(levels)) if n not in kept]


def sense_points(right: str, said: str) -> Fraction:
    """1 for the same, ½ where one of the two says both."""
    if right == said:
        return FULL
    return HALF if BOTH in (right, said) else NONE


def gap_points(content: ExamContent, key: ExamKey, step: str, after: int) -> Fraction:
    """½ for the step that is missing, ½ for the place where it belongs."""
    right_place = after in right_places(content, key)
    return HALF * (step == key.gap) + HALF * right_place


def right_places(content: ExamContent, key: ExamKey) -> list[int]:
    """After how many steps of the stretch the missing one may stand."""
    groups, shown = key.group_of, content.gap.shown
    own = groups.get(key.gap, 0)
    return [
        after
        for after in range(len(shown) + 1)
        if all(groups[step] <= own for step in shown[:after])
        and all(groups[step] >= own for step in shown[after:])
    ]


def points_of(
    content: ExamContent, key: ExamKey, answer: ExamAnswer
) -> dict[str, Fraction]:
    """The points of each answer beside the order; SENSE-step, FIND-step and GAP."""
    reached: dict[str, Fraction] = {}
    if SENSE in content.asked:
        for step in content.steps:
            said = answer.senses.get(step.id, "")
            reached[f"{SENSE}-{step.id}"] = (
                sense_points(key.of(step.id).sense, said) if said else NONE
            )
    if FIND in content.asked:
        for one in content.to_find:
            is_right = answer.finds.get(one.step) == key.of(one.step).find
            reached[f"{FIND}-{one.step}"] = FULL if is_right else NONE
    if GAP in content.asked:
        reached[GAP] = gap_points(content, key, answer.gap, answer.after)
    return reached


def guesses_of(content: ExamContent, key: ExamKey) -> list[Points]:
    """How likely guessing reaches which points, for each answer of `points_of`."""
    third, found = Fraction(1, 3), []
    if SENSE in content.asked:
        for step in content.steps:
            half = 2 * third if key.of(step.id).sense == BOTH else third
            found.append(guessing(third, half))
    if FIND in content.asked:
        found += [guessing(Fraction(1, len(one.options))) for one in content.to_find]
    if GAP in content.asked:
        which = Fraction(1, len(content.gap.options))
        where = Fraction(len(right_places(content, key)), len(content.gap.shown) + 1)
        found.append(guessing(which * where, which * (1 - where) + (1 - which) * where))
    return found


def total(reached: Mapping[str, Fraction]) -> Fraction:
    return sum(reached.values(), NONE)
