"""What changes a seminar, and who comes to it."""

from __future__ import annotations

import secrets
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import F
from django.utils.translation import gettext as _

from trainer.accounts.models import User
from trainer.seminars.models import Attendee, Presence, Seminar
from trainer.seminars.models.seminars import (
    CODE_LENGTH,
    SYMBOLS,
    new_join_code,
    new_link,
)


class EditedElsewhere(ValidationError):
    """Somebody saved this seminar since it was opened."""


class NoSuchCode(ValidationError):
    """No seminar can be joined by this code now."""


@transaction.atomic
def save_seminar(seminar: Seminar, *, version: int | None = None) -> Seminar:
    """Keep a seminar as the form changed it. Raises EditedElsewhere, and ValidationError of its constraints."""
    if seminar.pk:
        held = Seminar.objects.select_for_update().only("version").get(pk=seminar.pk)
        if version is not None and held.version != version:
            text = _(
                "Somebody else saved this seminar. Look at theirs, then save again."
            )
            raise EditedElsewhere(text, code="edited-elsewhere")
        seminar.version = held.version + 1
        seminar.sequence += 1
    seminar.validate_constraints()
    seminar.save()
    return seminar


@transaction.atomic
def announce(seminar: Seminar) -> Seminar:
    """Anybody may read of it and enrol from now on."""
    for _attempt in range(5):
        try:
            with transaction.atomic():
                seminar.state = Seminar.State.ANNOUNCED
                seminar.sequence += 1
                seminar.save(update_fields=["state", "sequence", "join_code"])
                return seminar
        except IntegrityError:
            seminar.join_code = new_join_code()
    raise ValidationError(_("No code was free. Try again."), code="no-code")


def end(seminar: Seminar, *, state: str, now: datetime) -> None:
    """Over or called off: nobody enrols any more, the room's code ends, who is in is checked out."""
    seminar.state, seminar.sequence = state, seminar.sequence + 1
    seminar.save(update_fields=["state", "sequence"])
    until = min(now, seminar.ends_at)
    for stay in Presence.objects.filter(attendee__seminar=seminar).running():
        stay.out_at = max(until, stay.in_at)
        stay.save(update_fields=["out_at"])


# enrolling


def free_places(seminar: Seminar) -> int | None:
    """How many more can be enrolled; None without a limit."""
    if seminar.capacity is None:
        return None
    return max(seminar.capacity - seminar.attendees.enrolled().count(), 0)


@transaction.atomic
def enrol(
    seminar: Seminar, person, *, now: datetime, came=Attendee.Came.SELF
) -> Attendee:
    """Give the person a place, or one on the waiting list; twice is once. Who is in the room has a place."""
    held = Seminar.objects.select_for_update().get(pk=seminar.pk)
    refuse_unless_open(held)
    found = place_of(held, person)
    is_free = came == Attendee.Came.ROOM or free_places(held) != 0
    if found and found.state == Attendee.State.ENROLLED:
        return found
    if found and found.state == Attendee.State.WAITING and not is_free:
        return found
    attendee = found or Attendee(
        seminar=held, person=person, name=str(person), email=_address(person), came=came
    )
    return give_place(attendee, now=now, is_free=is_free)


def refuse_unless_open(seminar: Seminar) -> None:
    """Raises ValidationError for a seminar that is not announced, or no more."""
    if not seminar.is_announced:
        raise ValidationError(_("Nobody can enrol for it now."), code="not-open")


def give_place(
    attendee: Attendee, *, now: datetime, is_free: bool | None = None
) -> Attendee:
    """A place, or one on the waiting list; its seminar is locked by the caller."""
    if is_free is None:
        is_free = free_places(attendee.seminar) != 0
    attendee.state = Attendee.State.ENROLLED if is_free else Attendee.State.WAITING
    attendee.enrolled_at = now
    attendee.save()
    return attendee


def said_of(place: Attendee) -> str:
    """What somebody is told who has just enrolled."""
    if place.state == Attendee.State.ENROLLED:
        return _("You have a place.")
    if not place.email:
        return _("It is full. You are on the waiting list; look here again later.")
    return _(
        "It is full. You are on the waiting list and hear by mail when a place is free."
    )


def _address(person) -> str:
    return "" if person.is_guest else person.email


def place_of(seminar: Seminar, person) -> Attendee | None:
    """The person's place by account, or by an address that the roster has; that one is theirs then."""
    found = seminar.attendees.filter(person=person).first()
    if found or person.is_guest:
        return found
    listed = seminar.attendees.filter(person=None, email__iexact=person.email).first()
    if listed:
        listed.person = person
        listed.save(update_fields=["person"])
    return listed


@transaction.atomic
def withdraw(attendee: Attendee, *, now: datetime) -> list[Attendee]:
    """Give the place up; whoever waits longest moves up. Return who moved."""
    Seminar.objects.select_for_update().get(pk=attendee.seminar_id)
    Attendee.objects.filter(pk=attendee.pk).update(state=Attendee.State.WITHDRAWN)
    return move_up(attendee.seminar)


@transaction.atomic
def move_up(seminar: Seminar) -> list[Attendee]:
    """Give free places to the waiting list, who waits longest first. Return who has one now."""
    held = Seminar.objects.select_for_update().get(pk=seminar.pk)
    free = free_places(held)
    waiting = held.attendees.waiting()
    moved = list(waiting if free is None else waiting[:free])
    Attendee.objects.filter(pk__in=[one.pk for one in moved]).update(
        state=Attendee.State.ENROLLED
    )
    return moved


