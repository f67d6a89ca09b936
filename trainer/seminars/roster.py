"""The roster: who is there, who was there how long, and putting it right."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.db.models import Prefetch, Q
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from trainer.seminars import hours, services
from trainer.seminars.forms import AttendeeForm, StayForm
from trainer.seminars.mails import tell_moved_up
from trainer.seminars.models import Attendee, Presence
from trainer.seminars.rostrum import led

PER_PAGE = 60
MOST_SEARCHED = 100


@require_http_methods(["GET", "POST"])
def roster(request, pk):
    """Everybody with a place, by name; adding one more."""
    seminar, now = led(request, pk), timezone.now()
    form = AttendeeForm(request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        try:
            made = services.add_to_roster(seminar, now=now, **form.cleaned_data)
            messages.success(request, _("Added: %(name)s.") % {"name": made})
            return redirect("seminars:roster", pk=pk)
        except ValidationError as error:
            form.add_error(None, error)
    searched = request.GET.get("q", "").strip()[:MOST_SEARCHED]
    context = {
        "seminar": seminar,
        "form": form,
        "searched": searched,
        "present": Presence.objects.filter(attendee__seminar=pk).running().count(),
        "all": seminar.attendees.enrolled().count(),
        "parts": list(seminar.sessions.all()),
    }
    found = Paginator(_searched(seminar, searched), PER_PAGE)
    context["page"] = found.get_page(request.GET.get("page"))
    context["rows"] = [
        _row(one, context["parts"], seminar, now) for one in context["page"]
    ]
    status = 422 if form.is_bound else 200
    return render(request, "seminars/roster.html", context, status=status)


def _searched(seminar, searched):
    """Places that match by name, address or number; those given up come last."""
    stays = Prefetch("stays", Presence.objects.order_by("in_at", "pk"))
    found = seminar.attendees.prefetch_related(stays).order_by("name", "pk")
    if searched:
        found = found.filter(
            Q(name__icontains=searched)
            | Q(email__icontains=searched)
            | Q(number__iexact=searched)
        )
    return found


def _row(attendee: Attendee, parts, seminar, now) -> dict:
    stays = list(attendee.stays.all())
    each, total = hours_of(stays, parts, seminar, now)
    return {
        "attendee": attendee,
        "stays": stays,
        "is_in": bool(stays) and stays[-1].out_at is None,
        "parts": [
            (part, hours.in_hours(one)) for part, one in zip(parts, each, strict=False)
        ],
        "hours": hours.in_hours(total),
    }


def hours_of(stays, parts, seminar, now):
    """How long the stays cover each part of the programme, and all; without parts the whole seminar is one."""
    until = min(now, seminar.ends_at)
    spans = [(stay.in_at, stay.out_at or max(until, stay.in_at)) for stay in stays]
    bounds = [(part.starts_at, part.ends_at) for part in parts]
    return hours.attended(spans, bounds or [(seminar.starts_at, seminar.ends_at)])


def _place(request, pk, number) -> Attendee:
    mine = Attendee.objects.editable_by(request.user).select_related("seminar")
    return get_object_or_404(mine, seminar=pk, pk=number)


@require_POST
def place_do(request, pk, number, step):
    """Check one person in or out, give or take the place, or give them a new personal link."""
    place, now = _place(request, pk, number), timezone.now()
    if step == "in":
        services.check_in(place, now=now, by=request.user)
        said = _("%(name)s is in.")
    elif step == "out":
        services.check_out(place, now=now, by=request.user)
        said = _("%(name)s is out.")
    elif step == "new-link":
        services.renew_code(place)
        said = _("%(name)s has a new link; the old one lets nobody in.")
    elif step == "give-up":
        for moved in services.withdraw(place, now=now):
            tell_moved_up(moved, request.build_absolute_uri)
        said = _("%(name)s has given up the place.")
    elif step == "enrol":
        said = _put_in(request, place, now)
    else:
        raise Http404
    messages.success(request, said % {"name": place})
    return redirect(_back(request, pk))


def _put_in(request, place, now) -> str:
    """Give the place, and say so to whoever has an address."""
    services.put_in(place, now=now)
    tell_moved_up(place, request.build_absolute_uri)
    return _("%(name)s has a place.")


def _back(request, pk) -> str:
    """The roster, searched as it was."""
    searched = request.POST.get("q", "")[:MOST_SEARCHED]
    query = f"?q={searched}" if searched.isalnum() else ""
    return reverse("seminars:roster", args=[pk]) + query


@require_http_methods(["GET", "POST"])
def stay_correct(request, pk, number):
    """Other times for one stay, with the reason."""
    mine = Presence.objects.editable_by(request.user)
    stay = get_object_or_404(
        mine.select_related("attendee__seminar"), attendee__seminar=pk, pk=number
    )
    form = StayForm(request.POST if request.method == "POST" else None, stay=stay)
    if form.is_bound and form.is_valid():
        try:
            sent = {**form.times(), "note": form.cleaned_data["note"]}
            services.correct(stay, by=request.user, **sent)
            messages.success(request, _("Corrected, with your reason beside it."))
            return redirect("seminars:roster", pk=pk)
        except ValidationError as error:
            form.add_error(None, " ".join(error.messages))
    context = {"stay": stay, "form": form, "seminar": stay.attendee.seminar}
    status = 422 if form.is_bound else 200
    return render(request, "seminars/stay_correct.html", context, status=status)
