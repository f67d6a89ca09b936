"""How long somebody was at work, from when they opened an exercise and when they handed it in."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

MOST = timedelta(minutes=30)
"""What one exercise counts at most: nothing is known of a page left open overnight but that it was open."""


@dataclass(frozen=True)
class Worked:
    """One exercise that was handed in.

    allowed : the time that its clock gave, where it had one
    """

    started: datetime
    handed_in: datetime
    allowed: timedelta | None = None

    @property
    def most(self) -> timedelta:
        return max(MOST, self.allowed or MOST)

    @property
    def time(self) -> timedelta:
        """From opening to handing in, at most what one exercise may count."""
        return max(min(self.handed_in - self.started, self.most), timedelta())


def counted(worked: Iterable[Worked]) -> list[timedelta]:
    """What each counts, in the order given: its last minutes before it was handed in, and no minute twice.

    worked : in the order in which they were handed in
    """
    found, until = [], None
    for one in worked:
        begin = one.handed_in - one.time
        if until is not None:
            begin = max(begin, until)
        found.append(max(one.handed_in - begin, timedelta()))
        until = max(until, one.handed_in) if until else one.handed_in
    return found
