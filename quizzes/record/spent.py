"""How much time somebody spent on exercises, by module; the counting itself is in hours.py."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from quizzes.kinds import kind_named
from quizzes.record.hours import Worked, counted
from trainer.study.page_reads import PageRead


@dataclass(frozen=True)
class Spent:
    """How much of one kind was done in one module, between which days, and how long it took."""

    n: int
    time: timedelta
    first: datetime
    last: datetime

    def and_(self, other: Spent) -> Spent:
        return Spent(
            self.n + other.n,
            self.time + other.time,
            min(self.first, other.first),
            max(self.last, other.last),
        )

    @property
    def in_words(self) -> str:
        return time_said(self.time)


def time_said(time: timedelta) -> str:
    """ "5 h 20 min", to the full minute; what was done at all is a minute."""
    hours, minutes = divmod(max(round(time.total_seconds() / 60), 1), 60)
    if not hours:
        return _("%(minutes)s min") % {"minutes": minutes}
    if not minutes:
        return _("%(hours)s h") % {"hours": hours}
    return _("%(hours)s h %(minutes)s min") % {"hours": hours, "minutes": minutes}


def how_counted() -> str:
    """The rule, for whoever reads the hours."""
    return _(
        "An exercise counts from opening it to handing it in, at most 30 minutes, or what its "
        "clock gave if that is more, so a page left open overnight counts little; no minute "
        "counts twice. Reading counts while a page is in view, at most 20 minutes a visit. What "
        "was begun and not handed in is not counted."
    )


def times_of(mine) -> dict[int, timedelta]:
    """What each of the attempts (a queryset) counts that were handed in; one query."""
    return {row[0]: row[-1] for row in _rows(mine)}


def spent_on(mine) -> dict[int, dict[str, Spent]]:
    """For each module, what was done of each kind; one query."""
    found: dict[int, dict[str, Spent]] = defaultdict(dict)
    for _pk, module, kind, handed_in, time in _rows(mine):
        one, before = Spent(1, time, handed_in, handed_in), found[module].get(kind)
        found[module][kind] = before.and_(one) if before else one
    return found


def summed(spent: dict[int, dict[str, Spent]]) -> Spent | None:
    """All of it together; None for nothing."""
    total = None
    for by_kind in spent.values():
        for one in by_kind.values():
            total = total.and_(one) if total else one
    return total


def pages_read(user) -> list[dict]:
    """What the person read in each module: pages, seconds, and between which days; one query."""
    return list(PageRead.objects.owned_by(user).by_module())


def in_all(done: dict[int, dict[str, Spent]], read: dict[int, dict]) -> str:
    """Everything together, in a sentence."""
    total, found = summed(done), []
    if total:
        values = {"n": exercises_said(total.n), "time": total.in_words}
        found.append(_("%(n)s handed in, %(time)s.") % values)
    if read:
        pages = sum(row["pages"] for row in read.values())
        found.append(pages_said(pages, sum(row["seconds"] for row in read.values())))
    return " ".join(found)


def table_of(
    modules: dict[int, str], done: dict[int, dict[str, Spent]], read: dict[int, dict]
) -> list[dict]:
    """A row for each kind and for reading, module by module; `rows` stands in the first of a module."""
    named = modules | {
        pk: row["breed"] for pk, row in read.items() if pk not in modules
    }
    return [row for pk, name in named.items() for row in _of(pk, name, done, read)]


def _of(pk: int, name: str, done, read) -> list[dict]:
    rows = [
        {"what": kind_named(kind).label, "n": one.n, "time": one.in_words}
        for kind, one in sorted(done.get(pk, {}).items())
    ]
    if pk in read:
        pages, seconds = read[pk]["pages"], read[pk]["seconds"]
        time = time_said(timedelta(seconds=seconds)) if seconds else ""
        rows.append({"what": _("Pages read"), "n": pages, "time": time})
    rows[0] |= {"module": name, "rows": len(rows)}
    return rows


def exercises_said(n: int) -> str:
    return ngettext("%(n)s exercise", "%(n)s exercises", n) % {"n": n}


def pages_said(pages: int, seconds: int) -> str:
    text = ngettext("%(n)s page read", "%(n)s pages read", pages) % {"n": pages}
    if not seconds:
        return f"{text}."
    return f"{text}, {time_said(timedelta(seconds=seconds))}."


def _rows(mine):
    """Id, module, kind, when it was handed in, and what it counts, of each attempt handed in."""
    rows = list(
        mine.finished()
        .order_by("handed_in_at", "pk")
        .values_list(
            "pk",
            "revision__exercise__module",
            "revision__exercise__kind",
            "handed_in_at",
            "started_at",
            "revision__pace_seconds",
            "revision__size",
            "extra_seconds",
        )
    )
    times = counted(
        Worked(
            started,
            handed_in,
            timedelta(seconds=pace * size + more) if pace else None,
        )
        for *_names, handed_in, started, pace, size, more in rows
    )
    for (pk, module, kind, handed_in, *_rest), time in zip(rows, times, strict=True):
        yield pk, module, kind, handed_in, time
