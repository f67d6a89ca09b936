"""Signing in to the room: by the code on the screen, with an account or as a guest, and by a personal link."""

from __future__ import annotations

from allauth.account.internal.flows.signup import complete_signup
from allauth.core import ratelimit
from django.contrib import messages
from django.contrib.auth import login, logout
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from trainer.accounts import erasing
from trainer.accounts.events import record
from trainer.seminars import services
from trainer.seminars.guests import GuestSignUp
from trainer.seminars.mails import tell_moved_up
from trainer.seminars.models import Attendee, Seminar
from trainer.seminars.room_forms import CodeForm, GuestForm
from trainer.seminars.throttle import GUESTS, MISSES

BACKEND = "allauth.account.auth_backends.AuthenticationBackend"


@login_not_required
@require_http_methods(["GET", "POST"])
def join(request):
    """Type the code."""
    form = CodeForm(request.POST if request.method == "POST" else None)
    if not form.is_bound or not form.is_valid():
        status = 422 if form.is_bound else 200
        return render(request, "seminars/join.html", {"form": form}, status=status)
    return _found(request, form.cleaned_data["code"], form)


def _found(request, code, form):
    if MISSES.is_reached(request):
        return ratelimit.respond_429(request)
    try:
        seminar = services.seminar_with_code(code, now=timezone.now())
    except services.NoSuchCode as error:
        MISSES.count(request)
        form.add_error("code", error)
        return render(request, "seminars/join.html", {"form": form}, status=422)
    return redirect("seminars:join-code", code=seminar.join_code)


@login_not_required
@require_http_methods(["GET", "POST"])
def join_code(request, code):
    """What is joined, and the ways in; only a button signs anybody in."""
    if MISSES.is_reached(request):
        return ratelimit.respond_429(request)
    try:
        seminar = services.seminar_with_code(code, now=timezone.now())
    except services.NoSuchCode as error:
        MISSES.count(request)
        form = CodeForm({"code": code})
        form.is_valid()
        form.add_error("code", error)
        return render(request, "seminars/join.html", {"form": form}, status=404)
    form = GuestForm(request.POST if request.method == "POST" else None)
    if request.method == "POST":
        try:
            return _come_in(request, seminar, form)
        except ValidationError as error:
            form.add_error(None, error)
    context = {"seminar": seminar, "form": form}
    status = 422 if form.is_bound else 200
    return render(request, "seminars/join_code.html", context, status=status)


def _come_in(request, seminar, form):
    """Enrol, check in, and on to the room. Raises ValidationError."""
    now = timezone.now()
    if request.user.is_authenticated:
        _refuse_strange_guest(seminar, request.user)
        place = services.enrol(seminar, request.user, now=now, came=Attendee.Came.ROOM)
    else:
        if not form.is_valid():
            return render(
                request,
                "seminars/join_code.html",
                {"seminar": seminar, "form": form},
                status=422,
            )
        if GUESTS.is_reached(request):
            return ratelimit.respond_429(request)
        GUESTS.count(request)
        place = services.guest(seminar, form.cleaned_data["name"], now=now)
        login(request, place.person, backend=BACKEND)
    services.check_in(place, now=now)
    messages.success(request, _("You are signed in to the room."))
    return redirect("seminars:room", pk=seminar.pk)


def _refuse_strange_guest(seminar, person) -> None:
    if person.is_guest and not seminar.guests:
        text = _("Sign in with your account: this club takes no guests.")
        raise ValidationError(text, code="no-guests")


@never_cache
@login_not_required
@require_http_methods(["GET", "POST"])
def personal(request, code):
    """A place's own link: what it is for before the day, and on it the way into the room, once the button is pressed."""
    place, now = _place_with(code), timezone.now()
    can_go_on = services.lets_in(place, now)
    if request.method == "POST" and can_go_on:
        # A place of an account is no way around its password: the room asks for it.
        if place.person is None or place.person.is_guest:
            person = services.person_of(place)
            if request.user != person:
                login(request, person, backend=BACKEND)
        # Afterwards there is nothing in the room, but a certificate and what to practise.
        is_over = place.seminar.state == Seminar.State.OVER
        way = "seminars:practice" if is_over else "seminars:room"
        return redirect(way, pk=place.seminar_id)
    context = {"place": place, "seminar": place.seminar, "can_go_on": can_go_on}
    context["can_give_up"] = services.is_coming(place.seminar, now)
    return render(request, "seminars/personal.html", context)


@never_cache
@login_not_required
@require_http_methods(["GET", "POST"])
def give_up(request, code):
    """Ask once, then give a place up by its own link; one of an account is given up with the account."""
    place, now = _place_with(code), timezone.now()
    if place.has_account:
        return redirect("seminars:withdraw", pk=place.seminar_id)
    if not services.is_coming(place.seminar, now):
        raise Http404
    if request.method == "POST":
        for moved in services.withdraw(place, now=now):
            tell_moved_up(moved, request.build_absolute_uri)
        messages.success(request, _("You have given up your place."))
        return redirect(place.seminar)
    context = {"place": place, "back": place.get_absolute_url()}
    return render(request, "seminars/place_withdraw.html", context)


def _place_with(code) -> Attendee:
    place = Attendee.objects.with_code(code).first()
    if place is None:
        raise Http404
    return place


@require_POST
def check_out(request, pk):
    """The person leaves the room."""
    mine = Attendee.objects.owned_by(request.user).enrolled()
    place = get_object_or_404(mine, seminar=pk)
    services.check_out(place, now=timezone.now())
    messages.success(
        request, _("You are signed out of the room. Type its code to come back in.")
    )
    return redirect("seminars:room", pk=pk)


@require_http_methods(["GET", "POST"])
def as_guest(request):
    """Where a guest is, how to go on elsewhere, and how the visit becomes an account."""
    if not request.user.is_guest:
        return redirect("home")
    form = GuestSignUp(
        request.POST if request.method == "POST" else None, guest=request.user
    )
    if form.is_bound and form.is_valid():
        return _converted(request, form)
    places = Attendee.objects.owned_by(request.user).select_related("seminar__club")
    context = {"form": form, "places": places}
    status = 422 if form.is_bound else 200
    return render(request, "seminars/as_guest.html", context, status=status)


@require_http_methods(["GET", "POST"])
def guest_erase(request):
    """A guest has no password to ask for: whoever holds the visit can end it, after being asked once."""
    if not request.user.is_guest:
        return redirect("home")
    if request.method == "POST":
        record("visit erased", request, request.user)
        erasing.erase(request.user, now=timezone.now())
        request.session.flush()
        return redirect("accounts:deleted")
    said = {"goes": erasing.goes(request.user), "stays": erasing.stays(request.user)}
    return render(request, "seminars/guest_erase.html", said)


def _converted(request, form):
    """On to the library's page that asks for the code it has sent; the visit is an account once that is typed."""
    guest = request.user
    logout(request)
    user, answer = form.try_save(request)
    if user is None:  # the address has an account, which nobody is told
        return answer
    assert user == guest
    return complete_signup(request, user=user)
