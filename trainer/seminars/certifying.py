"""Certificates of attendance: issued for whoever was there, withdrawn with a reason, issued anew. Never changed.

A certificate says who was how long at what, in the words that held when it was issued. It says of nobody that they
are qualified.
"""

from __future__ import annotations

import logging
from collections.abc import Iterable
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max
from django.utils.translation import gettext as _

from trainer.clubs.models import Club
from trainer.seminars.attendance import Attended, attended, with_stays
from trainer.seminars.models import Attendee, Certificate, Seminar

log = logging.getLogger("trainer.access")


def no_claim() -> str:
    return _(
        "This certifies attendance. It is no qualification to judge, and no part of one by itself; the licensing "
        "body decides that."
    )


def why_not(seminar: Seminar) -> str:
    """Why nothing can be certified now; empty if it can."""
    if seminar.state == Seminar.State.OVER:
        return ""
    if seminar.state == Seminar.State.CALLED_OFF:
        return _("It was called off, so nobody attended it.")
    return _(
        "Certificates are issued once the seminar is over. Say so on its page; then everybody is signed out."
    )


def says(seminar: Seminar, one: Attended, parts, mentors: list[str]) -> dict:
    """Everything that stands on the certificate but its number, as a document."""
    zone = seminar.zone
    return {
        "mentors": mentors,
        "name": one.attendee.name,
        "seminar": seminar.title,
        "club": seminar.club.name,
        "place": "" if seminar.is_online else seminar.place,
        "online": seminar.is_online,
        "first_day": seminar.starts_at.astimezone(zone).date().isoformat(),
        "last_day": seminar.ends_at.astimezone(zone).date().isoformat(),
        "hours": one.hours,
        "parts": [
            {"title": part.title, "who": part.who, "hours": each}
            for part, each in zip(parts, one.each, strict=False)
            if each
        ],
        "words": seminar.certificate_words,
        "claim": no_claim(),
    }


@transaction.atomic
def issue(
    seminar: Seminar, *, by, now: datetime, only: Iterable[int] | None = None
) -> list[Certificate]:
    """A certificate for everybody who was there and has none; numbered on within the club.

    only : ids of the attendees it is about, all without it
    Raises ValidationError as long as the seminar is not over.
    """
    # One at a time in the club, so that no number is given twice.
    Club.objects.select_for_update().get(pk=seminar.club_id)
    refusal = why_not(seminar)
    if refusal:
        raise ValidationError(refusal, code="not-over")
    valid = Certificate.objects.filter(seminar=seminar, withdrawn_at=None)
    held = valid.exclude(attendee=None).values("attendee")
    people = seminar.attendees.exclude(pk__in=held).order_by("name", "pk")
    if only is not None:
        people = people.filter(pk__in=list(only))
    parts = list(seminar.sessions.all())
    found = attended(seminar, parts, with_stays(people), now)
    return _made(seminar, [one for one in found if one.hours > 0], parts, by, now)


def _made(seminar, found, parts, by, now) -> list[Certificate]:
    numbers = Certificate.objects.filter(seminar__club=seminar.club_id)
    last = numbers.aggregate(last=Max("number"))["last"] or 0
    mentors = [str(one) for one in seminar.mentors.order_by("name", "pk")]
    made = [
        Certificate(
            seminar=seminar,
            attendee=one.attendee,
            number=number,
            says=says(seminar, one, parts, mentors),
            issued_at=now,
            issued_by=by,
        )
        for number, one in enumerate(found, start=last + 1)
    ]
    return Certificate.objects.bulk_create(made)


@transaction.atomic
def withdraw(certificate: Certificate, why: str, *, by, now: datetime) -> Certificate:
    """It holds no more; whoever checks it reads since when, and why. Raises ValidationError."""
    fresh = Certificate.objects.select_for_update(of=("self",)).get(pk=certificate.pk)
    if fresh.withdrawn_at:
        raise ValidationError(_("It is withdrawn already."), code="withdrawn")
    if not why.strip():
        text = _("Say why; whoever checks the certificate reads it.")
        raise ValidationError(text, code="why")
    fresh.withdrawn_at, fresh.why_withdrawn = now, why.strip()
    fresh.save(update_fields=["withdrawn_at", "why_withdrawn"])
    log.info("certificate %s withdrawn by person %s", fresh.pk, by.pk)
    return fresh


@transaction.atomic
def issue_anew(certificate: Certificate, why: str, *, by, now: datetime) -> Certificate:
    """Withdraw it and issue another with what holds now, under a new number. Raises ValidationError."""
    if certificate.attendee_id is None:
        text = _("Whose it was is not known any more, so none can be issued anew.")
        raise ValidationError(text, code="nobody")
    withdraw(certificate, why, by=by, now=now)
    made = issue(certificate.seminar, by=by, now=now, only=[certificate.attendee_id])
    if not made:
        text = _("There are no hours to certify. Withdraw it without a new one.")
        raise ValidationError(text, code="no-hours")
    return made[0]


def differs(certificate: Certificate, one: Attended, parts) -> bool:
    """Whether it says something else than would be certified now: a name or a stay was corrected since."""
    now = says(certificate.seminar, one, parts, [])
    return any(
        certificate.says.get(name) != now[name] for name in ("name", "hours", "parts")
    )


def valid_of(attendee: Attendee) -> Certificate | None:
    return attendee.certificates.filter(withdrawn_at=None).first()
