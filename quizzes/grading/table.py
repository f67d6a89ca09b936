"""Reading a small table that a spreadsheet or a person wrote."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from typing import Any

from quizzes.grading.problems import Problem

DELIMITERS = ",;\t"


def read_table(
    data: bytes | str,
    *,
    required: Sequence[str],
    optional: Sequence[str] = (),
    refuse: type[Problem] = Problem,
) -> list[dict[str, str]]:
    """Return the rows of a delimited table, each with all named columns and its ``line``.

    ``line`` is the number of the line in the file, the last one for a row of several.

    Commas, semicolons or tabs; any line ends; UTF-8 with or without a byte order mark,
    UTF-16 with one, else Windows-1252. Column names may come in any order and case,
    other columns are ignored, and so are blank rows. Cells are stripped. Cells beyond
    the header belong to the last column: a list in it was written without quotes.

    Raises ``refuse`` if there is no header with the required columns.
    """
    cells = _cells(decoded(data), refuse)
    lines = [(number, line) for number, line in cells if any(line)]
    header = [name.casefold() for name in lines[0][1]] if lines else []
    missing = [name for name in required if name not in header]
    if missing:
        raise refuse(
            "The column %(missing)s is missing; the first line must be %(header)s."
            if len(missing) == 1
            else "The columns %(missing)s are missing; the first line must be %(header)s.",
            missing=" and ".join(missing),
            header=",".join([*required, *optional]),
        )
    at = {name: header.index(name) for name in (*required, *optional) if name in header}
    return [
        {**_row(line, at, len(header), optional), "line": str(number)}
        for number, line in lines[1:]
    ]


def _row(
    line: list[str], at: dict[str, int], width: int, optional: Sequence[str]
) -> dict[str, str]:
    if len(line) > width:
        line = [*line[: width - 1], ";".join(filter(None, line[width - 1 :]))]
    row = dict.fromkeys(optional, "")
    for name, column in at.items():
        row[name] = line[column] if column < len(line) else ""
    return row


def decoded(data: bytes | str) -> str:
    """Return the text of a table: UTF-8, UTF-16 with a byte order mark, else Windows-1252."""
    if isinstance(data, str):
        return data.removeprefix("\ufeff")
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", errors="replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")


def _cells(text: str, refuse: type[Problem]) -> list[tuple[int, list[str]]]:
    """Return the stripped cells of each line, with the number of the line."""
    whole, text = text, text.lstrip("\r\n")
    before = len(whole[: len(whole) - len(text)].splitlines())
    first = text.partition("\n")[0].strip()
    if first[:4].casefold() == "sep=" and len(first) == 5:
        text, delimiter = text.partition("\n")[2], first[4]
        before += 1
    else:
        delimiter = max(DELIMITERS, key=first.count)
    try:
        lines = _numbered(
            csv.reader(io.StringIO(text, ""), delimiter=delimiter, strict=True)
        )
    except csv.Error:
        lines = _line_by_line(text, delimiter, refuse)
    return [
        (before + number, [cell.strip() for cell in line]) for number, line in lines
    ]


def _numbered(reader: Any) -> list[tuple[int, list[str]]]:
    return [(reader.line_num, line) for line in reader]


def _line_by_line(
    text: str, delimiter: str, refuse: type[Problem]
) -> list[tuple[int, list[str]]]:
    """Read each line for itself, so that a stray quotation mark spoils only its own."""
    try:
        lines = _closed(text.splitlines())
        return _numbered(csv.reader(lines, delimiter=delimiter))
    except csv.Error as error:
        raise refuse("The table cannot be read: %(error)s.", error=error) from error


def _closed(lines: list[str]) -> list[str]:
    """Drop the quotation marks of lines that open one and do not close it."""
    return [line.replace('"', "") if line.count('"') % 2 else line for line in lines]
