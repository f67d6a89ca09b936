"""What becomes of clubs when somebody's account is deleted."""

from __future__ import annotations

from django.db.models import ProtectedError
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from trainer.accounts.erasing import Part
from trainer.clubs.models import Club, Membership, Role


def only_run_by(user):
    """Clubs of which the person is the only organiser."""
    run = Membership.objects.filter(role=Role.ORGANISER)
    others = run.exclude(user=user).values("club")
    return Club.objects.filter(pk__in=run.filter(user=user).values("club")).exclude(
        pk__in=others
    )


def obstacles(user) -> list[str]:
    """Clubs that would be left without an organiser, each with what to do about it."""
    left = Membership.objects.exclude(user=user).values("club")
    return [
        _(
            "You are the only organiser of %(club)s. Make somebody else an organiser there first: "
            "under Clubs, choose the person and give them the role."
        )
        % {"club": club.name}
        for club in only_run_by(user).filter(pk__in=left)
    ]


def goes(user) -> list[str]:
    clubs = Membership.objects.filter(user=user).values("club").distinct().count()
    found = []
    if clubs:
        text = ngettext(
            "Your place in your club.", "Your place in all %(n)s clubs.", clubs
        )
        found.append(text % {"n": clubs})
    found += [
        _(
            "%(club)s, if it holds nothing: you are the only one in it. What it holds stays with "
            "whoever runs this site."
        )
        % {"club": club.name}
        for club in _alone_in(user)
    ]
    return found


def erase(user, now) -> None:
    """A club of nobody else goes with the person, unless it holds something."""
    for club in _alone_in(user):
        try:
            club.delete()
        except ProtectedError:
            club.memberships.filter(user=user).delete()


def _alone_in(user) -> list[Club]:
    """Clubs that the person runs and to which nobody else belongs."""
    others = Membership.objects.exclude(user=user).values("club")
    return list(only_run_by(user).exclude(pk__in=others))


PART = Part(obstacles=obstacles, goes=goes, erase=erase)
