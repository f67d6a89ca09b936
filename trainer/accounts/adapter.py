"""Where our rules for signing in differ from the library's."""

from allauth.account.adapter import DefaultAccountAdapter
from allauth.core.exceptions import ImmediateHttpResponse
from allauth.core.ratelimit import respond_429
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _


class AccountAdapter(DefaultAccountAdapter):
    error_messages = {
        **DefaultAccountAdapter.error_messages,
        "duplicate_email": _("You have this e-mail address already."),
        "email_password_mismatch": _(
            "E-mail address and password don't belong together. Check both."
        ),
        "email_taken": _("There is an account with this e-mail address already."),
        "enter_current_password": _("Give your current password."),
        "incorrect_code": _("This is not the code. Check it, or have a new one sent."),
        "incorrect_password": _("This is not your password."),
        "too_many_login_attempts": _("Too many tries. Come back later."),
        "unknown_email": _("There is no account with this e-mail address."),
        "unverified_primary_email": _("Confirm your e-mail address first."),
    }

    def _get_login_attempts_cache_key(self, request, **credentials):
        """Failures are counted by account and source together.

        By account alone, as the library does it, anybody could lock out a person whose
        address they know; all failures of one source are counted beside this.
        """
        key = super()._get_login_attempts_cache_key(request, **credentials)
        return f"{key}:{self.get_client_ip(request)}"

    def pre_authenticate(self, request, **credentials):
        """Answer too many failures as such (429) instead of as an error of the form."""
        try:
            super().pre_authenticate(request, **credentials)
        except ValidationError:
            raise ImmediateHttpResponse(respond_429(request)) from None
