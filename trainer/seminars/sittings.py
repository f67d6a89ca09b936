"""What happens to a sitting, and to the answers in it. The server's clock decides."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import datetime, timedelta

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import F, Max
from django.utils.translation import gettext as _

from quizzes.models import Revision
from trainer.seminars import live, results
from trainer.seminars.asking import room_of, shown_to
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
    ended = min(now, fresh.closes_at or now)
    return _changed(
        fresh, state=State.CLOSED, closed_at=ended, closes_at=None, left_seconds=None
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


@transaction.atomic
def show(sitting: Sitting, *, now: datetime) -> Sitting:
    """Grade the room, keep its sums, and let everybody see key and result. Raises NotNow.

    With one of two placings of a class the other, if it is closed, is shown too: the key is known now.
    """
    fresh = _held(sitting, State.CLOSED)
    busy = Sitting.objects.filter(
        revision=fresh.revision_id, state__in=[State.OPEN, State.PAUSED]
    )
    if busy.exists():
        text = _("The same class is being placed again now. Close that first.")
        raise NotNow(text, code="placed-again")
    if not live.has_key(fresh.revision):
        text = _("This class has no key yet. Set it first, then show the result.")
        raise NotNow(text, code="no-key")
    knew = fresh.repeats is not None and fresh.repeats.is_shown
    if fresh.repeats and not knew:
        _show(_held(fresh.repeats, State.CLOSED), now=now)
    shown = _show(fresh, now=now, knew=knew)
    second = fresh.repeated.filter(state=State.CLOSED).first()
    if second:
        _show(_held(second, State.CLOSED), now=now)
    return shown


def _show(fresh: Sitting, *, now: datetime, knew: bool = False) -> Sitting:
    live.publish(fresh.revision, now=now)
    result = results.graded_now(fresh)
    result["change"] = results.change_since(fresh, knew=knew)
    results.keep_in_records(fresh, results.of_people(fresh), now=now)
    return _changed(fresh, state=State.SHOWN, result=result)


@transaction.atomic
def say(sitting: Sitting, line: str) -> Sitting:
    """The mentor's line on it, shown with the result."""
    fresh = Sitting.objects.select_for_update(of=("self",)).get(pk=sitting.pk)
    return _changed(fresh, line=line.strip())


@transaction.atomic
def turn(sitting: Sitting, page: int) -> Sitting:
    """Let the stage show another page of the result. Phones have nothing to do with it, so `version` stays."""
    fresh = _held(sitting, State.SHOWN)
    fresh.result = {**fresh.result, "page": page}
    fresh.save(update_fields=["result"])
    return fresh


@transaction.atomic
def again(sitting: Sitting) -> Sitting:
    """A second placing of the same class, after the room has talked about it. Raises NotNow."""
    fresh = _held(sitting, State.CLOSED, State.SHOWN)
    if fresh.repeats_id or fresh.repeated.exists():
        text = _("This class is placed a second time already.")
        raise NotNow(text, code="twice")
    title = _("%(title)s, again") % {"title": fresh.title[:100]}
    return add(
        fresh.seminar,
        fresh.revision,
        title=title,
        seconds=fresh.seconds,
        repeats=fresh,
    )


@transaction.atomic
def remove(sitting: Sitting) -> None:
    """Take a sitting out that was never started. Raises NotNow."""
    _held(sitting, State.WAITING).delete()


def current_in(seminar_id: int):
    """The sitting that the room is at: the one that was started last."""
    begun = Sitting.objects.filter(seminar=seminar_id, opened_at__isnull=False)
    return begun.order_by("-opened_at", "-pk")


# answers


def hand_of(sitting: Sitting, attendee: Attendee) -> Hand:
    """The attendee's hand in the sitting; if there is none, one mixed for this attendee, which `take` stores."""
    found = Hand.objects.filter(sitting=sitting, attendee=attendee).first()
    if found is None:
        shown = shown_to(sitting, attendee.pk)
        return Hand(sitting=sitting, attendee=attendee, shown=shown)
    found.sitting = sitting
    return found


def in_time(sitting: Sitting, now: datetime) -> bool:
    """Whether an answer that arrives now counts: while it is open, and a grace after the end.

    The time may be up without anybody having looked, which would have closed it.
    """
    ended = sitting.closed_at or sitting.closes_at
    return ended is None or now <= ended + timedelta(seconds=GRACE_SECONDS)


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
    Raises NotTaken where nothing can be kept: before the start, once it is handed in, or for what is no
    answer. What arrives when the result was shown already is kept as late, and counts nowhere.
    """
    if hand.handed_in_at and submission == hand.submission:
        return hand
    values = {"answer": _checked(hand, answer, handing_in), "saved_at": now}
    if handing_in:
        values |= {"handed_in_at": now, "clerk": clerk}
        values["submission"] = submission or hand.submission
    try:
        if _store(hand, values):
            return hand
    except IntegrityError:
        if hand.pk:
            raise
    # Another window was quicker: this one is told so, or what is stored.
    fresh = Hand.objects.get(sitting=hand.sitting_id, attendee=hand.attendee_id)
    fresh.sitting = hand.sitting
    given = {"submission": submission, "now": now, "clerk": clerk}
    return take(fresh, answer, handing_in=handing_in, **given)


def _checked(hand: Hand, answer: Mapping, handing_in: bool) -> dict:
    if hand.handed_in_at:
        text = _("Your answer is in already, from another window. It stays as it is.")
        raise NotTaken(text, code="handed-in")
    room = room_of(hand.sitting.revision)
    checked = room.check(hand.shown, answer)
    missing = room.missing(hand.shown, checked) if handing_in else None
    if missing:
        raise NotTaken(missing, code="missing")
    return checked


@transaction.atomic
def _store(hand: Hand, values: dict) -> bool:
    """Write it, unless it is handed in by now. Whatever takes long is done before: a hall writes in a few seconds.

    The sitting is held first, so that two windows wait for each other, and an answer is in either before the
    result is summed or after it, when it is late.
    """
    held = Sitting.objects.select_for_update(no_key=True)
    sitting = held.only("state", "closed_at", "closes_at").get(pk=hand.sitting_id)
    if sitting.state == State.WAITING:
        text = _("It has not begun yet. Your answer stays on this device.")
        raise NotTaken(text, code="waiting")
    handing_in = "handed_in_at" in values
    if handing_in:
        values["is_late"] = _is_late(sitting, values["handed_in_at"], values["clerk"])
    if hand.pk:
        mine = Hand.objects.filter(pk=hand.pk, handed_in_at=None)
        if not mine.update(version=F("version") + 1, **values):
            return False
    hand.version += 1
    for name, value in values.items():
        setattr(hand, name, value)
    if not hand.pk:
        hand.save(force_insert=True)
    if handing_in:
        count = Sitting.objects.filter(pk=hand.sitting_id)
        count.update(handed_in=F("handed_in") + 1)
    return True


def _is_late(sitting: Sitting, now: datetime, clerk) -> bool:
    """A card that a clerk types in was given in time, as long as the room has not seen the key."""
    if sitting.is_shown:
        return True
    return clerk is None and not in_time(sitting, now)
