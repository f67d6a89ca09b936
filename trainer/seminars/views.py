"""A seminar before it is held: announced to everybody, prepared by its organisers, enrolled for."""

from __future__ import annotations

from allauth.decorators import rate_limit
from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from trainer.clubs.models import Club
from trainer.seminars import certifying, next_step, services
from trainer.seminars.calendar import CONTENT_TYPE, calendar_of
from trainer.seminars.forms import PartFormSet, SeminarForm, parts_of, zones
from trainer.seminars.mails import tell_moved_up
from trainer.seminars.models import Attendee, Seminar, Session

LISTED = 60


@require_safe
def seminar_list(request):
    """What is coming in the person's clubs, where they have a place, and what they organise."""
    now = timezone.now()
    mine = Attendee.objects.owned_by(request.user).exclude(
        state=Attendee.State.WITHDRAWN
    )
    coming = Seminar.objects.coming(now).of_clubs_of(request.user)
    context = {
        "coming": coming.select_related("club")[:LISTED],
        "places": mine.select_related("seminar__club").order_by("-seminar__starts_at")[
            :LISTED
        ],
        "run": Seminar.objects.led_by(request.user).select_related("club")[:LISTED],
        "clubs": Club.objects.joined_by(request.user)[:LISTED],
        "organises": Club.objects.run_by(request.user)[:LISTED],
    }
    return render(request, "seminars/seminar_list.html", context)


@login_not_required
@require_safe
def seminar_detail(request, pk):
    """The public page; who has a place sees how to join, organisers what there is to do."""
    seminar = get_object_or_404(
        Seminar.objects.visible_to(request.user).select_related("club"), pk=pk
    )
    place = Attendee.objects.owned_by(request.user).filter(seminar=seminar).first()
    runs = Seminar.objects.run_by(request.user).filter(pk=pk).exists()
    context = {
        **(_organised(seminar) if runs else {}),
        "seminar": seminar,
        "place": place,
        "free": services.free_places(seminar),
        "leads": Seminar.objects.led_by(request.user).filter(pk=pk).exists(),
        "runs": runs,
        "parts": seminar.sessions.all(),
        "modules": seminar.modules.select_related("breed"),
        "mentors": seminar.mentors.all(),
        "was_there": _was_there(place, seminar),
        "has_certificate": place is not None and certifying.valid_of(place) is not None,
        "is_coming": services.is_coming(seminar, timezone.now()),
    }
    return render(request, "seminars/seminar_detail.html", context)


def _organised(seminar) -> dict:
    """What an organiser sees above the page: the next step, and how it stands."""
    at = next_step.standing(seminar)
    return {"at": at, "step": next_step.next_step(seminar, at, timezone.now())}


def _was_there(place, seminar) -> bool:
    """Whether the person may say what it was like: it has begun, and they have a place."""
    is_off = seminar.state == Seminar.State.CALLED_OFF
    has_place = place is not None and place.state == Attendee.State.ENROLLED
    return has_place and not is_off and seminar.starts_at <= timezone.now()


@require_http_methods(["GET", "POST"])
def seminar_new(request, slug):
    """A seminar of the club, in preparation until it is announced."""
    club = get_object_or_404(Club.objects.run_by(request.user), slug=slug)
    seminar = Seminar(
        club=club,
        made_by=request.user,
        months_kept=club.months_kept,
        **_as_last_time(club),
    )
    return _edited(request, club, seminar, "seminars/seminar_new.html")


def _as_last_time(club) -> dict:
    """What hardly changes from one seminar of a club to the next: its clock, and what stands on certificates."""
    names = ("time_zone", "certificate_words", "emblem")
    last = club.seminars.values(*names).first()
    return last or {"time_zone": settings.TIME_ZONE}


@require_http_methods(["GET", "POST"])
def seminar_edit(request, pk):
    """Everything that is said of a seminar, and its programme."""
    mine = Seminar.objects.run_by(request.user).select_related("club")
    seminar = get_object_or_404(mine, pk=pk)
    return _edited(request, seminar.club, seminar, "seminars/seminar_edit.html")


