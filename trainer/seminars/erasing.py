"""What becomes of places, answers and certificates when somebody's account is deleted.

Places and stays go. An answer that was counted in a room's result is in sums without names already, so it goes
too. Of certificates the club keeps number and date: what was issued is known to have been issued; the name is
taken out, and the page that checks them says so.
"""

from __future__ import annotations

from datetime import datetime

from django.utils.translation import gettext as _

from trainer.accounts.erasing import Part
from trainer.seminars.models import Attendee, Certificate, Feedback, Hand, Seminar

GONE = "erased"


def goes(user) -> list[str]:
    if not Attendee.objects.filter(person=user).exists():
        return []
    return [
        _(
            "Your places at seminars, when you were there, and what you answered there; the name on your "
            "records of attendance, which nobody can check any more."
        )
    ]


def stays(user) -> list[str]:
    found = []
    if Hand.objects.filter(attendee__person=user).exists():
        found.append(
            _(
                "What a whole room answered at a seminar, as counts without anybody's name."
            )
        )
    if Feedback.objects.filter(attendee__person=user).exists():
        found.append(_("What you said of a seminar, without your name."))
    if Seminar.objects.filter(made_by=user).exists():
        found.append(_("Seminars that you prepared for a club, without your name."))
    return found


def erase(user, now: datetime) -> None:
    """Take the person out of what is certified, then delete their places with everything that hangs on them."""
    places = Attendee.objects.filter(person=user)
    for certificate in Certificate.objects.filter(attendee__in=places):
        certificate.says = {GONE: True}
        certificate.withdrawn_at = certificate.withdrawn_at or now
        certificate.save(update_fields=["says", "withdrawn_at"])
    places.delete()


PART = Part(goes=goes, stays=stays, erase=erase)
