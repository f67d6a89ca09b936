"""Clubs: who belongs, invitations, roles."""

from allauth.decorators import rate_limit
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.db.models import Q
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from trainer.clubs.forms import (
    ClubForm,
    ClubSettingsForm,
    InvitationForm,
    RolesForm,
)
from trainer.clubs.models import Club, Invitation, Role
from trainer.clubs.services import (
    InvitationUsedUp,
    accept_invitation,
    found_club,
    invite,
    set_roles,
    withdraw_invitation,
)

PEOPLE_PER_PAGE = 50
PEOPLE_WITHOUT_SEARCH = 20


def run_by(request, slug):
    """The club, if the person runs it; 404 otherwise."""
    return get_object_or_404(Club.objects.run_by(request.user), slug=slug)


@require_safe
def club_list(request):
    clubs = Club.objects.joined_by(request.user).for_list(request.user)
    return render(request, "clubs/club_list.html", {"clubs": clubs})


@require_http_methods(["GET", "POST"])
@rate_limit(action="found_club")
def club_found(request):
    form = ClubForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            club = found_club(**form.cleaned_data, by=request.user)
        except ValidationError as error:
            form.add_error("name", error)
        else:
            messages.success(
                request, _("The club is founded. You run it and teach in it.")
            )
            return redirect(club)
    status = 422 if form.is_bound else 200
    return render(request, "clubs/club_found.html", {"form": form}, status=status)


@require_safe
def club_detail(request, slug):
    clubs = Club.objects.joined_by(request.user)
    return club_page(request, get_object_or_404(clubs, slug=slug))


def needs_module(club, user) -> bool:
    """Whether the person teaches in the club and it has no study module yet."""
    teaches = Club.objects.taught_by(user).filter(pk=club.pk).exists()
    return teaches and not club.modules.exists()


def begins(club, user) -> dict | None:
    """What somebody who has begun no class of the club starts with; None for the others."""
    if club.exercises.filter(revisions__attempts__trainee=user).exists():
        return None
    return {"module": club.modules.in_force().select_related("breed").first()}


def people_found(request, club, runs) -> dict:
    """A page of the club's people, of those with the words looked for in name or address."""
    everybody, sought = club.people(), request.GET.get("q", "").strip()[:80]
    count = everybody.count()
    shown = everybody
    for word in sought.split():
        here = Q(name__icontains=word)
        shown = shown.filter(here | Q(email__icontains=word) if runs else here)
    return {
        "people": Paginator(shown, PEOPLE_PER_PAGE).get_page(request.GET.get("page")),
        "everybody": count,
        "sought": sought,
        "can_search": count > PEOPLE_WITHOUT_SEARCH,
    }


def row_of(club, person) -> str:
    """The address of the person's row in the list of the club's people."""
    before = Q(name__lt=person.name) | Q(name=person.name, pk__lt=person.pk)
    page = club.people().filter(before).count() // PEOPLE_PER_PAGE + 1
    return f"{club.get_absolute_url()}?page={page}#person-{person.pk}"


def club_page(request, club, form=None):
    """The club's page; people for who leads it, invitations for who runs it."""
    leads = Club.objects.led_by(request.user).filter(pk=club.pk).exists()
    runs = Club.objects.run_by(request.user).filter(pk=club.pk).exists()
    held = club.memberships.filter(user=request.user)
    people = people_found(request, club, runs) if leads else {}
    context = {
        "club": club,
        "held": held,
        "begins": begins(club, request.user) if held and not leads else None,
        "runs": runs,
        "needs_module": needs_module(club, request.user),
        **people,
        "invitations": runs and club.invitations.open(timezone.now()),
        "form": form or InvitationForm(),
    }
    status = 422 if form else 200
    return render(request, "clubs/club_detail.html", context, status=status)


@require_http_methods(["GET", "POST"])
def club_edit(request, slug):
    club = run_by(request, slug)
    form = ClubSettingsForm(request.POST or None, instance=club)
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, _("Saved."))
        return redirect(club)
    context = {"club": club, "form": form}
    status = 422 if form.is_bound else 200
    return render(request, "clubs/club_edit.html", context, status=status)


