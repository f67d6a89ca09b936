"""What happens to a try: begun, handed in, closed when its time is up, released. The server's clock decides."""

from __future__ import annotations

from datetime import timedelta

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F
from django.utils.translation import gettext as _

from quizzes import attempts
from quizzes.assessments import making
from quizzes.marking import services as marking
from quizzes.models import (
    Allowance,
    Assessment,
    AssessmentTry,
    Attempt,
    Grade,
    LateAnswer,
)
from trainer.clubs.models import Role, reached_by

AT_ONCE = 50
"""Tries that are closed in one go, at the next request of anybody."""
LAST_DAY = timedelta(days=1)
"""What a try without a limit still gets when its assessment is closed."""


class NotNow(ValidationError):
    """The assessment can't be begun, or not by this person."""


def teaches(user, assessment) -> bool:
    """Whether the person is a mentor of the club, and so knows the keys."""
    return assessment.module.club_id in reached_by(user, Role.MENTOR)


def allowance_of(assessment, person) -> Allowance:
    """What the person gets beyond the others; nothing where nobody has set anything."""
    found = Allowance.objects.filter(assessment=assessment, person=person).first()
    return found or Allowance(assessment=assessment, person=person)


def minutes_for(assessment, allowance) -> int | None:
    """The minutes this person has; None without a limit."""
    return assessment.minutes and assessment.minutes + allowance.minutes


def tries_left(assessment, allowance, begun: int) -> int:
    return max(assessment.tries + allowance.tries - begun, 0)


def deadline_of(assessment, allowance, started_at):
    """When the time is up. Who begins in time has the whole of it, also past the last moment to begin."""
    minutes = minutes_for(assessment, allowance)
    return minutes and started_at + timedelta(minutes=minutes)


def begin(assessment, *, by, now, rng) -> AssessmentTry:
    """The person's open try; a new one, with an attempt at each item, if there is none.

    Raises NotNow, and ValidationError where a class can't be made.
    """
    mine = AssessmentTry.objects.owned_by(by).filter(assessment=assessment)
    open_one = mine.open().first()
    if open_one:
        return open_one
    try:
        return _begun(assessment, mine, by=by, now=now, rng=rng)
    except NotNow:
        # The other tab may have been quicker; what this one made is undone.
        begun_meanwhile = mine.open().first()
        if begun_meanwhile:
            return begun_meanwhile
        raise


@transaction.atomic
def _begun(assessment, mine, *, by, now, rng) -> AssessmentTry:
    allowance = allowance_of(assessment, by)
    _refuse(assessment, allowance, mine.count(), by=by, now=now)
    items = assessment.items.select_related("assessment", "exercise")
    # Classes are made before anything is held that others wait for.
    asked = [(one, making.asked(one, of=by, now=now, rng=rng)) for one in items]
    # Held, so that it isn't closed or taken back to a draft meanwhile, nor begun twice.
    held = Assessment.objects.select_for_update(of=("self",))
    assessment = held.select_related("module").get(pk=assessment.pk)
    if mine.open().exists():
        raise NotNow(_("You have begun it already."), code="begun")
    begun = mine.count()
    _refuse(assessment, allowance, begun, by=by, now=now)
    made = AssessmentTry.objects.create(
        assessment=assessment,
        person=by,
        number=begun + 1,
        started_at=now,
        deadline=deadline_of(assessment, allowance, now),
    )
    for item, revision in asked:
        making.attempt_at(item, revision, in_try=made, now=now, rng=rng)
    return made


def _refuse(assessment, allowance, begun, *, by, now) -> None:
    if teaches(by, assessment):
        text = _("You teach in this club and know its keys, so you can't take it.")
        raise NotNow(text, code="mentor")
    if not assessment.takes(now):
        raise NotNow(_("It can't be begun now."), code="closed")
    if not tries_left(assessment, allowance, begun):
        raise NotNow(_("You have used all your tries."), code="no-tries")


def _held(a_try) -> AssessmentTry:
    held = AssessmentTry.objects.select_for_update(of=("self",))
    return held.select_related("assessment").get(pk=a_try.pk)


@transaction.atomic
def hand_in(a_try, *, now) -> AssessmentTry:
    """Hand in every item as it stands; a second call changes nothing."""
    fresh = _held(a_try)
    if not fresh.is_open:
        return fresh
    by_time = not fresh.takes(now)
    return _closed(fresh, at=fresh.deadline if by_time else now, by_time=by_time)


