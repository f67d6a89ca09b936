"""Grading a room's paper cards: a key and answers as tables in, grades as a table out.

KEY.csv has the columns ``armband,place,cut,ruling`` and ANSWERS.csv
``name,placing,rulings``.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from quizzes.grading.batch import AnswerArrays, GradeArrays, grade_many
from quizzes.grading.cards import AnswerRow, CardReader, armband, read_answers
from quizzes.grading.key_table import read_key
from quizzes.grading.model import Key
from quizzes.grading.pairs import Floats
from quizzes.grading.problems import KeyProblem, Problem

Value: TypeAlias = str | int | float | None
Row: TypeAlias = dict[str, Value]
Progress: TypeAlias = Callable[[int, int], None]

FIGURES = (
    "pairs_agreed",
    "pairs_counted",
    "share",
    "random_as_good",
    "first_right",
    "rulings_right",
    "score",
    "gap_share",
    "places_moved",
    "weighted_tau",
    "tau_b",
    "tau_x",
    "rho",
)
COLUMNS = ("name", *FIGURES, "problem")
TEXT_COLUMNS = ("name", "rulings_right", "problem")

ROWS_AT_ONCE = 5000
"""Rows graded between two reports of progress."""

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


@dataclass(frozen=True)
class GradedSheet:
    """A row of ``COLUMNS`` for each card, and how many could not be graded."""

    rows: list[Row]
    problems: int

    def to_csv(self) -> str:
        """Return the table as comma-separated text; undefined is blank."""
        out = io.StringIO()
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(COLUMNS)
        writer.writerows(map(_csv_cells, self.rows))
        return out.getvalue()

    def to_json(self) -> str:
        """Return the table as a JSON list of objects; undefined is null."""
        return json.dumps(self.rows, ensure_ascii=False, indent=1)


def grade_sheet(
    key: Key, rows: Iterable[AnswerRow], progress: Progress | None = None
) -> GradedSheet:
    """Grade every card that can be read, and say of the others what to mend.

    Parameters
    ----------
    key : Key
        Its dogs are armbands, compared as text by ``armband``.
    rows : iterable of AnswerRow
    progress : callable, optional
        Called with the cards done and the cards in all, now and then and at the end.
    """
    cards = list(rows)
    reader = CardReader(key)
    graded = []
    for start in range(0, len(cards), ROWS_AT_ONCE):
        graded += _grade_part(key, reader, cards[start : start + ROWS_AT_ONCE])
        if progress:
            progress(len(graded), len(cards))
    return GradedSheet(graded, sum(bool(row["problem"]) for row in graded))


def _grade_part(key: Key, reader: CardReader, cards: Sequence[AnswerRow]) -> list[Row]:
    read = [reader.read(card.placing, card.rulings) for card in cards]
    places = [card.places for card in read if not card.problem]
    rulings = [card.rulings for card in read if not card.problem]
    shape = (len(places), len(key.dogs))
    arrays = AnswerArrays(
        np.array(places, np.int8).reshape(shape),
        np.array(rulings, np.int8).reshape(shape),
    )
    graded = iter(_figures(grade_many(key, arrays)))
    blank = dict.fromkeys(FIGURES)
    return [
        {"name": card.name}
        | (blank if result.problem else next(graded))
        | {"problem": result.problem or None}
        for card, result in zip(cards, read, strict=True)
    ]


def _figures(grades: GradeArrays) -> list[Row]:
    """Return the figures of each graded card, None where undefined."""
    ruled = len(grades.key.rulings)
    right = grades.rulings_right.sum(axis=1).tolist()
    columns: list[list[Value]] = []
    for name in FIGURES:
        if name == "rulings_right":
            columns.append([f"{number}/{ruled}" if ruled else None for number in right])
        else:
            columns.append(_values(getattr(grades, name)))
    return [dict(zip(FIGURES, row, strict=True)) for row in zip(*columns, strict=True)]


def _values(figures: Floats) -> list[Value]:
    """Return Python's own numbers, whole ones as int so that 50 is not written 50.0."""
    # nan is the one number that is not equal to itself.
    return [
        None if value != value else int(value) if value == int(value) else value
        for value in figures.tolist()
    ]


def _csv_cells(row: Row) -> list[str]:
    return [
        _as_text(row[name]) if name in TEXT_COLUMNS else _as_number(row[name])
        for name in COLUMNS
    ]


def _as_text(value: Value) -> str:
    """Keep a spreadsheet from taking what somebody typed for a formula."""
    text = "" if value is None else str(value)
    return f"'{text}" if text.startswith(FORMULA_STARTS) else text


def _as_number(value: Value) -> str:
    return "" if value is None else format(value, ".15g")


__all__ = [
    "COLUMNS",
    "AnswerRow",
    "GradedSheet",
    "KeyProblem",
    "Problem",
    "armband",
    "grade_sheet",
    "read_answers",
    "read_key",
]
