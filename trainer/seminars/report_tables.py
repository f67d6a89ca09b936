"""The report as tables: sheets of one XLSX, or each as CSV. No cell is ever taken for a formula."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from io import BytesIO, StringIO

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE
from openpyxl.styles import Font

from quizzes.record.sheet import BOM, safe

NAMES = (
    "attendance",
    "programme",
    "classes",
    "orders",
    "pairs",
    "answers",
    "comments",
)
LONGEST = 32_000
"""Characters that a cell of a spreadsheet holds are 32,767."""


def tables(found: dict) -> dict[str, list[list]]:
    """Rows by table, each with its head; names of people are in the first alone."""
    return {
        "attendance": list(_attendance(found)),
        "programme": list(_programme(found)),
        "classes": list(_classes(found)),
        "orders": list(_orders(found)),
        "pairs": list(_pairs(found)),
        "answers": list(_answers(found)),
        "comments": list(_comments(found)),
    }


def titles() -> dict[str, str]:
    return {
        "attendance": _("Attendance"),
        "programme": _("Programme"),
        "classes": _("Classes"),
        "orders": _("Placings"),
        "pairs": _("Pairs"),
        "answers": _("Answers"),
        "comments": _("Comments"),
    }


def _attendance(found) -> Iterator[list]:
    yield [
        _("Name"),
        _("Number"),
        _("Place"),
        *found["parts"],
        _("Hours"),
        _("Corrections"),
    ]
    blank = [""] * len(found["parts"])
    for one in found["attendance"]:
        each = one["each"] or blank
        notes = "; ".join(one["notes"])
        yield [one["name"], one["number"], one["state"], *each, one["hours"], notes]


def _programme(found) -> Iterator[list]:
    yield [_("Day"), _("From"), _("Until"), _("Part"), _("With"), _("Were there")]
    for one in found["programme"]:
        yield [one[name] for name in ("day", "from", "until", "title", "who", "came")]


FIGURES = {
    "share": gettext_lazy("Share as the key"),
    "mean": gettext_lazy("Pairs as the key, mean"),
    "of": gettext_lazy("Of pairs"),
    "w": gettext_lazy("Kendall's W"),
    "by_chance": gettext_lazy("W by chance"),
    "n": gettext_lazy("Placed it twice"),
    "change_before": gettext_lazy("Before"),
    "change_after": gettext_lazy("After"),
    "change_mean": gettext_lazy("Change"),
    "change_low": gettext_lazy("Change, 95 % from"),
    "change_high": gettext_lazy("Change, 95 % to"),
}


def _classes(found) -> Iterator[list]:
    """Agreement of the room, and how it changed from one placing to the next; empty of too few to tell."""
    named = [str(name) for name in FIGURES.values()]
    yield [_("Class"), _("Counted"), _("Late"), *named, _("The mentor's line")]
    for one in found["sittings"]:
        figures = [_rounded(one["figures"].get(name, "")) for name in FIGURES]
        head = [one["title"], one["counted"], one["late"]]
        yield [*head, *figures, one["line"]]


def _rounded(value):
    return round(value, 4) if isinstance(value, float) else value


def _told(found, kind) -> Iterator[dict]:
    """Results of so many that they tell nobody."""
    return (
        one
        for one in found["sittings"]
        if not one["too_few"] and (one["kind"] == "placing") == (kind == "placing")
    )


def _orders(found) -> Iterator[list]:
    yield [_("Class"), _("Place"), _("Armband"), _("How many"), _("As the key")]
    for one in _told(found, "placing"):
        for line in one["grid"]:
            for armband, cell in zip(one["armbands"], line["cells"], strict=True):
                key = _("yes") if cell["is_key"] else ""
                yield [one["title"], line["place"], armband, cell["count"], key]


def _pairs(found) -> Iterator[list]:
    yield [_("Class"), _("Over"), _("Under"), _("As the key"), _("Of"), _("Why")]
    for one in _told(found, "placing"):
        for pair in one["pairs"]:
            figures = [pair[name] for name in ("upper", "lower", "agreed", "of")]
            yield [one["title"], *figures, pair["reason"]]


def _answers(found) -> Iterator[list]:
    yield [_("Exercise"), _("Row"), _("Asked"), _("Answer"), _("How many"), _("Key")]
    for one in _told(found, "sheet"):
        for row in one["rows"]:
            for answer in row["answers"]:
                right = _("yes") if answer["right"] else ""
                head = [one["title"], row["number"], row["named"]]
                yield [*head, answer["said"], answer["count"], right]


def _comments(found) -> Iterator[list]:
    yield [_("About"), _("Words")]
    for gave in found["feedback"]["counts"]:
        yield [_("useful, from 1 to 5"), gave]
    for name, said in (("good", _("good")), ("better", _("could be better"))):
        for words in found["feedback"][name]:
            yield [said, words]


def as_csv(rows: list[list]) -> str:
    """RFC 4180; the mark in front tells spreadsheets that it is UTF-8."""
    out = StringIO()
    csv.writer(out).writerows([safe(cell) for cell in row] for row in rows)
    return BOM + out.getvalue()


def as_xlsx(found: dict) -> bytes:
    """All tables, a sheet for each."""
    book, named = Workbook(write_only=True), titles()
    for name, rows in tables(found).items():
        sheet = book.create_sheet(_sheet_title(named[name]))
        sheet.freeze_panes = "A2"
        for n, row in enumerate(rows):
            sheet.append([_cell(sheet, value, is_head=n == 0) for value in row])
    out = BytesIO()
    book.save(out)
    return out.getvalue()


def _sheet_title(text: str) -> str:
    """A translation may be longer, or hold what no sheet may be called."""
    return "".join(letter for letter in text if letter not in "[]:*?/\\")[:31]


def _cell(sheet, value, *, is_head: bool) -> WriteOnlyCell:
    """Text is stored as text, whatever it begins with."""
    if isinstance(value, str):
        value = ILLEGAL_CHARACTERS_RE.sub("", value)[:LONGEST]
    cell = WriteOnlyCell(sheet, value=value)
    if isinstance(value, str):
        cell.data_type = "s"
    if is_head:
        cell.font = Font(bold=True)
    return cell
