"""The record as a table for a spreadsheet: one row for each exercise handed in (RFC 4180)."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from datetime import timedelta

from django.utils.timezone import localtime

from quizzes.grading.sheet import FORMULA_STARTS
from quizzes.kinds import kind_named
from quizzes.models import Revision
from quizzes.record.spent import times_of
from quizzes.record.streams import rows, with_grades

BOM = "\N{ZERO WIDTH NO-BREAK SPACE}"
"""By which spreadsheets know that the letters are UTF-8."""
COLUMNS = (
    "handed_in_at",
    "breed",
    "club",
    "kind",
    "exercise",
    "revision",
    "level",
    "try",
    "result",
    "agreed",
    "counted",
    "share",
    "at_random",
    "result_under_later_key",
    "minutes",
    "page",
)


class _Line:
    """What csv writes to: gives back the line instead of keeping it."""

    def write(self, line: str) -> str:
        return line


def lines(mine, *, site: str) -> Iterator[str]:
    """The table of the attempts (a queryset), line by line.

    site : the address of the site without a slash at its end
    """
    writer = csv.writer(_Line())
    yield BOM + writer.writerow(COLUMNS)
    times = times_of(mine)
    mine = mine.finished()
    for row in with_grades(mine, rows(mine, "handed_in_at", "number")):
        cells = _cells(row, times[row["pk"]], site)
        yield writer.writerow([safe(cell) for cell in cells])


def safe(cell) -> str:
    """A cell that no spreadsheet takes for a formula; numbers are left as they are."""
    if not isinstance(cell, str):
        return "" if cell is None else format(cell, ".6g")
    return f"'{cell}" if cell.startswith(FORMULA_STARTS) else cell


def _cells(row: dict, time: timedelta, site: str) -> list:
    kind, grade = kind_named(row["kind"]), row["own_grade"]
    later = row["later_grades"][-1] if row["later_grades"] else None
    return [
        localtime(row["handed_in_at"]).isoformat(sep=" ", timespec="seconds"),
        row["breed"],
        row["club"],
        str(kind.label),
        row["title"],
        row["revision_number"],
        str(Revision.Difficulty(row["difficulty"]).label),
        row["number"],
        str(kind.outcome(grade)),
        *_figures(grade),
        str(kind.outcome(later)) if later else "",
        round(time.total_seconds() / 60, 1),
        f"{site}/attempts/{row['pk']}/result/",
    ]


def _figures(grade) -> tuple:
    """Agreed, counted, share and chance; empty where nothing counts yet."""
    if grade is None or not grade.pairs_counted:
        return (None,) * 4
    return grade.pairs_agreed, grade.pairs_counted, grade.share, grade.chance


__all__ = ["COLUMNS", "lines", "safe"]
