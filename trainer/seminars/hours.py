"""Who was there how long, from stays and the programme. Plain values, no database.

An interval is a pair of times, the first no later than the second; times are aware or all naive.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta

Interval = tuple[datetime, datetime]


def merged(stays: Iterable[Interval]) -> list[Interval]:
    """The stays without overlap, in order: two check-ins at once count once."""
    found: list[Interval] = []
    for begin, end in sorted(stays):
        if found and begin <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], end))
        else:
            found.append((begin, end))
    return found


def there(stays: Iterable[Interval], part: Interval) -> timedelta:
    """How long the stays and a part of the programme overlap."""
    begin, end = part
    overlaps = (min(end, until) - max(begin, since) for since, until in merged(stays))
    return sum((one for one in overlaps if one > timedelta()), timedelta())


def attended(
    stays: Iterable[Interval], parts: Sequence[Interval]
) -> tuple[list[timedelta], timedelta]:
    """How long somebody was at each part, and in all; parts at the same time count once in all."""
    whole = merged(stays)
    return [there(whole, part) for part in parts], sum(
        (there(whole, part) for part in merged(parts)), timedelta()
    )


def in_hours(length: timedelta) -> float:
    """Hours to the quarter, rounded down: what is certified was surely attended."""
    return length // timedelta(minutes=15) / 4
