"""What changes who belongs to a club."""

from datetime import timedelta

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F
from django.utils.translation import gettext as _

from trainer.clubs.models import Invitation, Membership, Role

INVITATION_DAYS = 14


class InvitationUsedUp(ValidationError):
    """The link is used up or too old."""


def invite(club, *, role, places, by, now) -> Invitation:
    """Make an invitation link for the club, valid for two weeks."""
    invitation = Invitation(
        club=club,
        role=role,
        places=places,
        made_by=by,
        expires_at=now + timedelta(days=INVITATION_DAYS),
    )
    invitation.full_clean()
    invitation.save()
    return invitation


@transaction.atomic
def accept_invitation(invitation, *, user, now) -> Membership:
    """Give the person the role; the same person twice uses one place only.

    Raises InvitationUsedUp when nobody can join by this link any more.
    """
    held = Membership.objects.filter(
        club=invitation.club, user=user, role=invitation.role
    ).first()
    if held:
        return held
    taken = (
        Invitation.objects.open(now).filter(pk=invitation.pk).update(used=F("used") + 1)
    )
    if not taken:
        raise InvitationUsedUp(
            _("This invitation is used up or too old. Ask the club for a new link."),
            code="used-up",
        )
    return Membership.objects.create(
        club=invitation.club, user=user, role=invitation.role
    )


@transaction.atomic
def end_membership(membership) -> None:
    """Take the role from the person. A club keeps at least one organiser."""
    if membership.role == Role.ORGANISER:
        others = membership.club.memberships.select_for_update().filter(
            role=Role.ORGANISER
        )
        if not others.exclude(pk=membership.pk).exists():
            raise ValidationError(
                _(
                    "A club needs at least one organiser. Make somebody else organiser first."
                ),
                code="last-organiser",
            )
    membership.delete()
