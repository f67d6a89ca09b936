"""What weights mean, in words and as a picture: one priority against others below it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from django.utils.text import get_text_list
from django.utils.translation import gettext as _

NEAR = 0.05
"""Two sums count about the same if they differ by no more than this share of the larger."""

MOST_TOGETHER = 4
MOST_COMPARED = 16


@dataclass(frozen=True)
class Outweighs:
    """A priority, and others below it that together weigh about as much, or less."""

    priority: object
    others: Sequence
    total: int

    @property
    def words(self) -> str:
        """ "Forechest counts about as much as eye, coat and tail together." """
        names = [str(other).lower() for other in self.others]
        values = {"one": str(self.priority), "others": get_text_list(names, _("and"))}
        said = _about_as_much if near(self.priority.weight, self.total) else _more
        return said(len(names)) % values


def near(one: int, other: int) -> bool:
    return abs(one - other) <= NEAR * max(one, other)


def _about_as_much(n: int) -> str:
    if n == 1:
        return _("%(one)s counts about as much as %(others)s.")
    return _("%(one)s counts about as much as %(others)s together.")


def _more(n: int) -> str:
    if n == 1:
        return _("%(one)s counts more than %(others)s.")
    return _("%(one)s counts more than %(others)s together.")


def outweighing(priorities: Sequence) -> list[Outweighs]:
    """For each priority, in rank order, what it counts as much as, else what it outweighs.

    Of several groups that weigh the same the one of the weightiest priorities is taken. Those that
    outweigh nothing are left out.
    """
    shown = list(priorities)[:MOST_COMPARED]
    found = (_compared(one, shown[at + 1 :]) for at, one in enumerate(shown))
    return [one for one in found if one]


def _compared(priority, below: Sequence) -> Outweighs | None:
    for size in range(1, MOST_TOGETHER + 1):
        for group in combinations(below, size):
            total = sum(other.weight for other in group)
            if near(priority.weight, total):
                return Outweighs(priority, group, total)
    return _lightest(priority, below)


def _lightest(priority, below: Sequence) -> Outweighs | None:
    """The lightest ones, as many as the priority outweighs together."""
    others, total = [], 0
    for other in reversed(below):
        if total + other.weight >= priority.weight:
            break
        others.insert(0, other)
        total += other.weight
    return Outweighs(priority, others, total) if others else None