def is_coming(seminar: Seminar, now: datetime) -> bool:
    """Announced and not over: a place can be had and given up."""
    return seminar.is_announced and now <= seminar.ends_at


# in the room


def lets_in(place: Attendee, now: datetime) -> bool:
    """Whether the place's own link leads into the room: with a place, not before the day, never when called off."""
    seminar = place.seminar
    is_enrolled = place.state == Attendee.State.ENROLLED
    has_begun = seminar.state == Seminar.State.OVER or seminar.is_near(now)
    return is_enrolled and has_begun and seminar.state != Seminar.State.CALLED_OFF


def seminar_with_code(code: str, *, now: datetime) -> Seminar:
    """The announced seminar whose room has this code. Raises NoSuchCode, the same for all that is wrong."""
    sent = code.strip().upper().replace(" ", "").replace("-", "")
    if len(sent) == CODE_LENGTH and set(sent) <= set(SYMBOLS):
        found = Seminar.objects.filter(join_code=sent, state=Seminar.State.ANNOUNCED)
        seminar = found.select_related("club").first()
        if seminar and seminar.is_open_for_joining(now):
            return seminar
    text = _("No seminar has this code now. Look at the screen in the room again.")
    raise NoSuchCode(text, code="no-such-code")


@transaction.atomic
def guest(seminar: Seminar, name: str, *, now: datetime) -> Attendee:
    """A place for somebody without an account, who is known here by this name alone."""
    if not seminar.guests:
        text = _("Sign in with your account: this club takes no guests.")
        raise ValidationError(text, code="no-guests")
    person = _new_guest(name)
    return enrol(seminar, person, now=now, came=Attendee.Came.ROOM)


def _new_guest(name: str) -> User:
    person = User(
        name=name, email=f"guest-{secrets.token_hex(12)}@guest.invalid", is_guest=True
    )
    person.set_unusable_password()
    person.save()
    return person


@transaction.atomic
def person_of(attendee: Attendee) -> User:
    """Whom the attendee's link lets in: the guest, made now for somebody the roster alone knows.

    Raises ValidationError for a place that belongs to an account: that one signs in as such.
    """
    held = Attendee.objects.select_for_update().get(pk=attendee.pk)
    if held.person is None:
        held.person = _new_guest(held.name)
        held.save(update_fields=["person"])
    if not held.person.is_guest:
        text = _("This place belongs to an account. Sign in with it.")
        raise ValidationError(text, code="account")
    return held.person


@transaction.atomic
def add_to_roster(
    seminar: Seminar, *, name: str, email: str = "", number: str = "", now: datetime
) -> Attendee:
    """One more place, whether or not there is an account. Raises ValidationError of its constraints."""
    attendee = Attendee(
        seminar=seminar,
        name=name,
        email=email.lower(),
        number=number,
        came=Attendee.Came.ROSTER,
        enrolled_at=now,
    )
    attendee.validate_constraints()
    attendee.save()
    return attendee


def put_right(attendee: Attendee, *, name: str, email: str, number: str) -> Attendee:
    """Another name, address or number. Raises ValidationError of its constraints."""
    attendee.name, attendee.email, attendee.number = name, email.lower(), number
    attendee.validate_constraints()
    attendee.save(update_fields=["name", "email", "number"])
    return attendee


@transaction.atomic
def put_in(attendee: Attendee, *, now: datetime) -> Attendee:
    """A place by the organiser's word, past the waiting list and however full it is."""
    held = Seminar.objects.select_for_update().get(pk=attendee.seminar_id)
    refuse_unless_open(held)
    return give_place(attendee, now=now, is_free=True)


def renew_code(attendee: Attendee) -> Attendee:
    """A new personal code; links with the old one let nobody in any more."""
    attendee.code = new_link()
    attendee.save(update_fields=["code"])
    return attendee


@transaction.atomic
def check_in(attendee: Attendee, *, now: datetime, by=None) -> Presence:
    """The person is in the room from now on; twice is once."""
    running = attendee.stays.running().first()
    if running:
        return running
    try:
        with transaction.atomic():
            return Presence.objects.create(attendee=attendee, in_at=now, by=by)
    except IntegrityError:  # the other tab was quicker
        return attendee.stays.running().get()


@transaction.atomic
def check_out(attendee: Attendee, *, now: datetime, by=None) -> Presence | None:
    """The person has left; None if they were not there."""
    running = attendee.stays.select_for_update(of=("self",)).running().first()
    if running:
        running.out_at, running.by = max(now, running.in_at), by or running.by
        running.save(update_fields=["out_at", "by"])
    return running


@transaction.atomic
def correct(stay: Presence, *, in_at, out_at, note: str, by) -> Presence:
    """Another time for a stay, with the reason. Raises ValidationError of its constraints."""
    if not note.strip():
        raise ValidationError(
            {"note": _("Say why, so that the record can be understood later.")},
            code="note",
        )
    stay.in_at, stay.out_at, stay.note, stay.by = in_at, out_at, note.strip(), by
    stay.validate_constraints()
    stay.save()
    return stay


def changed(seminar: Seminar) -> None:
    """Calendars hear of the change."""
    Seminar.objects.filter(pk=seminar.pk).update(sequence=F("sequence") + 1)
