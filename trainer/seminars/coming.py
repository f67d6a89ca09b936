"""The seminars that the start page tells of."""

from __future__ import annotations

from django.db.models import OuterRef, Subquery
from django.utils import timezone

from trainer.seminars.models import Attendee, Seminar

TOLD = 3


def coming(user) -> list[Seminar]:
    """The next seminars of the person's clubs, each with `state_of_place`: their own, None without one."""
    own = Attendee.objects.owned_by(user).filter(seminar=OuterRef("pk"))
    found = Seminar.objects.coming(timezone.now()).of_clubs_of(user)
    rows = found.select_related("club").annotate(
        state_of_place=Subquery(own.values("state")[:1])
    )
    return list(rows[:TOLD])
