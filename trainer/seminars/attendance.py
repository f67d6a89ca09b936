"""Who was there how long: the same figures for certificates, the report and the papers. Queries do not grow with people."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Prefetch

from trainer.seminars import hours
from trainer.seminars.models import Attendee, Presence, Seminar, Session
from trainer.seminars.roster import hours_of


@dataclass(frozen=True)
class Attended:
    """One attendee's hours: at each part of the programme, and in all."""

    attendee: Attendee
    stays: list[Presence]
    each: list[float]
    hours: float


def with_stays(attendees):
    """The attendees (a queryset) with their stays, for `attended`."""
    return attendees.prefetch_related(
        Prefetch("stays", Presence.objects.order_by("in_at", "pk"))
    )


def attended(
    seminar: Seminar,
    parts: list[Session],
    attendees: Iterable[Attendee],
    now: datetime,
) -> list[Attended]:
    """The hours of those attendees, whose stays are fetched already."""
    return [of_one(one, parts, seminar, now) for one in attendees]


def of_one(
    attendee: Attendee, parts: list[Session], seminar: Seminar, now: datetime
) -> Attended:
    """The hours of one, whose stays are fetched already."""
    stays = list(attendee.stays.all())
    each, total = hours_of(stays, parts, seminar, now)
    each_said = [hours.in_hours(one) for one in each] if parts else []
    return Attended(attendee, stays, each_said, hours.in_hours(total))


def everybody(seminar: Seminar, now: datetime) -> tuple[list[Session], list[Attended]]:
    """The programme, and the hours of all who have a place or were there; by name."""
    parts = list(seminar.sessions.all())
    people = with_stays(seminar.attendees.order_by("name", "pk"))
    return parts, [
        one
        for one in attended(seminar, parts, people, now)
        if one.stays or one.attendee.state == Attendee.State.ENROLLED
    ]
