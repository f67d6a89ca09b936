"""Rows of a person's attempts one after the other, however many there are, in a fixed number of queries."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from django.db.models import Exists, F, OuterRef

from quizzes.models import Attempt, Grade, Mark, Revision

CHUNK = 200
ABOUT = {
    "title": F("revision__title"),
    "revision_number": F("revision__number"),
    "difficulty": F("revision__difficulty"),
    "exercise": F("revision__exercise"),
    "kind": F("revision__exercise__kind"),
    "module": F("revision__exercise__module"),
    "breed": F("revision__exercise__module__breed__name"),
    "club": F("revision__exercise__club__name"),
}
"""What a row says of the exercise beside its own columns."""


def rows(mine, *columns, **more) -> Iterator[dict]:
    """The attempts (a queryset) by id, as plain rows: these columns, and what ABOUT names."""
    found = mine.order_by("pk").values("pk", "revision_id", *columns, **ABOUT, **more)
    return found.iterator(CHUNK)


def with_grades(mine, found: Iterator[dict], *columns) -> Iterator[dict]:
    """The rows of those attempts, each with its grades: `own_grade`, and `later_grades` by revision.

    A grade is a row of columns, with the headline figures under their own names.
    """
    grades = Grade.objects.filter(attempt__in=mine.values("pk"))
    figures = grades.order_by("attempt_id", "revision__number").values_list(
        *FIGURES, *columns, named=True
    )
    for row, own in _beside(found, figures.iterator(CHUNK)):
        row["own_grade"] = next(
            (grade for grade in own if grade.revision_id == row["revision_id"]), None
        )
        row["later_grades"] = [
            grade for grade in own if grade.revision_id > row["revision_id"]
        ]
        yield row


def with_marks(mine, found: Iterator[dict]) -> Iterator[dict]:
    """The rows of those attempts, each with the `mark` that was returned to the trainee; None without one."""
    marks = Mark.objects.returned().filter(attempt__in=mine.values("pk"))
    returned = marks.order_by("attempt_id").values_list(
        "attempt_id", "points", "comments", "overall", "returned_at", named=True
    )
    for row, own in _beside(found, returned.iterator(CHUNK)):
        row["mark"] = own[0] if own else None
        yield row


def told(user):
    """What the person has handed in, trials too, and may know the key of."""
    trials = Attempt.objects.answerable_by(user).filter(preview=True)
    own = (Attempt.objects.owned_by(user) | trials).told_to(user)
    return own.filter(state=Attempt.State.HANDED_IN)


def revisions(user, mine) -> Iterator[dict]:
    """The revisions that were answered, by id; what they show and their key where the person may know it.

    Before that, either may tell too much.
    """
    known = told(user).filter(revision=OuterRef("pk"))
    found = Revision.objects.filter(pk__in=mine.values("revision"))
    rows = found.annotate(told=Exists(known)).order_by("pk")
    for row in rows.values(*REVISION, **IN_MODULE).iterator(CHUNK):
        if not row.pop("told"):
            row["content"] = row["key"] = None
        yield row


FIGURES = (
    "attempt_id",
    "revision_id",
    "pairs_agreed",
    "pairs_counted",
    "share",
    "chance",
    "result__short",
)
REVISION = (
    "id",
    "exercise_id",
    "number",
    "title",
    "difficulty",
    "pace_seconds",
    "published_at",
    "content",
    "key",
    "told",
)
IN_MODULE = {
    "kind": F("exercise__kind"),
    "breed": F("exercise__module__breed__name"),
    "club": F("exercise__club__name"),
    "module_title": F("module_revision__title"),
    "module_number": F("module_revision__number"),
}


def _beside(found: Iterator[dict], others: Iterator) -> Iterator[tuple[dict, list]]:
    """Each row with those of the others that belong to it; both are in the order of the attempts."""
    groups = groupby(others, key=lambda other: other.attempt_id)
    at, own = next(groups, (None, None))
    for row in found:
        if at == row["pk"]:
            yield row, list(own)
            at, own = next(groups, (None, None))
        else:
            yield row, []
