"""Everybody's estimates of one sheet, put together by how far off they are."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from django.utils.translation import gettext as _

from quizzes.grading.items import FULL, HALF
from quizzes.kinds.eye.asked import MARKS
from quizzes.kinds.eye.tolerances import LENGTH, points_for, tolerance
from quizzes.kinds.eye.truth import truth_of

NEAR, HALFWAY, LITTLE, MUCH = range(4)


def put_together(row, known, counted: Mapping[str, int]) -> list[dict]:
    """Estimates in groups by how far off they are; each landmark by itself."""
    truth = truth_of(row, known)
    if row.marks:
        return _marks(row, truth, counted)
    is_true = truth.value(row.measure)
    if is_true is None:
        return []
    groups, within = Counter(), tolerance(row.measure, truth)
    for word, count in counted.items():
        groups[_group(float(word) - is_true, within)] += count
    words = {
        NEAR: _("within what gets full points"),
        HALFWAY: _("within what gets half points"),
        LITTLE: _("further off, too little"),
        MUCH: _("further off, too much"),
    }
    return [
        {"said": words[at], "count": groups[at], "right": at == NEAR}
        for at in words
        if groups[at]
    ]


def _group(off: float, within: float) -> int:
    points = points_for(off, within)
    if points == FULL:
        return NEAR
    return HALFWAY if points == HALF else LITTLE if off < 0 else MUCH


def _marks(row, truth, counted) -> list[dict]:
    """Each landmark: how many put it near enough, and how many did not."""
    short = {name[:12]: name for name in row.marks}
    near, off = Counter(), Counter()
    for word, count in counted.items():
        name, place = _read(word, short)
        if name in truth.places:
            apart = truth.apart(place, truth.places[name])
            (near if round(apart, 1) <= LENGTH else off)[name] += count
    found = []
    for name in row.marks:
        values = {"label": MARKS[name]}
        if near[name]:
            said = _("%(label)s, near enough") % values
            found.append({"said": said, "count": near[name], "right": True})
        if off[name]:
            said = _("%(label)s, further off") % values
            found.append({"said": said, "count": off[name], "right": False})
    return found


def _read(word: str, short: dict[str, str]):
    name, _at, place = word.partition("@")
    x, _comma, y = place.partition(",")
    return short.get(name, ""), (float(x), float(y))