def close_due(now) -> int:
    """Close the tries whose time and grace are over, as they were then; return how many."""
    due = list(AssessmentTry.objects.due(now).order_by("deadline")[:AT_ONCE])
    for a_try in due:
        close_if_due(a_try, now=now)
    return len(due)


@transaction.atomic
def close_if_due(a_try, *, now) -> AssessmentTry:
    """The try as it is now, closed if its time and grace are over."""
    fresh = _held(a_try)
    if fresh.is_open and not fresh.takes(now):
        return _closed(fresh, at=fresh.deadline, by_time=True)
    return fresh


def _closed(a_try, *, at, by_time) -> AssessmentTry:
    for attempt in Attempt.objects.filter(assessment_try=a_try).order_by("pk"):
        attempts.end(attempt, at=at)
    a_try.handed_in_at, a_try.by_time = at, by_time
    a_try.save(update_fields=["handed_in_at", "by_time"])
    if a_try.assessment.release == Assessment.Release.AT_ONCE:
        release(a_try, now=at)
    return a_try


@transaction.atomic
def release(a_try, *, now, address=None) -> AssessmentTry:
    """Show the person the results; from now on they are in their record too. Nothing while it is open.

    address : makes a whole address of a path, for mails about critiques marked before; none are sent without it
    """
    fresh = _held(a_try)
    if fresh.is_open or fresh.released_at:
        return fresh
    fresh.released_at = now
    fresh.save(update_fields=["released_at"])
    # Held, so that a mark that is returned at this moment counts once: there or here.
    held = Attempt.objects.select_for_update().filter(assessment_try=fresh)
    list(held.order_by("pk").values_list("pk"))
    grades = list(_own_grades(assessment_try=fresh))
    for grade in grades:
        _shown(grade, now=now)
    if address:
        marking.released([one.attempt for one in grades], address=address)
    return fresh


def _own_grades(**of_attempt):
    """Grades under the keys that were answered, with what noting them needs."""
    named = {f"attempt__{name}": value for name, value in of_attempt.items()}
    own = Grade.objects.filter(revision=F("attempt__revision"), **named)
    return own.select_related(
        "attempt__revision__exercise", "attempt__trainee"
    ).order_by("pk")


def _shown(grade, *, now) -> None:
    attempt = grade.attempt
    attempt.withheld = False
    attempt.save(update_fields=["withheld"])
    attempts.note(attempt, grade, now=now)


def release_all(assessment, *, now, address=None) -> int:
    """Release every try that is handed in; return how many were not released before."""
    handed_in = assessment.all_tries.filter(handed_in_at__isnull=False)
    waiting = list(handed_in.filter(released_at=None).order_by("pk"))
    for a_try in waiting:
        release(a_try, now=now, address=address)
    return len(waiting)


@transaction.atomic
def allow(assessment, person, *, minutes: int, tries: int) -> None:
    """Give a person more time or tries; a try of theirs that is open gets its new end at once."""
    given, _made = Allowance.objects.update_or_create(
        assessment=assessment,
        person=person,
        defaults={"minutes": minutes, "tries": tries},
    )
    open_ones = AssessmentTry.objects.select_for_update().filter(
        assessment=assessment, person=person, handed_in_at=None
    )
    for a_try in open_ones:
        if a_try.deadline and assessment.minutes:
            a_try.deadline = deadline_of(assessment, given, a_try.started_at)
            a_try.save(update_fields=["deadline"])


@transaction.atomic
def count_late(late, *, now) -> None:
    """Let an answer that came too late count in the place of what stood then; that one is kept beside it.

    Raises ValidationError where a mentor has marked what stood.
    """
    attempt = attempts.held(late.attempt)
    late = LateAnswer.objects.select_for_update().get(pk=late.pk)
    if late.counted_at:
        return
    if attempt.marks.exists():
        text = _("It is marked as it stood, so the late answer can't take its place.")
        raise ValidationError(text, code="marked")
    late.before, late.counted_at = attempt.answer, now
    late.save(update_fields=["before", "counted_at"])
    attempt.answer, attempt.version = late.answer, attempt.version + 1
    attempt.save(update_fields=["answer", "version"])
    attempt.grades.all().delete()
    grade = attempts.grade_as_it_stands(attempt, now=now)
    if grade and attempt.withheld and attempt.assessment_try.released_at:
        _shown(grade, now=now)
