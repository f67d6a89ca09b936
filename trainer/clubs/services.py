"""What changes who belongs to a club."""

from datetime import timedelta
from itertools import count

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import F
from django.utils.text import slugify
from django.utils.translation import gettext as _

from trainer.clubs.models import Club, Invitation, Link, Membership, Role

INVITATION_DAYS = 14
# Short names that stand for pages in clubs/urls.py.
TAKEN = {"found", "invitations"}


class InvitationUsedUp(ValidationError):
    """The link is used up or too old."""


@transaction.atomic
def found_club(*, name, about, by, second_mentor=False) -> Club:
    """Make a club whose founder runs it and teaches in it.

    Raises ValidationError when there is a club of that name.
    """
    try:
        with transaction.atomic():
            club = Club.objects.create(
                name=name,
                about=about,
                slug=free_slug(name),
                second_mentor=second_mentor,
            )
    except IntegrityError:
        raise ValidationError(
            _("There is a club of this name already."), code="name-taken"
        ) from None
    set_roles(club, by, {Role.ORGANISER, Role.MENTOR})
    return club


def free_slug(name: str) -> str:
    """A short name for addresses that no club and no page has."""
    stem = slugify(name)[:40] or "club"
    tries = (stem if number == 1 else f"{stem}-{number}" for number in count(1))
    return next(
        slug
        for slug in tries
        if slug not in TAKEN and not Club.objects.filter(slug=slug).exists()
    )


@transaction.atomic
def set_roles(club, user, roles) -> None:
    """Let the person hold exactly these roles in the club; none of them is to leave it.

    Raises ValidationError when the club would be left without an organiser.
    """
    # The club's row is the lock, so that two organisers cannot both leave at once.
    Club.objects.select_for_update().get(pk=club.pk)
    held = club.memberships.filter(user=user)
    organisers = club.memberships.filter(role=Role.ORGANISER)
    steps_down = Role.ORGANISER not in roles and organisers.filter(user=user).exists()
    if steps_down and not organisers.exclude(user=user).exists():
        raise ValidationError(
            _("A club needs at least one organiser. Give that role to somebody first."),
            code="last-organiser",
        )
    held.exclude(role__in=roles).delete()
    Membership.objects.bulk_create(
        [Membership(club=club, user=user, role=role) for role in roles],
        ignore_conflicts=True,
    )


def invite(club, *, role, places, by, now, note="") -> Invitation:
    """Make an invitation link for the club, valid for two weeks.

    note : for whom it is, in the organisers' words
    """
    invitation = Invitation(
        club=club,
        role=role,
        places=places,
        note=note,
        made_by=by,
        expires_at=now + timedelta(days=INVITATION_DAYS),
    )
    invitation.full_clean()
    invitation.save()
    return invitation


def withdraw_invitation(invitation: Link, *, now) -> None:
    """Let the link admit nobody from now on; whoever follows it is told so."""
    invitation.expires_at = now
    invitation.save(update_fields=["expires_at"])


@transaction.atomic
def accept_invitation(invitation, *, user, now) -> Membership:
    """Give the person the role; the same person twice uses one place only.

    Raises InvitationUsedUp when nobody can join by this link any more.
    """
    membership, is_new = Membership.objects.get_or_create(
        club=invitation.club, user=user, role=invitation.role
    )
    if is_new:
        count_use(invitation, now=now)
    return membership


def count_use(link: Link, *, now) -> None:
    """One more has come by the link. Raises InvitationUsedUp when nobody can any more."""
    still_open = type(link).objects.open(now).filter(pk=link.pk)
    if not still_open.update(used=F("used") + 1):
        raise InvitationUsedUp(
            _("This invitation is used up or too old. Ask the club for a new link."),
            code="used-up",
        )
