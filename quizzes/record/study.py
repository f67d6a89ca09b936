"""The study record on paper: what somebody studied and did. It claims nothing about what they can."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

from django.template.defaultfilters import date
from django.utils.timezone import localtime
from django.utils.translation import get_language, ngettext
from django.utils.translation import gettext as _

from quizzes.kinds import kind_named
from quizzes.record import spent, streams
from quizzes.record.filters import Parts
from quizzes.record.spent import time_said
from trainer.study.page_reads import PageRead
from trainer.typeset import typeset

log = logging.getLogger(__name__)
TEMPLATE = Path(__file__).with_name("record.typ")
MOST_LISTED = 2000
"""Exercises that are listed one by one; of more, the latest, which is said."""


def pdf(user, *, name: str, mine, module: str | None, period: str, now) -> bytes:
    """The record of those attempts (a queryset), and of what was read. Raises NotTypeset.

    name : as it is to stand on the paper
    module : the only one it is about, None for all; period : in words, empty for all time
    """
    return typeset(TEMPLATE, data(user, name, mine, module, period, now))


def data(user, name: str, mine, module, period: str, now: datetime) -> dict:
    """What the template gets: everything in words, nothing to reckon."""
    named = Parts(mine).modules
    listed = list(_listed(mine, breeds=len(named) > 1))
    # What is read is not kept by date, so a period has nothing to say about it.
    read = {} if period else _read(user, module)
    lessons = {} if period else _lessons(user)
    done = spent.spent_on(mine)
    modules = _modules(named, done, read)
    return {
        "lang": get_language(),
        "name": name,
        "made": _day(now),
        "about": _about(module, period, modules),
        "summary": _summary(done, read),
        "modules": [
            {**module, "lessons": lessons.get(module["pk"], [])} for module in modules
        ],
        "rows": listed[-MOST_LISTED:],
        "left_out": _left_out(len(listed) - MOST_LISTED),
        "words": _words(),
    }


def _about(module, period: str, modules) -> str:
    breed = modules[0]["name"] if module and modules else ""
    return ", ".join(part for part in (breed, period) if part)


def _summary(done: dict, read: dict) -> list[str]:
    total = spent.summed(done)
    if not total and not read:
        return [_("Nothing was handed in or read in this part of the record.")]
    days = {"between": _between(total.first, total.last)} if total else {}
    between = [_("Handed in: %(between)s.") % days] if total else []
    return [spent.in_all(done, read), *between]


def _modules(named: dict[int, str], done: dict, read: dict) -> list[dict]:
    """A part for each module: what was done of each kind, and what was read."""
    named = named | {pk: row["breed"] for pk, row in read.items() if pk not in named}
    return [
        {
            "pk": pk,
            "name": name,
            "kinds": [_kind(kind, one) for kind, one in sorted(done[pk].items())]
            if pk in done
            else [],
            "read": _reading(read.get(pk)),
        }
        for pk, name in named.items()
    ]


def _kind(kind: str, one: spent.Spent) -> dict:
    return {
        "label": str(kind_named(kind).label),
        "n": str(one.n),
        "between": _between(one.first, one.last),
        "time": one.in_words,
    }


def _reading(row) -> str:
    if row is None:
        return ""
    said = spent.pages_said(row["pages"], row["seconds"])
    between = _between(row["first"], row["last"])
    return f"{said} {between}."


def _read(user, module) -> dict[int, dict]:
    """Pages read in each module; of one only, if it is about one."""
    rows = {row["module_id"]: row for row in spent.pages_read(user)}
    return {pk: row for pk, row in rows.items() if module in (None, str(pk))}


def _lessons(user) -> dict[int, list[str]]:
    """The lessons read in each module, in the order in which they were first opened; one query."""
    read = PageRead.objects.owned_by(user).filter(part=PageRead.Part.LESSON)
    names: dict[int, list[str]] = {}
    for module, name in read.order_by("first_at", "pk").values_list("module", "name"):
        names.setdefault(module, []).append(name)
    return names


def _listed(mine, *, breeds: bool) -> Iterator[list[str]]:
    """Date, exercise, kind, outcome and time of each exercise, the earliest first.

    breeds : whether there are several, so that the kind says of which breed it was
    """
    times, finished = spent.times_of(mine), mine.finished()
    found = streams.with_grades(finished, streams.rows(finished, "handed_in_at"))
    for row in sorted(found, key=lambda row: row["handed_in_at"]):
        kind = kind_named(row["kind"])
        yield [
            _day(row["handed_in_at"]),
            row["title"],
            f"{kind.label}, {row['breed']}" if breeds else str(kind.label),
            str(kind.outcome(row["own_grade"])),
            time_said(times[row["pk"]]),
        ]


def _left_out(n: int) -> str:
    if n <= 0:
        return ""
    text = ngettext(
        "One earlier exercise is counted above and not listed here.",
        "%(n)s earlier exercises are counted above and not listed here.",
        n,
    )
    return text % {"n": n}


def _day(at: datetime) -> str:
    return date(localtime(at), "j M Y")


def _between(first: datetime, last: datetime) -> str:
    days = dict.fromkeys((_day(first), _day(last)))
    return " \N{EN DASH} ".join(days)


def _words() -> dict[str, str]:
    return {
        "title": _("Study record"),
        "made": _("Made on"),
        "modules": _("By breed"),
        "list": _("Exercise by exercise"),
        "kind": _("Kind of exercise"),
        "number": _("Handed in"),
        "between": _("Between"),
        "time": _("Time"),
        "date": _("Date"),
        "exercise": _("Exercise"),
        "outcome": _("Result"),
        "read": _("Lessons and other pages:"),
        "lessons": _("Lessons opened:"),
        "hours": _("How the time is counted"),
        "how": spent.how_counted(),
        "page": _("Page %(n)s of %(all)s"),
        "foot": _("Study record, Placing Room"),
        "unshown": _("A box stands for a letter that no typeface here has."),
        "claim": _(
            "This is a record of study, not a qualification. It does not say that its holder is "
            "qualified to judge; the licensing body decides that."
        ),
    }
