"""Small seminars for tests."""

from datetime import timedelta

from django.utils import timezone

from tests.factories import UserFactory
from tests.placing import placing_class
from trainer.seminars import services, sittings
from trainer.seminars.models import Attendee, Seminar, Session


def seminar(club, *, starts=None, hours=6, parts=(), mentors=(), **more):
    """An announced seminar that began an hour ago unless said; `parts` in hours from its beginning."""
    starts = starts or timezone.now() - timedelta(hours=1)
    given = {
        "title": "A day on the breed",
        "state": Seminar.State.ANNOUNCED,
        "guests": True,
        **more,
    }
    made = Seminar.objects.create(
        club=club, starts_at=starts, ends_at=starts + timedelta(hours=hours), **given
    )
    made.mentors.set(mentors)
    for n, (begin, end) in enumerate(parts, start=1):
        Session.objects.create(
            seminar=made,
            title=f"Part {n}",
            starts_at=starts + timedelta(hours=begin),
            ends_at=starts + timedelta(hours=end),
        )
    return made


def attendee(of, person=None, **more):
    """A place at the seminar, of a new person unless said."""
    person = person or UserFactory()
    given = {"name": str(person), "email": person.email, **more}
    return Attendee.objects.create(
        seminar=of, person=person, enrolled_at=timezone.now(), **given
    )


def sitting(of, revision=None, **more):
    """A sitting of a class of four; open if `open=True`."""
    is_open = more.pop("open", False)
    made = sittings.add(of, revision or placing_class(of.club), **more)
    return sittings.start(made, now=timezone.now()) if is_open else made


__all__ = ["attendee", "seminar", "services", "sitting", "sittings"]
