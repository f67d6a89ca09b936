"""Seminars as iCalendar files and feeds (RFC 5545). No attendee stands in them."""

from __future__ import annotations

from collections.abc import Iterable

from django.utils.translation import gettext as _
from icalendar import Calendar, Event

from trainer.seminars.models import Seminar

PRODUCT = "-//Placing Room//Seminars//EN"
CONTENT_TYPE = "text/calendar; charset=utf-8"


def calendar_of(seminars: Iterable[Seminar], *, host: str, name: str = "") -> bytes:
    """The seminars as a calendar; one that is called off stays in it as cancelled.

    host : the site's, for the ids, which stay the same when a seminar changes
    """
    found = Calendar()
    found.add("prodid", PRODUCT)
    found.add("version", "2.0")
    if name:
        found.add("x-wr-calname", name)
    seminars = list(seminars)
    for one in seminars:
        found.add_component(_event(one, host))
    if seminars:
        # Only the years that are needed, or each zone would bring a century of changes.
        first = min(one.starts_at for one in seminars).date().replace(month=1, day=1)
        last = max(one.ends_at for one in seminars).date().replace(month=12, day=31)
        found.add_missing_timezones(first_date=first, last_date=last)
    return found.to_ical()


def _event(seminar: Seminar, host: str) -> Event:
    event = Event()
    event.add("uid", f"seminar-{seminar.pk}@{host}")
    event.add("dtstamp", seminar.updated_at)
    event.add("last-modified", seminar.updated_at)
    event.add("sequence", seminar.sequence)
    # A promise by the clock on the wall of the place; online it is a moment.
    zone = None if seminar.is_online else seminar.zone
    for field, moment in (("dtstart", seminar.starts_at), ("dtend", seminar.ends_at)):
        event.add(field, moment.astimezone(zone) if zone else moment)
    event.add("summary", seminar.title)
    event.add("location", _("Online") if seminar.is_online else seminar.place)
    event.add("url", f"https://{host}{seminar.get_absolute_url()}")
    off = seminar.state == Seminar.State.CALLED_OFF
    event.add("status", "CANCELLED" if off else "CONFIRMED")
    if seminar.about:
        event.add("description", seminar.about)
    return event
