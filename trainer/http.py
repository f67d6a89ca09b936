"""Small answers that several apps give."""

from django.http import HttpRequest


def wants_fragment(request: HttpRequest) -> bool:
    """True if htmx wants part of the page (not a boosted visit, not a history restore)."""
    htmx = request.htmx
    return bool(htmx) and not htmx.boosted and not htmx.history_restore_request
