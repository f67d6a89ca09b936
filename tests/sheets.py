"""Sheets of every kind that asks several things at once, as the demo has them."""

import random

from django.utils import timezone

from quizzes.attempts import begin, hand_in
from quizzes.demo_sheets import documents, stored
from quizzes.kinds import REGISTERED, kind_named
from quizzes.kinds.sheets.kind import SheetKind
from quizzes.kinds.sheets.player import field_of
from tests.factories import ExerciseFactory, ModuleFactory, RevisionFactory

SHEET_KINDS = [one for one in REGISTERED if isinstance(kind_named(one), SheetKind)]


def document_of(kind) -> dict:
    """The demo's first sheet of that kind."""
    return next(one for one in documents() if one["kind"] == kind)


def sheet(club, kind="severity", **more):
    """A sheet of the club in force, as the demo's first of that kind; other fields as given."""
    document = document_of(kind)
    module = more.pop("module", None) or ModuleFactory(club=club)
    exercise = ExerciseFactory(module=module, kind=kind)
    given = {"size": len(document["rows"]), "title": document["title"], **more}
    return RevisionFactory(exercise=exercise, **{**stored(document), **given})


def opened(revision, trainee):
    """An open attempt at the sheet."""
    rng = random.Random(1)
    return begin(revision, by=trainee, now=timezone.now(), rng=rng)


def right(revision) -> dict:
    """The answer that the key has, row by row."""
    kind = kind_named(revision.exercise.kind)
    rows, key = kind.sheet(revision.content), kind.key(revision.key)
    return {"items": {row.id: kind.right(row, key[row.id]) for row in rows}}


def _graded(_row, value) -> dict:
    reasons = enumerate(value["reasons"], start=1)
    return {
        "grade": value["grade"],
        **{f"reason-{n}": reason for n, reason in reasons},
    }


def _estimated(_row, value):
    """A number, or two for each landmark."""
    if not isinstance(value, dict):
        return {"": value}
    pairs = value.items()
    return {f"{name}-x": x for name, (x, _y) in pairs} | {
        f"{name}-y": y for name, (_x, y) in pairs
    }


POSTED = {"grade": _graded, "eye": _estimated}
"""What the form sends for a row and a value, where it is not one field: by kind, as names after the row's."""


def posted(revision, answer) -> dict:
    """The answer as the page's form sends it."""
    kind = revision.exercise.kind
    rows = kind_named(kind).sheet(revision.content).by_id
    sent = POSTED.get(kind, lambda _row, value: {"": value})
    return {
        field_of(pk, name): one
        for pk, value in answer["items"].items()
        for name, one in sent(rows[pk], value).items()
    }


def answered(revision, trainee, answer=None):
    """An attempt that is handed in; as the key has it unless said."""
    attempt = opened(revision, trainee)
    return hand_in(attempt, now=timezone.now(), answer=answer or right(revision))
