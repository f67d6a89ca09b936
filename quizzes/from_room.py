"""Answers that were given in a room, taken into the records of the people who gave them. Each once."""

from __future__ import annotations

import uuid
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.db.models import Count, F

from quizzes.kinds import kind_of
from quizzes.kinds.base import Graded
from quizzes.models import Attempt, Grade, Revision, Tally


@dataclass(frozen=True)
class Given:
    """One person's answer, graded; `submission` says which, so that it is taken once."""

    person_id: int
    submission: uuid.UUID
    shown: dict
    answer: dict
    began: datetime
    handed_in: datetime
    graded: Graded


@transaction.atomic
def take_over(revision: Revision, given: Iterable[Given], *, now: datetime) -> int:
    """Make each answer an attempt with its grade, and count it in the tallies; return how many were new."""
    given = list(given)
    known = Attempt.objects.filter(submission__in=[one.submission for one in given])
    taken = set(known.values_list("submission", flat=True))
    new = [one for one in given if one.submission not in taken]
    made = Attempt.objects.bulk_create(_attempts(revision, new))
    Grade.objects.bulk_create(
        Grade(
            attempt=attempt,
            revision=revision,
            graded_at=now,
            share=one.graded.share,
            pairs_agreed=one.graded.agreed,
            pairs_counted=one.graded.counted,
            chance=one.graded.chance,
            result=one.graded.result,
        )
        for attempt, one in zip(made, new, strict=True)
    )
    _count(revision, new)
    return len(new)


def _attempts(revision, new) -> list[Attempt]:
    earlier = (
        Attempt.objects.filter(
            revision__exercise=revision.exercise_id,
            trainee__in=[one.person_id for one in new],
            preview=False,
        )
        .order_by()
        .values_list("trainee")
        .annotate(n=Count("pk"))
    )
    numbers = Counter(dict(earlier))
    made = []
    for one in new:
        numbers[one.person_id] += 1
        made.append(
            Attempt(
                revision=revision,
                trainee_id=one.person_id,
                state=Attempt.State.HANDED_IN,
                number=numbers[one.person_id],
                shown=one.shown,
                answer=one.answer,
                submission=one.submission,
                started_at=one.began,
                saved_at=one.handed_in,
                handed_in_at=one.handed_in,
            )
        )
    return made


def _count(revision, new) -> None:
    """All marks at once: as many writes as there are different answers, not as there are people."""
    kind = kind_of(revision)
    marks = Counter(mark for one in new for mark in kind.marks(one.answer))
    rows = [
        Tally(revision=revision, item=item, value=value, count=0)
        for item, value in marks
    ]
    Tally.objects.bulk_create(rows, ignore_conflicts=True)
    for (item, value), n in marks.items():
        row = Tally.objects.filter(revision=revision, item=item, value=value)
        row.update(count=F("count") + n)
    shares = [one.graded.share for one in new if one.graded.share is not None]
    Revision.objects.filter(pk=revision.pk).update(
        handed_in=F("handed_in") + len(new),
        graded=F("graded") + len(shares),
        share_sum=F("share_sum") + sum(shares),
    )
