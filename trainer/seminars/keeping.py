"""How long a club keeps who was there: names are taken out after as many months as the seminar says. Counts stay."""

from __future__ import annotations

import calendar
from datetime import datetime

from django.db import transaction

from trainer.accounts import erasing as accounts
from trainer.accounts.models import User
from trainer.seminars.erasing import GONE
from trainer.seminars.models import Attendee, Feedback, Hand, Presence, Seminar
from trainer.seminars.models.seminars import new_link

CHUNK = 200


def kept_until(seminar: Seminar) -> datetime:
    """The same day so many months later, or the last of a month that is shorter."""
    end = seminar.ends_at
    months = end.year * 12 + end.month - 1 + seminar.months_kept
    year, month = months // 12, months % 12 + 1
    last = calendar.monthrange(year, month)[1]
    return end.replace(year=year, month=month, day=min(end.day, last))


def due(now: datetime) -> list[Seminar]:
    """Seminars whose time is up and that still have names."""
    named = Attendee.objects.exclude(name="").values("seminar")
    past = Seminar.objects.filter(pk__in=named, ends_at__lt=now).defer("emblem")
    return [one for one in past if kept_until(one) <= now]


@transaction.atomic
def take_names_out(seminar: Seminar, now: datetime) -> int:
    """How many names were taken out. Hours, sums of results and comments stay, without anybody to them."""
    people = list(seminar.attendees.select_for_update(of=("self",)))
    ids = [one.pk for one in people]
    guests = {one.person_id for one in people if one.person_id}
    seminar.certificates.update(says={GONE: True})
    Feedback.objects.filter(seminar=seminar).update(attendee=None)
    Hand.objects.filter(sitting__seminar=seminar).delete()
    Presence.objects.filter(attendee__in=ids).update(note="")
    for one in people:
        one.name = one.email = one.number = ""
        one.person, one.code = None, new_link()
    fields = ["name", "email", "number", "person", "code"]
    Attendee.objects.bulk_update(people, fields, batch_size=CHUNK)
    _forget_guests(guests, now)
    return len(people)


def _forget_guests(ids: set[int], now: datetime) -> None:
    """Of a guest nothing is left once the last visit is: there is no account to keep."""
    elsewhere = Attendee.objects.filter(person__in=ids).values("person")
    gone = User.objects.filter(pk__in=ids, is_guest=True).exclude(pk__in=elsewhere)
    for guest in list(gone):
        accounts.erase(guest, now=now)