@require_http_methods(["GET", "POST"])
def club_leave(request, slug):
    """Ask once, then take all the person's roles in the club."""
    club = get_object_or_404(request.user.clubs.distinct(), slug=slug)
    if request.method == "GET":
        return render(request, "clubs/club_leave.html", {"club": club})
    try:
        set_roles(club, request.user, set())
    except ValidationError as error:
        messages.error(request, error.message)
        return redirect(club)
    messages.success(request, _("You have left %(club)s.") % {"club": club})
    return redirect("clubs:club-list")


@require_http_methods(["GET", "POST"])
def member_edit(request, slug, pk):
    """Give and take the roles of one person."""
    club = run_by(request, slug)
    person = get_object_or_404(club.people(), pk=pk)
    held = {"roles": [membership.role for membership in person.held]}
    form = RolesForm(request.POST if request.method == "POST" else None, initial=held)
    if form.is_bound and form.is_valid():
        roles = form.cleaned_data["roles"]
        if not roles and "leave" not in request.POST:
            links = club.invitations.open(timezone.now())
            context = {"club": club, "person": person, "links": links}
            return render(request, "clubs/member_leave.html", context)
        try:
            set_roles(club, person, set(roles))
        except ValidationError as error:
            form.add_error("roles", error)
        else:
            return member_changed(request, club, person, roles)
    context = {"club": club, "person": person, "form": form}
    status = 422 if form.is_bound else 200
    return render(request, "clubs/member_edit.html", context, status=status)


def member_changed(request, club, person, roles):
    """Say what became of the person, withdraw the links that were ticked, and go to the row."""
    if roles:
        named = ", ".join(str(Role(role).label) for role in roles)
        said = _("%(name)s is in the club as: %(roles)s.")
        messages.success(request, said % {"name": person.name, "roles": named})
    else:
        withdraw_ticked(request, club)
        said = _("%(name)s is out of the club.")
        messages.success(request, said % {"name": person.name})
    if person == request.user:
        return redirect("clubs:club-list")
    return redirect(
        row_of(club, person) if roles else f"{club.get_absolute_url()}#people"
    )


def withdraw_ticked(request, club):
    now = timezone.now()
    ticked = [pk for pk in request.POST.getlist("withdraw") if pk.isdecimal()][:200]
    for invitation in club.invitations.open(now):
        if str(invitation.pk) in ticked:
            withdraw_invitation(invitation, now=now)


@require_POST
@rate_limit(action="invite")
def invitation_create(request, slug):
    club = run_by(request, slug)
    form = InvitationForm(request.POST)
    if form.is_valid():
        try:
            made = invite(
                club, **form.cleaned_data, by=request.user, now=timezone.now()
            )
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, _("The link is ready. Copy it and send it on."))
            return redirect(f"{club.get_absolute_url()}#invitation-{made.pk}")
    return club_page(request, club, form)


@require_POST
def invitation_withdraw(request, slug, pk):
    club = run_by(request, slug)
    invitation = get_object_or_404(
        Invitation.objects.editable_by(request.user), pk=pk, club=club
    )
    withdraw_invitation(invitation, now=timezone.now())
    messages.success(request, _("The link admits nobody any more."))
    return redirect(f"{club.get_absolute_url()}#invitations")


@never_cache
@login_not_required
@require_http_methods(["GET", "POST"])
def invitation_accept(request, code):
    """What the link offers; accepting is a POST by somebody who is signed in."""
    invitation = get_object_or_404(Invitation.objects.with_code(code))
    if request.method == "POST":
        return accept(request, invitation)
    return invitation_page(request, invitation)


def accept(request, invitation):
    if not request.user.is_authenticated:
        return redirect_to_login(request.path)
    try:
        accept_invitation(invitation, user=request.user, now=timezone.now())
    except InvitationUsedUp:
        return invitation_page(request, invitation)
    messages.success(
        request, _("You belong to %(club)s now.") % {"club": invitation.club}
    )
    return redirect(invitation.club)


def invitation_page(request, invitation):
    """Three states: open, closed (410), and the role held already."""
    held = (
        request.user.is_authenticated
        and request.user.memberships.filter(
            club=invitation.club, role=invitation.role
        ).exists()
    )
    is_open = invitation.is_open(timezone.now())
    context = {"invitation": invitation, "held": held, "is_open": is_open}
    status = 200 if held or is_open else 410
    return render(request, "clubs/invitation_accept.html", context, status=status)
