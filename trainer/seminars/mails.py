"""Mails of a seminar: what became of a place, and that it is soon."""

from __future__ import annotations

import logging
from collections.abc import Callable
from datetime import datetime, timedelta
from smtplib import SMTPRecipientsRefused

from django.core.mail import EmailMessage, get_connection
from django.db import transaction
from django.template.loader import render_to_string
from django.utils.translation import gettext as _

from trainer.seminars.models import Attendee, Seminar

log = logging.getLogger(__name__)

Address = Callable[[str], str]
"""The whole address of a path of this site: `request.build_absolute_uri`, or `trainer.http.address_of`."""


def _mail(
    attendee: Attendee, subject: str, template: str, address: Address
) -> EmailMessage:
    url = address(attendee.get_absolute_url())
    text = render_to_string(
        template, {"attendee": attendee, "seminar": attendee.seminar, "url": url}
    )
    return EmailMessage(subject, text, None, [attendee.email])


def tell_moved_up(attendee: Attendee, address: Address) -> None:
    """That a place became free for them, after the transaction; who gave no address hears nothing."""
    subject = _("You have a place: %(title)s") % {"title": attendee.seminar}
    _tell(attendee, subject, "seminars/moved_up_mail.txt", address)


def tell_place(attendee: Attendee, address: Address) -> None:
    """What place they have, with their own link, to whoever enrolled without an account."""
    subject = _("Your place: %(title)s") % {"title": attendee.seminar}
    _tell(attendee, subject, "seminars/place_mail.txt", address)


def _tell(attendee, subject, template, address) -> None:
    if attendee.email:
        mail = _mail(attendee, subject, template, address)
        # The place stands, whatever becomes of the mail.
        transaction.on_commit(mail.send, robust=True)


def to_remind(seminar: Seminar):
    """Who is enrolled, has an address and was not reminded."""
    found = seminar.attendees.enrolled().filter(reminded_at=None).exclude(email="")
    return found.select_related("person")


def due(now: datetime) -> list[Seminar]:
    """Announced seminars that begin in as many days as they say, or sooner."""
    coming = Seminar.objects.coming(now).filter(starts_at__gt=now, remind_days__gt=0)
    found = coming.select_related("club").defer("emblem")
    return [one for one in found if reminded_from(one) <= now]


def reminded_from(seminar: Seminar) -> datetime:
    return seminar.starts_at - timedelta(days=seminar.remind_days)


def remind(seminar: Seminar, address: Address, *, now: datetime) -> int:
    """Remind them all, each in a mail of their own over one connection; return how many.

    They count as reminded before the mails go, so that two who remind at once do not write twice. Raises OSError when
    the server can't be reached; whose mail did not go then is to be reminded still, and nobody else.
    """
    with transaction.atomic():
        found = list(to_remind(seminar).select_for_update(of=("self",)))
        mine = Attendee.objects.filter(pk__in=[one.pk for one in found])
        mine.update(reminded_at=now)
    for one in found:
        one.seminar = seminar
    subject = _("Soon: %(title)s") % {"title": seminar}
    template = "seminars/reminder_mail.txt"
    gone: set[int] = set()
    try:
        with get_connection() as connection:
            for one in found:
                mail = _mail(one, subject, template, address)
                if _went(mail, connection):
                    gone.add(one.pk)
    finally:
        mine.exclude(pk__in=gone).update(reminded_at=None)
        if len(gone) < len(found):
            log.error(
                "Reminders of seminar %s: %s went, of %s.",
                seminar.pk,
                len(gone),
                len(found),
            )
    return len(gone)


def _went(mail: EmailMessage, connection) -> bool:
    """Whether the server took it; an address that it refuses keeps nobody else from theirs."""
    try:
        return bool(connection.send_messages([mail]))
    except SMTPRecipientsRefused:
        return False
