"""What a person is told of coming back: what is due, and where their placings depart from the mentor's weights."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.urls import reverse
from django.utils.translation import gettext as _

from quizzes.grading.implied import LEAST_CHOICES
from quizzes.models import Review, Revision, Rewarded
from quizzes.review.rewarding import Beside, beside, farthest
from trainer.study import reading

MOST_DUE = 60


@dataclass(frozen=True)
class Due:
    """Something to come back to: what, why, and where."""

    module_id: int
    title: str
    note: str
    url: str
    since: datetime
    is_priority: bool


def what_is_due(user, now: datetime, modules=None) -> list[Due]:
    """What is due by now, the longest waiting first; what can't be reached any more is left out.

    Three queries at most for any number of rows, and the documents that the reading pages keep.

    modules : rows of the revisions in force that the person can read, where they are known already
    """
    rows = list(Review.objects.owned_by(user).due(now)[:MOST_DUE])
    if not rows:
        return []
    documents = _documents(user, modules)
    exercises = _exercises(user, rows)
    found = (
        _due_exercise(row, exercises) or _due_priority(row, documents) for row in rows
    )
    return [one for one in found if one is not None]


def next_due(user, now: datetime) -> datetime | None:
    """When the first thing comes back that is not due yet."""
    later = Review.objects.owned_by(user).filter(due_at__gt=now)
    return later.order_by("due_at").values_list("due_at", flat=True).first()


def _documents(user, modules=None) -> dict[int, reading.Document]:
    known = reading.revisions_for_list(user) if modules is None else modules
    return {
        row["module_id"]: reading.document_of(row["pk"], row["published_at"])
        for row in known
    }


def _exercises(user, rows) -> dict[str, dict]:
    numbers = [row.subject.partition(":")[2] for row in rows if _is_exercise(row)]
    if not numbers:
        return {}
    known = Revision.objects.visible_to(user).filter(exercise__in=numbers)
    return {str(one["exercise_id"]): one for one in known.rows()}


def _is_exercise(row: Review) -> bool:
    return row.subject.startswith("exercise:")


def _due_exercise(row: Review, exercises) -> Due | None:
    found = exercises.get(row.subject.partition(":")[2]) if _is_exercise(row) else None
    if found is None:
        return None
    return Due(
        module_id=row.module_id,
        title=found["title"],
        note=_went(row.share),
        url=reverse("quizzes:exercise-detail", args=[found["exercise_id"]]),
        since=row.due_at,
        is_priority=False,
    )


def _due_priority(row: Review, documents) -> Due | None:
    """A priority is practised on another class; its page says what to look for."""
    document = documents.get(row.module_id)
    slug = row.subject.partition(":")[2]
    priorities = document.priorities if document else ()
    found = next((one for one in priorities if one.slug == slug), None)
    if _is_exercise(row) or found is None:
        return None
    return Due(
        module_id=row.module_id,
        title=found.name,
        note=_pairs(row.share),
        url=reverse("study:priority-detail", args=[row.module_id, slug]),
        since=row.due_at,
        is_priority=True,
    )


def _went(share: float) -> str:
    if share > 0.95:
        return _("All as the key had it, when you answered it last.")
    values = {"n": round(10 * share)}
    return _("About %(n)s in 10 as the key had it, when you answered it last.") % values


def _pairs(share: float) -> str:
    if share > 0.95:
        return _("All pairs that turned on it were the mentor's way, last time.")
    if share < 0.05:
        return _("No pair that turned on it was the mentor's way, last time.")
    text = _(
        "About %(n)s in 10 pairs that turned on it were the mentor's way, last time."
    )
    return text % {"n": round(10 * share)}


@dataclass(frozen=True)
class Told:
    """One module with what the person's placings reward beside the mentor's weights.

    needed : how many choices among dogs are still missing before anything is said
    """

    module_id: int
    title: str
    rows: list[Beside]
    farthest: Beside | None
    choices: int
    needed: int

    @property
    def said(self) -> list[str]:
        return [departure_said(row) for row in self.rows if row.departs]


def what_is_rewarded(user, modules=None) -> list[Told]:
    """By module that the person can read and has placed classes of; two queries for any number of modules."""
    own = {row.module_id: row for row in Rewarded.objects.owned_by(user)}
    told = []
    known = reading.revisions_for_list(user) if modules is None else modules
    for row in known if own else ():
        if row["module_id"] not in own:
            continue
        document = reading.document_of(row["pk"], row["published_at"])
        mine = own[row["module_id"]]
        rows = beside(mine, document.priorities)
        needed = max(LEAST_CHOICES - mine.choices, 0)
        told.append(
            Told(
                row["module_id"],
                row["title"],
                rows,
                farthest(rows),
                mine.choices,
                needed,
            )
        )
    return told


def departure_said(one: Beside) -> str:
    """A departure in a sentence."""
    values = {"name": one.priority.name}
    if one.departs > 0:
        return _("Your placings reward %(name)s more than the mentor does.") % values
    return _("Your placings reward %(name)s less than the mentor does.") % values
