"""What the reading pages work out from a module: levels in words, what the weights add up to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate
from typing import Any

from django.utils.translation import gettext_lazy as _

from trainer.study.models import Fault

LEVEL_WORDS = (_("faulty"), _("poor"), _("fair"), _("good"), _("ideal"))
"""A word for each level, 0 to 4; what it means for a priority says the mentor's phrase."""

GRAVEST_FIRST = (
    Fault.Severity.DISQUALIFYING,
    Fault.Severity.SERIOUS,
    Fault.Severity.MINOR,
)
NOTCH = 5


@dataclass(frozen=True)
class Weights:
    """The priorities in two groups: the first few that outweigh all others, and the others.

    first_sum, rest_sum : what each group weighs
    scale : where the rules that show a weight end; a multiple of five at or above the largest
    """

    first: Sequence[Any]
    rest: Sequence[Any]
    first_sum: int
    rest_sum: int
    scale: int

    @property
    def total(self) -> int:
        return self.first_sum + self.rest_sum

    @property
    def ruled_line(self) -> str:
        """The path of a line as long as the scale, ten high, with a notch at every five."""
        notches = "".join(f"M{at} 4V10" for at in range(0, self.scale + 1, NOTCH))
        return f"M0 10H{self.scale}{notches}"


def weigh(priorities: Sequence[Any]) -> Weights:
    """Split priorities, in rank order, where the sum of their weights passes the half."""
    sums = list(accumulate((priority.weight for priority in priorities), initial=0))
    total = sums[-1]
    passed = next((n for n, part in enumerate(sums) if part * 2 > total), 0)
    largest = max((priority.weight for priority in priorities), default=0)
    return Weights(
        first=priorities[:passed],
        rest=priorities[passed:],
        first_sum=sums[passed],
        rest_sum=total - sums[passed],
        scale=-(-largest // NOTCH) * NOTCH,
    )


@dataclass(frozen=True)
class Position:
    """One row of a sequence: its place, counted from 1, and its neighbours (None at the ends)."""

    row: Any
    place: int
    of: int
    before: Any
    after: Any


def position(rows: Sequence[Any], **wanted) -> Position | None:
    """Where the row stands whose attribute has the value asked for; None if none has it."""
    ((name, value),) = wanted.items()
    at = next((n for n, row in enumerate(rows) if getattr(row, name) == value), None)
    if at is None:
        return None
    return Position(
        row=rows[at],
        place=at + 1,
        of=len(rows),
        before=rows[at - 1] if at else None,
        after=rows[at + 1] if at + 1 < len(rows) else None,
    )


def levels_in_words(phrases) -> list[tuple[str, str]]:
    """Pairs of a level's word and the mentor's phrase for it, ideal first."""
    by_level = sorted(phrases, key=lambda phrase: -phrase.level)
    return [(LEVEL_WORDS[phrase.level], phrase.text) for phrase in by_level]


def by_severity(faults) -> list[tuple[Fault.Severity, list[Fault]]]:
    """The faults of each severity, the gravest first; a severity without faults is left out."""
    faults = list(faults)
    groups = [
        (severity, [fault for fault in faults if fault.severity == severity])
        for severity in GRAVEST_FIRST
    ]
    return [(severity, group) for severity, group in groups if group]
