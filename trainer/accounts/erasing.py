"""Deleting an account: each app says what stands in the way, what goes and what stays, and does its part."""

from __future__ import annotations

import logging
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from django.contrib.admin.models import LogEntry
from django.contrib.auth import SESSION_KEY
from django.contrib.contenttypes.models import ContentType
from django.contrib.sessions.models import Session
from django.core.mail import send_mail
from django.db import transaction
from django.template.loader import render_to_string
from django.utils.translation import gettext as _

from trainer.accounts.models import User

log = logging.getLogger(__name__)


def _nothing(*args, **kwargs) -> list:
    return []


@dataclass(frozen=True)
class Part:
    """What one app has to do with it.

    obstacles, goes, stays : a person -> sentences for them; an obstacle says what to do about it
    erase : takes the person and the time, before their row goes, in the same transaction
    """

    obstacles: Callable[[User], list[str]] = _nothing
    goes: Callable[[User], list[str]] = _nothing
    stays: Callable[[User], list[str]] = _nothing
    erase: Callable[[User, datetime], object] = _nothing


_parts: list[Part] = []


def register(part: Part) -> None:
    """Called by an app once it is ready; the lower floors come first."""
    if part not in _parts:
        _parts.append(part)


class InTheWay(Exception):
    """The account can't be deleted yet; the arguments say why."""


def obstacles(user: User) -> list[str]:
    """Why the account can't be deleted yet; empty if it can."""
    found = [why for part in _parts for why in part.obstacles(user)]
    others = User.objects.filter(is_superuser=True, is_active=True).exclude(pk=user.pk)
    if user.is_superuser and not others.exists():
        found.append(
            _(
                "You are the only one who looks after this site. Give somebody else the same powers first."
            )
        )
    return found


def goes(user: User) -> list[str]:
    """What is deleted, in sentences."""
    own = _(
        "Your name, your e-mail address, your password and your second step, at once and everywhere."
    )
    return [own, *(said for part in _parts for said in part.goes(user))]


def stays(user: User) -> list[str]:
    """What is kept without the person's name, in sentences."""
    return [said for part in _parts for said in part.stays(user)]


@transaction.atomic
def erase(user: User, *, now: datetime) -> None:
    """Delete the account and everything that goes with it, and write to the person that it is done.

    Raises InTheWay.
    """
    # Whoever is erased holds still: a second press finds nobody.
    user = User.objects.select_for_update().get(pk=user.pk)
    in_the_way = obstacles(user)
    if in_the_way:
        raise InTheWay(*in_the_way)
    for part in _parts:
        part.erase(user, now)
    _forget_in_administration(user)
    end_sessions(user, now)
    name, email, is_guest = user.name, user.email, user.is_guest
    user.delete()
    # A guest has no address to write to.
    if not is_guest:
        transaction.on_commit(lambda: _write(name, email))


def _forget_in_administration(user: User) -> None:
    """The administration's history names whom it changed."""
    about = ContentType.objects.get_for_model(User)
    LogEntry.objects.filter(content_type=about, object_id=str(user.pk)).delete()


def end_sessions(user: User, now: datetime) -> None:
    """Sign the person out on every device."""
    mine = [
        session.pk
        for session in Session.objects.filter(expire_date__gt=now).iterator()
        if session.get_decoded().get(SESSION_KEY) == str(user.pk)
    ]
    Session.objects.filter(pk__in=mine).delete()


def _write(name: str, email: str) -> None:
    """The last mail to the person."""
    body = render_to_string("accounts/deleted_mail.txt", {"name": name})
    try:
        send_mail(_("Placing Room: your account is deleted"), body, None, [email])
    except OSError:
        log.exception("The mail about a deleted account was not sent.")
