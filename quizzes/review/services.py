"""Keeps reviews and rewarded weights up to date, when an answer is handed in."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from quizzes.models import Attempt, Grade, Review, Rewarded
from quizzes.review.practised import subjects
from quizzes.review.rewarding import estimated
from quizzes.review.scheduling import seen_again


@transaction.atomic
def note(attempt: Attempt, grade: Grade, *, now: datetime) -> None:
    """What this answer says of its subjects, and of what the person rewards. Previews say nothing."""
    if attempt.preview or attempt.trainee_id is None:
        return
    module_id = attempt.revision.exercise.module_id
    priorities = list(attempt.revision.module_revision.priorities.all())
    for subject, share in subjects(attempt, grade, priorities).items():
        seen(attempt.trainee, module_id, subject, share, now=now)
    if attempt.revision.exercise.kind == "placing" and len(priorities) > 1:
        choices, parts = estimated(attempt.trainee, module_id, priorities)
        Rewarded.objects.update_or_create(
            person=attempt.trainee,
            module_id=module_id,
            defaults={"choices": choices, "parts": parts},
        )


def seen(
    person, module_id: int, subject: str, share: float, *, now: datetime
) -> Review:
    """One subject was met again; when it is due next follows from how it went."""
    row, _made = Review.objects.select_for_update().get_or_create(
        person=person,
        module_id=module_id,
        subject=subject,
        defaults={"card": {}, "share": share, "due_at": now},
    )
    row.card, row.due_at = seen_again(row.card or None, share, now=now)
    row.share, row.times = share, row.times + 1
    row.save(update_fields=["card", "due_at", "share", "times"])
    return row
