"""The one way in which a bundle is refused."""

from django.core.exceptions import ValidationError


class BadBundle(ValidationError):
    """A bundle that is not taken in; the message says what is wrong with it."""
