"""The seminars that the start page tells of."""

from __future__ import annotations

from django.db.models import Exists, OuterRef, Subquery
from django.utils import timezone

from trainer.seminars.models import Attendee, Seminar

TOLD = 3


def coming(user) -> list[Seminar]:
    """The next seminars of the person's clubs.

    Each has `state_of_place`, the person's own, None without one; `leads`, whether they run its room; `near`.
    """
    now = timezone.now()
    own = Attendee.objects.owned_by(user).filter(seminar=OuterRef("pk"))
    led = Seminar.objects.led_by(user).filter(pk=OuterRef("pk"))
    found = Seminar.objects.coming(now).of_clubs_of(user)
    rows = found.select_related("club").annotate(
        state_of_place=Subquery(own.values("state")[:1]), leads=Exists(led)
    )
    told = list(rows[:TOLD])
    for one in told:
        one.near = one.is_near(now)
    return told
