"""What weights mean, in words and as a picture: one priority against those below it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.text import get_text_list
from django.utils.translation import gettext as _

ABOUT_AS_MUCH = 1
"""Per cent by which two sums may differ and still be said to count the same."""


@dataclass(frozen=True)
class Outweighs:
    """A priority and the lightest ones that together come nearest to it without passing it."""

    priority: object
    others: Sequence
    total: int

    @property
    def words(self) -> str:
        """ "Forechest counts as much as eye, coat and tail together." """
        names = [str(other).lower() for other in self.others]
        values = {"one": str(self.priority), "others": get_text_list(names, _("and"))}
        near = self.priority.weight - self.total <= ABOUT_AS_MUCH
        return (_as_much if near else _more)(len(names)) % values


def _as_much(n: int) -> str:
    if n == 1:
        return _("%(one)s counts as much as %(others)s.")
    return _("%(one)s counts as much as %(others)s together.")


def _more(n: int) -> str:
    if n == 1:
        return _("%(one)s counts more than %(others)s.")
    return _("%(one)s counts more than %(others)s together.")


def outweighing(priorities: Sequence) -> list[Outweighs]:
    """For each priority, in rank order, what it outweighs, from the lightest up.

    Those that outweigh nothing are left out.
    """
    found = []
    for at, priority in enumerate(priorities):
        others, total = [], 0
        for other in reversed(priorities[at + 1 :]):
            if total + other.weight > priority.weight + ABOUT_AS_MUCH:
                break
            others.append(other)
            total += other.weight
        if others:
            found.append(Outweighs(priority, others[::-1], total))
    return found
