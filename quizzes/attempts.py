"""What happens to an attempt: begun, saved as the person goes, handed in once, graded.

An attempt that is part of a try at an assessment is taken until the try's time is up; what arrives later is kept
beside it, marked, and never lost.
"""

from __future__ import annotations

import logging
from collections import defaultdict
from contextlib import contextmanager

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import F
from django.utils.translation import gettext as _

from quizzes.kinds import kind_of
from quizzes.kinds.unfinished import graded_as_it_stands
from quizzes.models import Attempt, Grade, LateAnswer, Revision, Tally
from quizzes.models.attempts import in_assessment
from quizzes.review import services as review

log = logging.getLogger(__name__)

MORE_TIME_SECONDS = 120


class ChangedElsewhere(ValidationError):
    """The draft was saved from another device or tab since this one read it."""


class HandedInAlready(ValidationError):
    """The attempt is handed in, so it can't be changed."""


class TooLate(HandedInAlready):
    """The time of the assessment is up, and the grace after it."""


class InAssessment(ValidationError):
    """The person's own try at an assessment asks this exercise, so it can't be practised now."""


def refuse_if_asked(revision, person) -> None:
    """Raise InAssessment while the person's try asks the exercise and its results are not released."""
    if in_assessment(person).filter(revision__exercise=revision.exercise_id).exists():
        text = _(
            "It is part of an assessment that you have begun. You can practise it again "
            "as soon as the results are out."
        )
        raise InAssessment(text, code="in-assessment")


def begin(revision, *, by, now, rng, preview=False) -> Attempt:
    """The person's open attempt at the revision; a new one, mixed anew, if there is none.

    Attempts of a try at an assessment are others. Raises InAssessment.
    """
    if not preview:
        refuse_if_asked(revision, by)
    mine = Attempt.objects.filter(
        revision=revision, trainee=by, preview=preview, assessment_try=None
    )
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


def held(attempt) -> Attempt:
    """The attempt as it is now, locked until the transaction ends."""
    return (
        Attempt.objects.select_for_update(of=("self",))
        .select_related("revision__exercise", "assessment_try")
        .defer("revision__key")
        .get(pk=attempt.pk)
    )


def _locked(attempt, now) -> Attempt:
    """The attempt, locked; refuses one that is handed in, or whose time is up."""
    fresh = held(attempt)
    in_try = fresh.assessment_try
    if in_try and not in_try.takes(now):
        text = _(
            "The time of the assessment is up. Your answer is kept and marked as late; a "
            "mentor sees it."
        )
        raise TooLate(text, code="too-late")
    if fresh.is_handed_in:
        raise HandedInAlready(
            _("This is handed in, so it can't be changed any more."), code="handed-in"
        )
    return fresh


@contextmanager
def _kept_if_late(attempt, answer, now):
    """What arrives too late for an assessment is kept beside the attempt, outside the transaction that refuses it."""
    try:
        yield
    except TooLate:
        _keep_late(attempt, answer, now=now)
        raise


@transaction.atomic
def _keep_late(attempt, answer, *, now) -> None:
    """Keep the answer as the latest that came too late, unless it says nothing new."""
    fresh = held(attempt)
    try:
        answer = _checked(fresh, answer)
    except ValidationError:
        return
    counted = LateAnswer.objects.filter(attempt=fresh, counted_at__isnull=False)
    if answer == fresh.answer or counted.exists():
        return
    LateAnswer.objects.update_or_create(
        attempt=fresh, defaults={"answer": answer, "arrived_at": now}
    )


@transaction.atomic
def _keep_late_change(attempt, change, *, now) -> None:
    """Keep what the move would have made of the answer, or of the late one that earlier moves made."""
    fresh = held(attempt)
    late = LateAnswer.objects.filter(attempt=fresh).first()
    if late:
        fresh.answer = late.answer
    try:
        answer = change(fresh)
    except ValidationError:
        return
    _keep_late(attempt, answer, now=now)


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


