"""What happens to a sitting, and to the answers in it. The server's clock decides."""

from __future__ import annotations

import random
import uuid
from collections.abc import Mapping
from datetime import datetime, timedelta

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import F, Max
from django.utils.translation import gettext as _

from quizzes.kinds import kind_of
from quizzes.models import Revision
from trainer.seminars.models import Attendee, Hand, Seminar, Sitting
from trainer.seminars.models.sittings import GRACE_SECONDS

State = Sitting.State


class NotNow(ValidationError):
    """The sitting is in another state than the person thought: another screen was quicker."""


class NotTaken(ValidationError):
    """The answer can't be taken; the text says why and what becomes of it."""


def add(
    seminar: Seminar, revision: Revision, *, title: str = "", seconds=None, repeats=None
) -> Sitting:
    """One more sitting at the end of the seminar's row."""
    last = seminar.sittings.aggregate(last=Max("number"))["last"] or 0
    sitting = Sitting(
        seminar=seminar,
        revision=revision,
        number=last + 1,
        title=title or revision.title,
        seconds=seconds,
        repeats=repeats,
    )
    sitting.full_clean()
    sitting.save()
    return sitting


def _held(sitting: Sitting, *states: str) -> Sitting:
    """The sitting locked as it is now. Raises NotNow unless it is in one of the states."""
    fresh = Sitting.objects.select_for_update(of=("self",)).get(pk=sitting.pk)
    if fresh.state not in states:
        text = _("It is %(state)s by now: another screen was quicker.")
        raise NotNow(text, code="not-now", params={"state": fresh.get_state_display()})
    return fresh


def _changed(sitting: Sitting, **values) -> Sitting:
    for name, value in values.items():
        setattr(sitting, name, value)
    sitting.version += 1
    sitting.save(update_fields=[*values, "version"])
    return sitting


@transaction.atomic
def start(sitting: Sitting, *, now: datetime) -> Sitting:
    """Open it for answers. Raises NotNow, also where another one is open."""
    fresh = _held(sitting, State.WAITING)
    closes = now + timedelta(seconds=fresh.seconds) if fresh.seconds else None
    try:
        with transaction.atomic():
            return _changed(fresh, state=State.OPEN, opened_at=now, closes_at=closes)
    except IntegrityError:
        text = _("Another class is open in this room. Close it first.")
        raise NotNow(text, code="another") from None


@transaction.atomic
def pause(sitting: Sitting, *, now: datetime) -> Sitting:
    """Stop the clock; what is answered stays and can still be handed in."""
    fresh = _held(sitting, State.OPEN)
    left = fresh.seconds_left(now)
    return _changed(fresh, state=State.PAUSED, closes_at=None, left_seconds=left)


@transaction.atomic
def resume(sitting: Sitting, *, now: datetime) -> Sitting:
    """Let the clock run on with what was left."""
    fresh = _held(sitting, State.PAUSED)
    left = fresh.left_seconds
    closes = None if left is None else now + timedelta(seconds=left)
    return _changed(fresh, state=State.OPEN, closes_at=closes, left_seconds=None)


@transaction.atomic
def more_time(sitting: Sitting, seconds: int, *, now: datetime) -> Sitting:
    """So many seconds more, from now if the time was up; without a clock it gets one."""
    fresh = _held(sitting, State.OPEN, State.PAUSED)
    if fresh.state == State.PAUSED:
        return _changed(fresh, left_seconds=(fresh.left_seconds or 0) + seconds)
    closes = max(fresh.closes_at or now, now) + timedelta(seconds=seconds)
    return _changed(fresh, closes_at=closes)


@transaction.atomic
def close(sitting: Sitting, *, now: datetime) -> Sitting:
    """Take no more answers, but for those that are on their way (GRACE_SECONDS)."""
    fresh = _held(sitting, State.OPEN, State.PAUSED)
    return _changed(
        fresh, state=State.CLOSED, closed_at=now, closes_at=None, left_seconds=None
    )


