"""A roster as a table: read from CSV or a spreadsheet with what is wrong in which line, and written safely."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from dataclasses import dataclass, field

from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.utils.translation import gettext as _

from quizzes.grading import Problem
from quizzes.grading.table import read_table
from quizzes.record.sheet import safe
from trainer.seminars.models import Seminar
from trainer.seminars.workbook import as_text

MOST_ROWS = 1000
LONGEST = {"name": 120, "email": 254, "number": 40}


@dataclass
class Read:
    """What a table holds.

    rows : to be added, as name, email and number
    known : names of those who are on the roster already, by address, or by name and number without one
    wrong : sentences that say what is wrong in which line
    """

    rows: list[dict] = field(default_factory=list)
    known: list[str] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)


def read(data: bytes, seminar: Seminar) -> Read:
    """The table against the roster as it is. Raises ValidationError for what is no such table."""
    lines = _lines(data)
    if len(lines) > MOST_ROWS:
        text = _("Give at most %(n)s people at once.")
        raise ValidationError(text, code="many", params={"n": MOST_ROWS})
    people = seminar.attendees.values_list("name", "email", "number")
    there = {_key(*one): one[0] for one in people}
    found, seen = Read(), {}
    for line in lines:
        _sort(line, found, there, seen)
    return found


def _sort(line, found: Read, there, seen) -> None:
    """Put one line where it belongs."""
    row = {name: line[name] for name in LONGEST}
    key = _key(**row)
    wrong = _wrong(row)
    if not wrong and key in seen:
        wrong = _("the same as line %(line)s") % {"line": seen[key]}
    if wrong:
        text = _("Line %(line)s: %(wrong)s.")
        found.wrong.append(text % {"line": line["line"], "wrong": wrong})
    elif key in there:
        found.known.append(there[key])
    else:
        found.rows.append(row)
    seen.setdefault(key, line["line"])


def _key(name: str, email: str, number: str) -> str:
    return (email or f"{name}\n{number}").casefold()


def _wrong(row) -> str:
    if not row["name"]:
        return _("the name is missing")
    for name, most in LONGEST.items():
        if len(row[name]) > most:
            return _("%(name)s is longer than %(most)s") % {"name": name, "most": most}
    if row["email"]:
        try:
            validate_email(row["email"])
        except ValidationError:
            return _("%(email)s is no e-mail address") % {"email": row["email"]}
    return ""


def _lines(data: bytes) -> list[dict[str, str]]:
    text = as_text(data, most_rows=MOST_ROWS)
    try:
        return [
            {name: " ".join(value.split()) for name, value in line.items()}
            for line in read_table(
                text, required=("name",), optional=("email", "number")
            )
        ]
    except Problem as error:
        raise ValidationError(str(error), code="table") from None


def as_csv(rows: Iterable[list], parts: list[str]) -> str:
    """The roster with hours as a table that no spreadsheet takes for formulas."""
    written = io.StringIO()
    table = csv.writer(written)
    head = ["name", "email", "number", "state", "in", "out", "note", *parts, "hours"]
    table.writerow([safe(one) for one in head])
    for row in rows:
        table.writerow([safe(one) for one in row])
    return "\ufeff" + written.getvalue()
