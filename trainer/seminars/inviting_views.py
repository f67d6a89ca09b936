"""Invitations to a seminar by link: the organiser's page of them, and what whoever follows one sees."""

from __future__ import annotations

from allauth.core import ratelimit
from allauth.decorators import rate_limit
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.core import signing
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from trainer.clubs.services import withdraw_invitation
from trainer.seminars import inviting, mails, services
from trainer.seminars.certificates import run
from trainer.seminars.inviting_forms import InvitationForm, PlaceForm
from trainer.seminars.models import Attendee, SeminarInvitation
from trainer.seminars.models.seminars import new_link
from trainer.seminars.throttle import INVITED

SALT = "seminar-place"


@require_http_methods(["GET", "POST"])
@rate_limit(action="invite")
def invitations(request, pk):
    """Links that are open, and the form for a new one."""
    seminar, now = run(request, pk), timezone.now()
    posted = request.POST if request.method == "POST" else None
    form = InvitationForm(posted, seminar=seminar, now=now)
    if form.is_bound and form.is_valid():
        made = inviting.invite(seminar, by=request.user, **form.cleaned_data)
        messages.success(request, _("The link is ready. Copy it and send it on."))
        page = redirect("seminars:invitations", pk=pk)
        page["Location"] += f"#invitation-{made.pk}"
        return page
    context = {
        "seminar": seminar,
        "form": form,
        "invitations": seminar.invitations.open(now),
        "is_over": seminar.ends_at <= now or seminar.state in ("over", "called_off"),
    }
    status = 422 if form.is_bound else 200
    return render(request, "seminars/invitations.html", context, status=status)


@require_POST
def invitation_withdraw(request, pk, number):
    """Let the link admit nobody any more; who has come by it keeps the place."""
    mine = SeminarInvitation.objects.editable_by(request.user)
    invitation = get_object_or_404(mine, seminar=pk, pk=number)
    withdraw_invitation(invitation, now=timezone.now())
    messages.success(request, _("The link admits nobody any more."))
    return redirect("seminars:invitations", pk=pk)


@never_cache
@login_not_required
@require_http_methods(["GET", "POST"])
def invited(request, code):
    """What one is invited to; a button enrols, with the account or with a name."""
    invitation = get_object_or_404(SeminarInvitation.objects.with_code(code))
    if request.method != "POST":
        return _page(request, invitation, PlaceForm())
    if request.user.is_authenticated:
        return _enrolled(request, invitation)
    return _enrolled_by_name(request, invitation)


def _page(request, invitation, form, refusal=""):
    """Open, closed (410), or what place the person has."""
    seminar, now = invitation.seminar, timezone.now()
    place = Attendee.objects.owned_by(request.user).filter(seminar=seminar).first()
    has_place = place is not None and place.state != Attendee.State.WITHDRAWN
    is_open = inviting.is_open(invitation, now)
    context = {
        "invitation": invitation,
        "seminar": seminar,
        "place": place if has_place else None,
        "is_open": is_open and not refusal,
        "refusal": refusal,
        "free": services.free_places(seminar),
        "form": form,
        "once": signing.dumps(new_link(), salt=SALT),
    }
    status = 410 if not (has_place or context["is_open"]) else 200
    if form.is_bound and status == 200:
        status = 422
    return render(request, "seminars/invited.html", context, status=status)


def _enrolled(request, invitation):
    try:
        place = inviting.accept(invitation, request.user, now=timezone.now())
    except ValidationError as refusal:
        return _page(request, invitation, PlaceForm(), refusal.messages[0])
    messages.success(request, services.said_of(place))
    return redirect(place)


def _enrolled_by_name(request, invitation):
    """With an address the link of one's own goes there, whether or not it has a place already; else it is shown."""
    form = PlaceForm(request.POST)
    if not form.is_valid():
        return _page(request, invitation, form)
    if INVITED.is_reached(request):
        return ratelimit.respond_429(request)
    INVITED.count(request)
    sent = {**form.cleaned_data, "code": _code(request.POST.get("once", ""))}
    try:
        place = inviting.accept_by_name(invitation, now=timezone.now(), **sent)
    except ValidationError as refusal:
        return _page(request, invitation, PlaceForm(), refusal.messages[0])
    if place.email:
        mails.tell_place(place, request.build_absolute_uri)
        context = {"seminar": invitation.seminar, "email": form.cleaned_data["email"]}
        return render(request, "seminars/invited_mail.html", context)
    messages.success(request, services.said_of(place))
    return redirect(place)


def _code(sent: str) -> str:
    """The code that was made with the page, so that a form sent twice is one place; a new one without it."""
    try:
        return signing.loads(sent, salt=SALT, max_age=24 * 3600)
    except signing.BadSignature:
        return new_link()
