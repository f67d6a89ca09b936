"""What an organiser does next with a seminar, and the figures that tell how it stands."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, Q
from django.urls import reverse
from django.utils.translation import gettext as _

from trainer.seminars import services
from trainer.seminars.models import Attendee, Presence, Seminar


@dataclass(frozen=True)
class Standing:
    """How many have a place, wait, are in the room now, and hold a certificate."""

    enrolled: int
    waiting: int
    present: int
    certified: int


@dataclass(frozen=True)
class Step:
    """One sentence, and the button to it; `posts` if pressing it does it."""

    said: str
    action: str
    url: str
    posts: bool = False


def standing(seminar: Seminar) -> Standing:
    states = seminar.attendees.aggregate(
        enrolled=Count("pk", filter=Q(state=Attendee.State.ENROLLED)),
        waiting=Count("pk", filter=Q(state=Attendee.State.WAITING)),
    )
    present = Presence.objects.filter(attendee__seminar=seminar).running().count()
    certified = seminar.certificates.filter(withdrawn_at=None).count()
    return Standing(**states, present=present, certified=certified)


def next_step(seminar: Seminar, at: Standing, now: datetime) -> Step | None:
    """None where nothing is left to do: it is called off."""
    if seminar.state == Seminar.State.PREPARED:
        said = _(
            "Only who leads the club sees this page. Look it through, then announce it."
        )
        return _to(seminar, "seminar-announce", said, _("Announce it"), posts=True)
    if seminar.state == Seminar.State.OVER:
        return _after(seminar, at)
    if seminar.state == Seminar.State.CALLED_OFF:
        return None
    return _announced(seminar, now)


def _announced(seminar: Seminar, now: datetime) -> Step:
    if now > seminar.ends_at:
        said = _(
            "Its time is up. Say that it is over; then certificates can be issued."
        )
        return _to(seminar, "seminar-end", said, _("It is over"))
    if seminar.is_near(now):
        said = _(
            "People sign in with the code that the stage shows, or you sign them in."
        )
        return _to(seminar, "rostrum", said, _("Rostrum: run the classes"))
    if services.free_places(seminar) == 0:
        said = _("It is full. Print roster, badges and cards when the day is near.")
        return _to(seminar, "papers", said, _("What can be printed"))
    said = _("Invite whom you like by link, or take in the roster of your club.")
    return _to(seminar, "invitations", said, _("Invite by link"))


def _after(seminar: Seminar, at: Standing) -> Step:
    if at.certified:
        said = _("Certificates are issued. The report is for the club.")
        return _to(seminar, "report", said, _("Report for the club"))
    said = _("Look at the hours on the roster, then issue the certificates.")
    return _to(seminar, "certificates", said, _("Certificates of attendance"))


def _to(seminar: Seminar, name: str, said: str, action: str, *, posts=False) -> Step:
    return Step(said, action, reverse(f"seminars:{name}", args=[seminar.pk]), posts)
