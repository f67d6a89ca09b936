"""Mails of a seminar: a place has become free, it is soon."""

from __future__ import annotations

import logging
from datetime import datetime

from django.core.mail import EmailMessage, get_connection
from django.db import transaction
from django.template.loader import render_to_string
from django.utils.translation import gettext as _

from trainer.seminars.models import Attendee, Seminar

log = logging.getLogger(__name__)


def _mail(attendee: Attendee, subject: str, template: str, request) -> EmailMessage:
    url = request.build_absolute_uri(attendee.seminar.get_absolute_url())
    text = render_to_string(
        template, {"attendee": attendee, "seminar": attendee.seminar, "url": url}
    )
    return EmailMessage(subject, text, None, [attendee.email])


def tell_moved_up(attendee: Attendee, request) -> None:
    """That a place became free for them, after the transaction; who gave no address hears nothing."""
    if not attendee.email:
        return
    subject = _("You have a place: %(title)s") % {"title": attendee.seminar}
    mail = _mail(attendee, subject, "seminars/moved_up_mail.txt", request)
    transaction.on_commit(mail.send)


def to_remind(seminar: Seminar):
    """Who is enrolled, has an address and was not reminded."""
    return seminar.attendees.enrolled().filter(reminded_at=None).exclude(email="")


def remind(seminar: Seminar, request, *, now: datetime) -> int:
    """Remind them all, over one connection; return how many. Raises OSError, and then nobody counts as reminded.

    They count as reminded before the mails go, so that two organisers do not write twice.
    """
    with transaction.atomic():
        found = list(to_remind(seminar).select_for_update(of=("self",)))
        mine = Attendee.objects.filter(pk__in=[one.pk for one in found])
        mine.update(reminded_at=now)
    for one in found:
        one.seminar = seminar
    subject = _("Soon: %(title)s") % {"title": seminar}
    template = "seminars/reminder_mail.txt"
    mails = [_mail(one, subject, template, request) for one in found]
    try:
        get_connection().send_messages(mails)
    except OSError:
        mine.update(reminded_at=None)
        log.exception("Reminders of seminar %s were not sent.", seminar.pk)
        raise
    return len(found)
