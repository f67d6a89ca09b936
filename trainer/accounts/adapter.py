"""Where our rules for signing in differ from the library's."""

from allauth.account.adapter import DefaultAccountAdapter
from allauth.core.exceptions import ImmediateHttpResponse
from allauth.core.ratelimit import respond_429
from django.core.exceptions import ValidationError


class AccountAdapter(DefaultAccountAdapter):
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
