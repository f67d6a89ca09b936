"""A table that somebody sends, as a workbook or as CSV, so that one reader reads both."""

from __future__ import annotations

import csv
import io
import zipfile

import openpyxl
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

MOST_BYTES = 1_000_000
MOST_UNPACKED = 20_000_000
MOST_COLUMNS = 20


def as_text(data: bytes, *, most_rows: int) -> bytes | str:
    """The first sheet of a workbook as CSV; anything else as it is. Raises ValidationError."""
    if len(data) > MOST_BYTES:
        raise ValidationError(_("The table is too large."), code="size")
    return _sheet_as_text(data, most_rows) if data.startswith(b"PK") else data


def _sheet_as_text(data: bytes, most_rows: int) -> str:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            if sum(one.file_size for one in packed.infolist()) > MOST_UNPACKED:
                raise ValidationError(_("The table is too large."), code="size")
        book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
        sheet = book.worksheets[0]
        rows = [
            [_as_text(cell) for cell in row]
            for row in sheet.iter_rows(
                max_row=most_rows + 2, max_col=MOST_COLUMNS, values_only=True
            )
        ]
    except ValidationError:
        raise
    except Exception:
        # The library raises whatever its parts do on a damaged file.
        text = _("This workbook can't be read. Save it as CSV and try that.")
        raise ValidationError(text, code="workbook") from None
    written = io.StringIO()
    csv.writer(written).writerows(rows)
    return written.getvalue()


def _as_text(cell) -> str:
    """A number in a cell as a person reads it: 17, not 17.0."""
    if isinstance(cell, float) and cell.is_integer():
        cell = int(cell)
    return "" if cell is None else str(cell)