def _edited(request, club, seminar, template):
    posted = request.POST if request.method == "POST" else None
    form = SeminarForm(posted, instance=seminar, club=club)
    parts = PartFormSet(
        posted, prefix="parts", initial=parts_of(seminar) if seminar.pk else []
    )
    is_conflict = False
    if posted is not None and form.is_valid() and parts.is_valid():
        try:
            _stored(form, parts, _sent_version(posted) if seminar.pk else None)
        except ValidationError as error:
            form.add_error(None, error)
            is_conflict = isinstance(error, services.EditedElsewhere)
        else:
            messages.success(request, _("Saved."))
            if posted.get("do") == "more":
                return redirect("seminars:seminar-edit", pk=seminar.pk)
            return redirect(seminar)
    context = {
        "club": club,
        "seminar": seminar,
        "form": form,
        "parts": parts,
        "zones": zones(),
        "version": _version(seminar, posted, is_conflict),
    }
    status = 422 if posted is not None else 200
    return render(request, template, context, status=status)


@transaction.atomic
def _stored(form, parts, version) -> None:
    seminar = services.save_seminar(form.save(commit=False), version=version)
    form.save_m2m()
    seminar.sessions.all().delete()
    Session.objects.bulk_create(
        [one.session(seminar) for one in parts if not one.is_blank]
    )


def _sent_version(posted) -> int:
    sent = posted.get("version", "")
    return int(sent) if sent.isdecimal() and len(sent) < 9 else -1


def _version(seminar, posted, is_conflict) -> int:
    """After a refusal for somebody else's save, saving again keeps what is on the page."""
    if posted is None or not seminar.pk:
        return seminar.version
    if is_conflict:
        stored = Seminar.objects.values_list("version", flat=True)
        return stored.get(pk=seminar.pk)
    return _sent_version(posted)


@require_POST
def seminar_announce(request, pk):
    seminar = get_object_or_404(Seminar.objects.run_by(request.user), pk=pk)
    if seminar.state == Seminar.State.PREPARED:
        services.announce(seminar)
        messages.success(request, _("Announced. Anybody with the link can read of it."))
    return redirect(seminar)


@require_http_methods(["GET", "POST"])
def seminar_end(request, pk):
    """Ask whether it is over or called off, then end it."""
    mine = Seminar.objects.run_by(request.user).select_related("club")
    seminar = get_object_or_404(mine, pk=pk)
    ends = (Seminar.State.OVER, Seminar.State.CALLED_OFF)
    if request.method == "POST" and request.POST.get("state") in ends:
        services.end(seminar, state=request.POST["state"], now=timezone.now())
        messages.success(
            request, _("It is %(state)s.") % {"state": seminar.get_state_display()}
        )
        return redirect(seminar)
    return render(request, "seminars/seminar_end.html", {"seminar": seminar})


@require_POST
@rate_limit(action="enrol")
def enrol(request, pk):
    """A place for the person, or one on the waiting list."""
    seminar = get_object_or_404(Seminar.objects.announced(), pk=pk)
    try:
        place = services.enrol(seminar, request.user, now=timezone.now())
    except ValidationError as refusal:
        messages.error(request, refusal.messages[0])
    else:
        messages.success(request, services.said_of(place))
    return redirect(seminar)


@require_http_methods(["GET", "POST"])
def withdraw(request, pk):
    """Ask once, then give the place up."""
    mine = Attendee.objects.owned_by(request.user).select_related("seminar__club")
    place = get_object_or_404(mine, seminar=pk)
    if request.method == "POST":
        for moved in services.withdraw(place, now=timezone.now()):
            tell_moved_up(moved, request.build_absolute_uri)
        messages.success(request, _("You have given up your place."))
        return redirect(place.seminar)
    context = {"place": place, "back": place.seminar.get_absolute_url()}
    return render(request, "seminars/place_withdraw.html", context)


@login_not_required
@require_safe
def calendar(request, pk):
    """The seminar for one's own calendar."""
    seminar = get_object_or_404(Seminar.objects.announced(), pk=pk)
    return _calendar(request, [seminar], f"seminar-{pk}.ics")


@login_not_required
@require_safe
def feed(request, slug):
    """What the club has announced, to subscribe to; what was called off stays in it as cancelled."""
    club = get_object_or_404(Club, slug=slug)
    seminars = Seminar.objects.announced().filter(club=club)[:LISTED]
    return _calendar(request, seminars, f"{slug}.ics", name=club.name)


def _calendar(request, seminars, file_name, name=""):
    content = calendar_of(seminars, host=request.get_host(), name=name)
    response = HttpResponse(content, content_type=CONTENT_TYPE)
    response["Content-Disposition"] = f'attachment; filename="{file_name}"'
    return response