def close_when_over(sitting: Sitting, *, now: datetime) -> Sitting:
    """The sitting, closed if its time is up: whoever looks first does it, and no timer is needed."""
    if sitting.is_open and sitting.closes_at and sitting.closes_at <= now:
        try:
            return close(sitting, now=sitting.closes_at)
        except NotNow:
            sitting.refresh_from_db()
    return sitting


@transaction.atomic
def reopen(sitting: Sitting, *, now: datetime) -> Sitting:
    """Take answers again, as long as the result is not shown; without a clock."""
    fresh = _held(sitting, State.CLOSED)
    try:
        with transaction.atomic():
            return _changed(fresh, state=State.OPEN, closed_at=None, closes_at=None)
    except IntegrityError:
        text = _("Another class is open in this room. Close it first.")
        raise NotNow(text, code="another") from None


# answers


def hand_of(sitting: Sitting, attendee: Attendee) -> Hand:
    """The attendee's hand in the sitting; a new one, mixed anew, if there is none."""
    mine = Hand.objects.filter(sitting=sitting, attendee=attendee)
    found = mine.first()
    if found:
        return found
    shown = kind_of(sitting.revision).show(
        sitting.revision.content, rng=random.SystemRandom(), again=False
    )
    try:
        with transaction.atomic():
            return Hand.objects.create(sitting=sitting, attendee=attendee, shown=shown)
    except IntegrityError:  # the other tab was quicker
        return mine.get()


def in_time(sitting: Sitting, now: datetime) -> bool:
    """Whether an answer that arrives now counts: while it is open, and a grace after the close."""
    if sitting.state in (State.OPEN, State.PAUSED):
        return True
    grace = timedelta(seconds=GRACE_SECONDS)
    return sitting.closed_at is not None and now <= sitting.closed_at + grace


@transaction.atomic
def take(
    hand: Hand,
    answer: Mapping,
    *,
    submission: uuid.UUID | None,
    now: datetime,
    handing_in: bool = True,
    clerk=None,
) -> Hand:
    """Keep an answer once; handed in, it is final. What comes late is kept and marked so.

    submission : made by the phone; the same one again is answered with what is stored
    Raises NotTaken where nothing can be kept: before the start, after the result was shown, once
    it is handed in, or for what is no answer.
    """
    fresh = (
        Hand.objects.select_for_update(of=("self",))
        .select_related("sitting__revision__exercise")
        .defer("sitting__revision__key", "sitting__result")
        .get(pk=hand.pk)
    )
    if fresh.handed_in_at and submission == fresh.submission:
        return fresh
    sitting = fresh.sitting
    _refuse(fresh, sitting)
    kind, content = kind_of(sitting.revision), sitting.revision.content
    checked = kind.check(content, fresh.shown, answer)
    if handing_in:
        missing = kind.missing(content, fresh.shown, checked)
        if missing:
            raise NotTaken(missing, code="missing")
    fresh.answer, fresh.saved_at = checked, now
    fresh.version += 1
    fields = ["answer", "saved_at", "version"]
    if handing_in:
        fresh.handed_in_at, fresh.clerk = now, clerk
        fresh.is_late = not in_time(sitting, now) and clerk is None
        fresh.submission = submission or fresh.submission
        fields += ["handed_in_at", "clerk", "is_late", "submission"]
        Sitting.objects.filter(pk=sitting.pk).update(handed_in=F("handed_in") + 1)
    fresh.save(update_fields=fields)
    return fresh


def _refuse(hand: Hand, sitting: Sitting) -> None:
    if hand.handed_in_at:
        text = _("Your answer is in already, from another window. It stays as it is.")
        raise NotTaken(text, code="handed-in")
    if sitting.state == State.WAITING:
        text = _("It has not begun yet. Your answer stays on this device.")
        raise NotTaken(text, code="waiting")
    if sitting.is_shown:
        text = _("The result was shown, so no answer can come in any more.")
        raise NotTaken(text, code="shown")
