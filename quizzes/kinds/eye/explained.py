"""What a row's result says: the estimate, the truth, and the error with its sign."""

from __future__ import annotations

from itertools import pairwise

from django.utils.translation import gettext as _

from quizzes.drawing.amounts import amount, number
from quizzes.kinds.eye.asked import ASKABLE, MARKS, Estimate, Placed
from quizzes.kinds.eye.tolerances import LENGTH, tolerance
from quizzes.kinds.eye.truth import Truth, truth_of


def explained(row: Estimate, known: Placed, value) -> dict:
    truth = truth_of(row, known)
    if row.marks:
        return _of_marks(row, truth, value or {})
    is_true = truth.value(row.measure)
    if is_true is None or value is None:
        return {}
    unit = truth.unit(row.measure)
    off, within = round(value - round(is_true, 1), 1), tolerance(row.measure, truth)
    return {
        "true": amount(round(is_true, 1), unit),
        "off": amount(abs(off), unit) if off else "",
        "way": _way(off),
        "full": amount(within, unit),
        "half": amount(2 * within, unit),
        "lines": _lines(row, truth) if row.is_photograph else [],
    }


def signed(off: float, unit: str) -> str:
    """The error with its sign, as in "+6°": too much is plus."""
    sign = "+" if off > 0 else "\N{MINUS SIGN}" if off < 0 else ""
    return amount(off, unit, f"{sign}{number(abs(off))}")


def _way(off: float) -> str:
    if not off:
        return _("exactly as measured")
    return _("too much") if off > 0 else _("too little")


def _of_marks(row, truth: Truth, put) -> dict:
    """Each landmark where it lies and where it was put, with the distance in per cent of the height."""
    rows = [
        {
            "label": MARKS[name],
            "true": truth.places[name],
            "put": put.get(name),
            "off": truth.apart(put[name], truth.places[name]) if name in put else None,
        }
        for name in row.marks
        if name in truth.places
    ]
    for one in rows:
        one["near"] = one["off"] is not None and round(one["off"], 1) <= LENGTH
    return {"marks": rows, "full": LENGTH, "half": 2 * LENGTH}


def _lines(row, truth: Truth) -> list:
    """Between the landmarks of a photograph that the measurement is taken from."""
    points = [truth.places.get(name) for name in ASKABLE[row.measure].points]
    known = [one for one in points if one]
    if len(points) == 4:
        return [tuple(known[:2]), tuple(known[2:])]
    return list(pairwise(known))
