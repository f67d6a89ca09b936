"""Mails of a seminar: a place has become free, it is soon."""

from __future__ import annotations

from datetime import datetime

from django.core.mail import send_mail
from django.db import transaction
from django.template.loader import render_to_string
from django.utils.translation import gettext as _

from trainer.seminars.models import Attendee, Seminar


def _send(attendee: Attendee, subject: str, template: str, request) -> None:
    """After the transaction; who gave no address hears nothing."""
    if not attendee.email:
        return
    url = request.build_absolute_uri(attendee.seminar.get_absolute_url())
    text = render_to_string(
        template, {"attendee": attendee, "seminar": attendee.seminar, "url": url}
    )
    transaction.on_commit(lambda: send_mail(subject, text, None, [attendee.email]))


def tell_moved_up(attendee: Attendee, request) -> None:
    """That a place became free for them."""
    subject = _("You have a place: %(title)s") % {"title": attendee.seminar}
    _send(attendee, subject, "seminars/moved_up_mail.txt", request)


def remind(seminar: Seminar, request, *, now: datetime) -> int:
    """Remind everybody who is enrolled, has an address and was not reminded; return how many."""
    waiting = seminar.attendees.enrolled().filter(reminded_at=None).exclude(email="")
    found = list(waiting.select_related("seminar"))
    subject = _("Soon: %(title)s") % {"title": seminar}
    for attendee in found:
        _send(attendee, subject, "seminars/reminder_mail.txt", request)
    Attendee.objects.filter(pk__in=[one.pk for one in found]).update(reminded_at=now)
    return len(found)
