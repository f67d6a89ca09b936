"""Who attended what at a club's seminars: the same people found again from seminar to seminar, their hours, certificates.

People are known again by their account; on a roster by an address that an account has, or that is the same; without
either by name and number alone, which two people may share.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from django.db.models import (
    Case,
    CharField,
    Count,
    Exists,
    F,
    Max,
    OuterRef,
    Prefetch,
    Q,
    Subquery,
    Value,
    When,
)
from django.db.models.functions import Cast, Coalesce, Concat, Lower
from django.template.defaultfilters import date as said_date
from django.utils.translation import gettext as _

from trainer.accounts.models import User
from trainer.seminars.attendance import Attended, of_one, with_stays
from trainer.seminars.certificate_paper import hours_said, number_said
from trainer.seminars.keeping import kept_until
from trainer.seminars.models import Attendee, Certificate, Presence, Seminar, Session


@dataclass(frozen=True)
class Visit:
    """One place at one seminar, and what came of it."""

    place: Attendee
    parts: list[Session]
    attended: Attended
    certificates: list[Certificate]

    @property
    def seminar(self) -> Seminar:
        return self.place.seminar

    @property
    def hours(self) -> float:
        return self.attended.hours

    @property
    def hours_said(self) -> str:
        return hours_said(self.hours)

    @property
    def notes(self) -> list[str]:
        """Why stays were corrected."""
        return [stay.note for stay in self.attended.stays if stay.note]

    @property
    def was_there(self) -> bool:
        return bool(self.attended.stays)

    @property
    def each(self) -> list[tuple[Session, float]]:
        """The parts of the programme that were attended, with the hours."""
        found = zip(self.parts, self.attended.each, strict=False)
        return [(part, hours) for part, hours in found if hours]

    @property
    def valid(self) -> Certificate | None:
        return next((one for one in self.certificates if not one.withdrawn_at), None)

    @property
    def withdrawn(self) -> list[Certificate]:
        return [one for one in self.certificates if one.withdrawn_at]

    @property
    def kept_until(self) -> datetime:
        return kept_until(self.seminar)


def visits(places, now: datetime) -> list[Visit]:
    """Those places (a queryset), the latest seminar first; as many queries for many as for one."""
    certificates = Certificate.objects.order_by("number")
    found = with_stays(places).select_related("seminar__club").defer("seminar__emblem")
    found = found.prefetch_related(
        "seminar__sessions", Prefetch("certificates", certificates)
    )
    return [
        _visit(one, now) for one in found.order_by("-seminar__starts_at", "name", "pk")
    ]


def _visit(place: Attendee, now: datetime) -> Visit:
    parts = list(place.seminar.sessions.all())
    attended = of_one(place, parts, place.seminar, now)
    return Visit(place, parts, attended, list(place.certificates.all()))


def of_club(club):
    """Places at the club's seminars with `who`, which is the same for the same person; names taken out are nobody's."""
    # Both are kept in small letters, so that the index of addresses is used.
    listed = User.objects.filter(email=OuterRef("email"), is_guest=False)
    has_account = When(person__is_guest=False, then=F("person"))
    account = Coalesce(Case(has_account), Subquery(listed.values("pk")[:1]))
    places = Attendee.objects.filter(seminar__club=club).exclude(name="")
    return places.annotate(account=account).annotate(
        who=Case(
            When(
                account__isnull=False,
                then=Concat(Value("account "), Cast("account", CharField())),
            ),
            When(~Q(email=""), then=Concat(Value("mail "), Lower("email"))),
            default=Concat(Value("name "), Lower("name"), Value("\n"), Lower("number")),
            output_field=CharField(),
        )
    )


def people(club, searched: str = ""):
    """A row for each person by name: `who`, name, number, `place` (one of theirs), `times` there, and `last`."""
    stays = Presence.objects.filter(attendee=OuterRef("pk"))
    places = matching(of_club(club), searched).annotate(was=Exists(stays))
    was = Q(was=True)
    rows = places.order_by().values("who")
    return rows.annotate(
        called=Max("name"),
        numbered=Max("number"),
        place=Max("pk"),
        times=Count("pk", filter=was),
        last=Max("seminar__starts_at", filter=was),
    ).order_by("called", "who")


def matching(places, searched: str):
    """Places whose name, address or number has every word that is looked for."""
    for word in searched.split():
        places = places.filter(
            Q(name__icontains=word)
            | Q(email__icontains=word)
            | Q(number__icontains=word)
        )
    return places


def known_by(who: str) -> str:
    """How the person is known again, in words."""
    kind = who.partition(" ")[0]
    words = {
        "account": _("Known again by their account."),
        "mail": _("Known again by their e-mail address."),
    }
    return words.get(kind) or _(
        "Known again by name and number alone: two people of one name would stand here as one."
    )


HEAD = (
    "name",
    "number",
    "email",
    "seminar",
    "first_day",
    "last_day",
    "place",
    "hours",
    "parts",
    "certificate",
    "certificate_state",
    "kept_until",
)


def rows(found: list[Visit]) -> Iterator[list]:
    """A table with a row for each place; the head first."""
    yield list(HEAD)
    for one in found:
        seminar, place = one.seminar, one.place
        days = [
            moment.astimezone(seminar.zone).date().isoformat()
            for moment in (seminar.starts_at, seminar.ends_at)
        ]
        latest = one.valid or next(iter(one.withdrawn[::-1]), None)
        yield [
            place.name,
            place.number,
            place.email,
            seminar.title,
            *days,
            str(place.get_state_display()),
            one.hours,
            "; ".join(f"{part.title}: {number_said(n)}" for part, n in one.each),
            latest.number if latest else "",
            _state(latest),
            one.kept_until.astimezone(seminar.zone).date().isoformat(),
        ]


def _state(certificate: Certificate | None) -> str:
    if certificate is None:
        return ""
    if not certificate.withdrawn_at:
        return _("holds")
    day = said_date(certificate.withdrawn_at, "Y-m-d")
    return _("withdrawn %(day)s") % {"day": day}
