"""Attendance from seminar to seminar: of everybody at a club's, for its organisers; and one's own."""

from __future__ import annotations

from django.core.paginator import Paginator
from django.http import Http404
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from trainer.clubs.models import Club
from trainer.seminars import report_tables, visits
from trainer.seminars.certificate_paper import hours_said
from trainer.seminars.certificates import sent
from trainer.seminars.models import Attendee, Seminar

PER_PAGE = 60
MOST_SEARCHED = 100
CSV = "text/csv; charset=utf-8; header=present"


def _run(request, slug) -> Club:
    return get_object_or_404(Club.objects.run_by(request.user), slug=slug)


def _searched(request) -> str:
    return request.GET.get("q", "").strip()[:MOST_SEARCHED]


@require_safe
def club_attendance(request, slug):
    """Everybody who had a place at a seminar of the club, by name; found by name, address or number."""
    club, searched = _run(request, slug), _searched(request)
    found = Paginator(visits.people(club, searched), PER_PAGE)
    context = {
        "club": club,
        "searched": searched,
        "page": found.get_page(request.GET.get("page")),
        "has_any": Seminar.objects.filter(club=club).exists(),
    }
    return render(request, "seminars/club_attendance.html", context)


@require_safe
def club_attendee(request, slug, number):
    """One person: every seminar of the club, hours, parts, certificates. `number` is one of their places."""
    club = _run(request, slug)
    places = visits.of_club(club)
    place = get_object_or_404(places, pk=number)
    found = visits.visits(places.filter(who=place.who), timezone.now())
    context = {
        "club": club,
        "place": place,
        "visits": found,
        "hours": hours_said(sum(one.hours for one in found)),
        "times": sum(one.was_there for one in found),
        "known_by": visits.known_by(place.who),
        "all_names": sorted({one.place.name for one in found}),
    }
    return render(request, "seminars/club_attendee.html", context)


@require_safe
def club_attendance_file(request, slug):
    """All of it as a table, or of those who are looked for: a row for each place; ?person= for one person's."""
    club = _run(request, slug)
    places = visits.matching(visits.of_club(club), _searched(request))
    one = request.GET.get("person", "")
    if one:
        if not one.isdecimal() or len(one) > 12:
            raise Http404
        whose = get_object_or_404(places, pk=int(one))
        places = places.filter(who=whose.who)
    table = visits.rows(visits.visits(places, timezone.now()))
    return sent(report_tables.as_csv(table), CSV, f"attendance-{slug}.csv")


@require_safe
def mine(request):
    """One's own seminars, the latest first: hours, parts, the certificate."""
    now = timezone.now()
    places = Attendee.objects.owned_by(request.user).enrolled()
    begun = places.filter(seminar__starts_at__lte=now).exclude(
        seminar__state=Seminar.State.CALLED_OFF
    )
    page = Paginator(begun.order_by("-seminar__starts_at", "pk"), PER_PAGE).get_page(
        request.GET.get("page")
    )
    shown = Attendee.objects.owned_by(request.user).filter(
        pk__in=[place.pk for place in page]
    )
    context = {
        "page": page,
        "visits": visits.visits(shown, now),
        "coming": places.filter(seminar__in=Seminar.objects.coming(now)).exists(),
    }
    return render(request, "seminars/mine.html", context)


@require_safe
def mine_file(request):
    """One's own as a table, whatever the club still keeps."""
    places = Attendee.objects.owned_by(request.user)
    table = visits.rows(visits.visits(places, timezone.now()))
    return sent(report_tables.as_csv(table), CSV, "my-seminars.csv")
