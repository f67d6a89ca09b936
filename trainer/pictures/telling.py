"""Mail to a club's mentors when a photograph goes out of use."""

from __future__ import annotations

from django.core.mail import EmailMessage, get_connection
from django.template.loader import render_to_string
from django.utils.translation import gettext as _

from trainer.accounts.models import User
from trainer.clubs.models import Role
from trainer.pictures.models import Picture


def tell_mentors(picture: Picture, by: User | None) -> None:
    """Tell each mentor of the club in a mail of their own, but for the one who withdrew it."""
    connection = get_connection()
    connection.send_messages(
        [
            EmailMessage(
                subject=_("Placing Room: a photograph was withdrawn"),
                body=_body(picture, mentor, by),
                to=[mentor.email],
                connection=connection,
            )
            for mentor in _mentors(picture, by)
        ]
    )


def _mentors(picture, by):
    found = User.objects.filter(
        memberships__club=picture.club_id,
        memberships__role=Role.MENTOR,
        is_active=True,
    )
    return found.exclude(pk=by and by.pk).order_by("pk")


def _body(picture, mentor, by):
    values = {"picture": picture, "club": picture.club, "mentor": mentor, "by": by}
    return render_to_string("pictures/withdrawn_mail.txt", values)
