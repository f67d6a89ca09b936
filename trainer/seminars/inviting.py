"""Enrolling by a link of the organiser's: with an account of any club or none, or with a name alone."""

from __future__ import annotations

from datetime import date, datetime, time

from django.db import transaction

from trainer.clubs.services import count_use
from trainer.seminars import services
from trainer.seminars.models import Attendee, Seminar, SeminarInvitation


def invite(
    seminar: Seminar, *, places: int | None, until: date, note: str = "", by
) -> SeminarInvitation:
    """A link that admits until the end of that day, by the clock of the place; until it is over at most.

    note : for whom it is, in the organiser's words
    """
    end = datetime.combine(until, time(23, 59, 59), tzinfo=seminar.zone)
    invitation = SeminarInvitation(
        seminar=seminar,
        places=places,
        note=note,
        made_by=by,
        expires_at=min(end, seminar.ends_at),
    )
    invitation.full_clean(exclude=["made_by"])
    invitation.save()
    return invitation


def is_open(invitation: SeminarInvitation, now: datetime) -> bool:
    """Whether somebody can enrol by it: the link admits, and the seminar is announced."""
    return invitation.seminar.is_announced and invitation.is_open(now)


@transaction.atomic
def accept(invitation: SeminarInvitation, person, *, now: datetime) -> Attendee:
    """The person's place, or one on the waiting list; who has one uses no place of the link.

    Raises ValidationError when nobody can enrol, InvitationUsedUp when nobody can by this link.
    """
    held = Seminar.objects.select_for_update().get(pk=invitation.seminar_id)
    found = services.place_of(held, person)
    place = services.enrol(held, person, now=now, came=Attendee.Came.LINK)
    if not _has_place(found):
        count_use(invitation, now=now)
    return place


@transaction.atomic
def accept_by_name(
    invitation: SeminarInvitation, *, name: str, email: str, code: str, now: datetime
) -> Attendee:
    """A place for somebody without an account; the form sent twice is one place.

    code : of the personal link, made with the form. An address that has a place keeps that one, and nobody is
        told here: the mail to the address says so.
    Raises ValidationError when nobody can enrol, InvitationUsedUp when nobody can by this link.
    """
    held = Seminar.objects.select_for_update().get(pk=invitation.seminar_id)
    services.refuse_unless_open(held)
    found = _known(held, email, code)
    # Of a place that an account has given up only the account decides.
    if _has_place(found) or (found and found.has_account):
        return found
    count_use(invitation, now=now)
    place = found or Attendee(
        seminar=held, name=name, email=email, code=code, came=Attendee.Came.LINK
    )
    return services.give_place(place, now=now)


def _known(seminar: Seminar, email: str, code: str) -> Attendee | None:
    found = seminar.attendees.filter(code=code).first()
    if found or not email:
        return found
    return seminar.attendees.filter(email__iexact=email).first()


def _has_place(found: Attendee | None) -> bool:
    return found is not None and found.state != Attendee.State.WITHDRAWN
