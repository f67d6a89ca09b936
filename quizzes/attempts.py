"""What happens to an attempt: begun, saved as the person goes, handed in once, graded."""

from __future__ import annotations

import logging
from collections import defaultdict

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import F
from django.utils.translation import gettext as _

from quizzes.kinds import kind_of
from quizzes.models import Attempt, Grade, Revision, Tally
from quizzes.review import services as review

log = logging.getLogger(__name__)

MORE_TIME_SECONDS = 120


class ChangedElsewhere(ValidationError):
    """The draft was saved from another device or tab since this one read it."""


class HandedInAlready(ValidationError):
    """The attempt is handed in, so it can't be changed."""


def begin(revision, *, by, now, rng, preview=False) -> Attempt:
    """The person's open attempt at the revision; a new one, mixed anew, if there is none."""
    mine = Attempt.objects.filter(revision=revision, trainee=by, preview=preview)
    open_one = mine.filter(state=Attempt.State.OPEN).first()
    if open_one:
        return open_one
    earlier = Attempt.objects.filter(
        revision__exercise=revision.exercise_id, trainee=by, preview=preview
    ).count()
    kind = kind_of(revision)
    try:
        with transaction.atomic():
            return Attempt.objects.create(
                revision=revision,
                trainee=by,
                preview=preview,
                number=earlier + 1,
                shown=kind.show(revision.content, rng=rng, again=earlier > 0),
                started_at=now,
            )
    except IntegrityError:  # the other tab was quicker
        return mine.get(state=Attempt.State.OPEN)


def _locked(attempt) -> Attempt:
    """The attempt as it is now, locked until the transaction ends; refuses one handed in."""
    fresh = (
        Attempt.objects.select_for_update(of=("self",))
        .select_related("revision__exercise")
        .defer("revision__key")
        .get(pk=attempt.pk)
    )
    if fresh.is_handed_in:
        raise HandedInAlready(
            _("This is handed in, so it can't be changed any more."), code="handed-in"
        )
    return fresh


def _store(attempt, answer, *, now) -> Attempt:
    """Keep the answer if it differs from what is stored."""
    if answer != attempt.answer:
        attempt.answer, attempt.version, attempt.saved_at = (
            answer,
            attempt.version + 1,
            now,
        )
        attempt.save(update_fields=["answer", "version", "saved_at"])
    return attempt


def _checked(attempt, answer) -> dict:
    return kind_of(attempt.revision).check(
        attempt.revision.content, attempt.shown, answer
    )


@transaction.atomic
def save_draft(attempt, answer, *, version, now) -> Attempt:
    """Keep the whole answer as it stands on the person's device.

    Sending the same answer again is fine, whatever the version. Raises ChangedElsewhere
    if the stored one is newer than the version and differs; HandedInAlready; ValidationError
    for an answer that is none.
    """
    fresh = _locked(attempt)
    answer = _checked(fresh, answer)
    if version != fresh.version and answer != fresh.answer:
        raise ChangedElsewhere(
            _("This was changed on another device."), code="changed-elsewhere"
        )
    return _store(fresh, answer, now=now)


@transaction.atomic
def change_draft(attempt, change, *, now) -> Attempt:
    """Apply one move to the stored answer: `change` takes the attempt and returns an answer."""
    fresh = _locked(attempt)
    return _store(fresh, _checked(fresh, change(fresh)), now=now)


@transaction.atomic
def more_time(attempt, *, now) -> Attempt:
    """Two minutes more, counted from now if the time is up already."""
    fresh = _locked(attempt)
    left = fresh.seconds_left(now)
    if left is not None:
        fresh.extra_seconds += MORE_TIME_SECONDS + max(-left, 0)
        fresh.save(update_fields=["extra_seconds"])
    return fresh


@transaction.atomic
def hand_in(attempt, *, now, answer=None) -> Attempt:
    """Hand in and grade, once: a second call returns what the first one stored.

    answer : the answer as the person's page shows it; None for the one that is stored
    Raises ValidationError that says what is missing.
    """
    try:
        fresh = _locked(attempt)
    except HandedInAlready:
        return Attempt.objects.get(pk=attempt.pk)
    if answer is not None:
        fresh = _store(fresh, _checked(fresh, answer), now=now)
    revision = fresh.revision
    kind = kind_of(revision)
    missing = kind.missing(revision.content, fresh.shown, fresh.answer)
    if missing:
        raise ValidationError(missing, code="missing")
    fresh.state, fresh.handed_in_at = Attempt.State.HANDED_IN, now
    fresh.save(update_fields=["state", "handed_in_at"])
    grade = add_grade(fresh, revision, now=now)
    if not fresh.preview:
        _count(revision, kind.marks(fresh.answer), grade)
        review.note(fresh, grade, now=now)
    return fresh


def add_grade(attempt, revision, *, now) -> Grade:
    """Grade the attempt under the revision's key and keep the grade."""
    graded = kind_of(revision).grade(revision.content, revision.key, attempt.answer)
    return Grade.objects.create(
        attempt=attempt,
        revision=revision,
        graded_at=now,
        share=graded.share,
        pairs_agreed=graded.agreed,
        pairs_counted=graded.counted,
        chance=graded.chance,
        result=graded.result,
    )


def with_grades(rows) -> list[dict]:
    """Rows of attempts (AttemptQuerySet.rows), each with what a list says of its grades.

    own_grade : figures under the revision that was answered; None where there is none
    later_grade : the same under the latest key that came after it; None without one

    A kind whose lists need more than the figures puts it into its result as "short".
    """
    rows = list(rows)
    figures = Grade.objects.filter(attempt__in=[row["pk"] for row in rows]).order_by()
    grades = defaultdict(dict)
    for grade in figures.values_list(
        "attempt_id",
        "revision_id",
        "pairs_agreed",
        "pairs_counted",
        "chance",
        "result__short",
        named=True,
    ):
        grades[grade.attempt_id][grade.revision_id] = grade
    for row in rows:
        found, answered = grades[row["pk"]], row["revision_id"]
        row["own_grade"] = found.get(answered)
        row["later_grade"] = found.get(
            max((n for n in found if n > answered), default=0)
        )
    return rows


def _count(revision, marks, grade) -> None:
    """Keep the running tallies, so that no page ever counts attempts."""
    Tally.objects.add(revision, marks)
    Revision.objects.filter(pk=revision.pk).update(
        handed_in=F("handed_in") + 1,
        graded=F("graded") + int(grade.share is not None),
        share_sum=F("share_sum") + (grade.share or 0),
    )
