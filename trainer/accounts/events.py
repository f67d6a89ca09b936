"""Log lines about signing in: who by number and from where, never what was typed."""

import logging

from allauth.account.adapter import get_adapter
from allauth.account.signals import password_changed, password_reset
from allauth.mfa.signals import (
    authentication_failed,
    authenticator_added,
    authenticator_removed,
)
from django.contrib.auth.signals import (
    user_logged_in,
    user_logged_out,
    user_login_failed,
)
from django.core.exceptions import PermissionDenied
from django.dispatch import receiver

log = logging.getLogger("trainer.access")


def source(request) -> str:
    """The address the request came from, as far as the trusted proxies say."""
    try:
        return get_adapter(request).get_client_ip(request)
    except (AttributeError, PermissionDenied):
        # Without a request, or with one that did not come over the network.
        return "-"


def record(event, request, user, level=logging.INFO):
    person = getattr(user, "pk", None) or "-"
    log.log(level, "%s: person %s from %s", event, person, source(request))


@receiver(user_logged_in)
def signed_in(request, user, **kwargs):
    record("signed in", request, user)


@receiver(user_logged_out)
def signed_out(request, user, **kwargs):
    record("signed out", request, user)


@receiver(user_login_failed)
def sign_in_refused(request=None, **kwargs):
    record("sign-in refused", request, None, logging.WARNING)


@receiver(authentication_failed)
def second_step_refused(request, user, **kwargs):
    record("second step refused", request, user, logging.WARNING)


@receiver([password_changed, password_reset])
def password_new(request, user, **kwargs):
    record("new password", request, user)


@receiver(authenticator_added)
def second_step_added(request, user, **kwargs):
    record("second step added", request, user)


@receiver(authenticator_removed)
def second_step_removed(request, user, **kwargs):
    record("second step removed", request, user)