def save_draft(attempt, answer, *, version, now) -> Attempt:
    """Keep the whole answer as it stands on the person's device.

    Sending the same answer again is fine, whatever the version. Raises ChangedElsewhere
    if the stored one is newer than the version and differs; HandedInAlready; ValidationError
    for an answer that is none.
    """
    with _kept_if_late(attempt, answer, now), transaction.atomic():
        return _save_draft(attempt, answer, version=version, now=now)


def _save_draft(attempt, answer, *, version, now) -> Attempt:
    fresh = _locked(attempt, now)
    answer = _checked(fresh, answer)
    if version != fresh.version and answer != fresh.answer:
        raise ChangedElsewhere(
            _("This was changed on another device."), code="changed-elsewhere"
        )
    return _store(fresh, answer, now=now)


def change_draft(attempt, change, *, now) -> Attempt:
    """Apply one move to the stored answer: `change` takes the attempt and returns an answer."""
    try:
        with transaction.atomic():
            fresh = _locked(attempt, now)
            return _store(fresh, _checked(fresh, change(fresh)), now=now)
    except TooLate:
        _keep_late_change(attempt, change, now=now)
        raise


@transaction.atomic
def more_time(attempt, *, now) -> Attempt:
    """Two minutes more, counted from now if the time is up already."""
    fresh = _locked(attempt, now)
    left = fresh.seconds_left(now)
    if left is not None:
        fresh.extra_seconds += MORE_TIME_SECONDS + max(-left, 0)
        fresh.save(update_fields=["extra_seconds"])
    return fresh


def hand_in(attempt, *, now, answer=None) -> Attempt:
    """Hand in and grade, once: a second call returns what the first one stored.

    answer : the answer as the person's page shows it; None for the one that is stored
    Raises ValidationError that says what is missing, and InAssessment.
    """
    sent = attempt.answer if answer is None else answer
    try:
        with _kept_if_late(attempt, sent, now), transaction.atomic():
            return _hand_in(attempt, now=now, answer=answer)
    except HandedInAlready:
        return Attempt.objects.get(pk=attempt.pk)


def _hand_in(attempt, *, now, answer) -> Attempt:
    fresh = _locked(attempt, now)
    if answer is not None:
        fresh = _store(fresh, _checked(fresh, answer), now=now)
    revision = fresh.revision
    if not fresh.preview and not fresh.assessment_try_id:
        refuse_if_asked(revision, fresh.trainee)
    missing = kind_of(revision).missing(revision.content, fresh.shown, fresh.answer)
    if missing:
        raise ValidationError(missing, code="missing")
    _close(fresh, now=now)
    grade = add_grade(fresh, revision, now=now)
    if not fresh.preview and not fresh.withheld:
        note(fresh, grade, now=now)
    return fresh


def _close(attempt, *, now) -> None:
    attempt.state, attempt.handed_in_at = Attempt.State.HANDED_IN, now
    attempt.save(update_fields=["state", "handed_in_at"])


@transaction.atomic
def end(attempt, *, at) -> None:
    """End an attempt of an assessment as it stands, graded as far as its kind goes; nothing if it has ended.

    at : when its time was up, or the whole was handed in
    """
    fresh = held(attempt)
    if fresh.is_handed_in:
        return
    _close(fresh, now=at)
    grade_as_it_stands(fresh, now=at)


def grade_as_it_stands(attempt, *, now) -> Grade | None:
    """Grade the answer that is stored under its own key, whole or not; None where there is nothing to grade."""
    revision = attempt.revision
    graded = graded_as_it_stands(
        kind_of(revision),
        revision.content,
        revision.key,
        attempt.shown,
        attempt.answer,
    )
    return graded and _kept(attempt, revision, graded, now=now)


def note(attempt, grade, *, now) -> None:
    """Let the result count for the tallies, and for what is due again."""
    revision = attempt.revision
    _count(revision, kind_of(revision).marks(attempt.answer), grade)
    review.note(attempt, grade, now=now)


def add_grade(attempt, revision, *, now) -> Grade:
    """Grade the attempt under the revision's key and keep the grade."""
    graded = kind_of(revision).grade(revision.content, revision.key, attempt.answer)
    return _kept(attempt, revision, graded, now=now)


def _kept(attempt, revision, graded, *, now) -> Grade:
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
