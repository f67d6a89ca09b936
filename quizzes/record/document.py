"""Everything the site knows of a person as one JSON document; its form is static/schemas/record-1.schema.json.

Members may be added within version 1; whatever would be misread by a reader of version 1 is version 2.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from datetime import datetime

from django.core.serializers.json import DjangoJSONEncoder
from django.templatetags.static import static

from quizzes.kinds import kind_named
from quizzes.models import Attempt
from quizzes.record.person import everything_else, person
from quizzes.record.spent import times_of
from quizzes.record.streams import revisions, rows, told, with_grades, with_marks

FORMAT, VERSION = "placing-room-record", "1.0"
ATTEMPT = (
    "state",
    "preview",
    "number",
    "submission",
    "shown",
    "answer",
    "started_at",
    "saved_at",
    "handed_in_at",
    "extra_seconds",
)
UNTOLD = {"shown": {}, "own_grade": None, "later_grades": [], "mark": None}
"""Of an attempt whose key the person is not to know yet: what was shown may tell too much of it."""


def pieces(user, *, site: str, now: datetime) -> Iterator[str]:
    """The document, piece by piece.

    site : the address of the site without a slash at its end
    """
    mine = Attempt.objects.answerable_by(user)
    head = {
        "$schema": site + static("schemas/record-1.schema.json"),
        "format": FORMAT,
        "version": VERSION,
        "made_at": now,
        "site": site,
        "person": person(user),
        **everything_else(user),
    }
    yield from _members(head.items())
    yield from _array("revisions", map(_revision, revisions(user, mine)))
    yield from _array("attempts", _attempts(user, mine))
    yield "}\n"


def _members(pairs: Iterable[tuple]) -> Iterator[str]:
    before = "{"
    for name, value in pairs:
        yield f"{before}\n{_written(name)}: {_written(value)}"
        before = ","


def _array(name: str, entries: Iterable[dict]) -> Iterator[str]:
    yield f",\n{_written(name)}: ["
    before = "\n"
    for entry in entries:
        yield before + _written(entry)
        before = ",\n"
    yield "\n]"


def _written(value) -> str:
    return json.dumps(value, cls=DjangoJSONEncoder, ensure_ascii=False)


def _revision(row: dict) -> dict:
    """What was answered, with its key as it was."""
    return {**row, "kind_name": str(kind_named(row["kind"]).label)}


def _attempts(user, mine) -> Iterator[dict]:
    times, known = times_of(mine), set(told(user).values_list("pk", flat=True))
    found = rows(mine, *ATTEMPT)
    graded = with_grades(mine, found, "graded_at", "result")
    for row in with_marks(mine, graded):
        if row["pk"] not in known:
            row |= UNTOLD
        yield _attempt(row, times.get(row["pk"]))


def _attempt(row: dict, time) -> dict:
    """One attempt with its grade under the key it was answered under, later ones, and the mark returned."""
    kind, own, later = kind_named(row["kind"]), row["own_grade"], row["later_grades"]
    return {
        "id": row["pk"],
        "revision": row["revision_id"],
        "title": row["title"],
        **{name: row[name] for name in ATTEMPT},
        "counted_seconds": None if time is None else round(time.total_seconds()),
        "outcome": str(kind.outcome(own)) if own else None,
        "grade": _grade(own),
        "later_grades": [_grade(grade) for grade in later],
        "mark": _mark(row["mark"]),
    }


def _grade(grade) -> dict | None:
    if grade is None:
        return None
    return {
        "revision": grade.revision_id,
        "graded_at": grade.graded_at,
        "agreed": grade.pairs_agreed,
        "counted": grade.pairs_counted,
        "share": grade.share,
        "chance": grade.chance,
        "result": grade.result,
    }


def _mark(mark) -> dict | None:
    if mark is None:
        return None
    names = ("points", "comments", "overall", "returned_at")
    return {name: getattr(mark, name) for name in names}
