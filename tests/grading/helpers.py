"""Loading check values, and short ways to write keys and answers."""

import json
from fractions import Fraction
from itertools import groupby
from pathlib import Path

from quizzes.grading import Answer, Key

DATA = Path(__file__).parent / "data"
CASES = {
    case["id"]: case
    for case in json.loads((DATA / "rank-statistics.json").read_text())["cases"]
}
CUTS = json.loads((DATA / "cuts.json").read_text())


def expected(case):
    """What a case of the data file says, by its id."""
    return CASES[case]["expected"]


def groups(values):
    """Tie groups of the indices of a list of values, smallest value first."""
    order = sorted(range(len(values)), key=lambda dog: values[dog])
    by_value = groupby(order, key=lambda dog: values[dog])
    return tuple(tuple(dogs) for _, dogs in by_value)


def strict(dogs):
    """An order without ties."""
    return tuple((dog,) for dog in dogs)


def key(text, *, cuts=None, rulings=None, unplaced=""):
    """A key from ``4-2=3-1`` (or ``ABCD`` without ties)."""
    return Key(_order(text), cuts, rulings or {}, tuple(unplaced))


def answer(text, **rulings):
    """An answer from ``4-2=3-1`` (or ``ABCD``), with rulings as ``X="excused"``."""
    return Answer(_order(text), rulings)


def _order(text):
    if "-" in text or "=" in text:
        return tuple(tuple(group.split("=")) for group in text.split("-"))
    return strict(text)


def fraction(text):
    return Fraction(text)
