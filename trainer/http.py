"""Small answers that several apps give."""

from django.http import HttpRequest
from django.template.defaultfilters import date
from django.utils import timezone
from django.utils.translation import gettext as _


def wants_fragment(request: HttpRequest) -> bool:
    """True if htmx wants part of the page (not a boosted visit, not a history restore)."""
    htmx = request.htmx
    return bool(htmx) and not htmx.boosted and not htmx.history_restore_request


def wants_json(request: HttpRequest) -> bool:
    """True if the page's script saves in the background."""
    return request.headers.get("Accept") == "application/json"


def said_saved() -> str:
    """When it was saved, in words."""
    return _("Saved %(time)s") % {"time": date(timezone.localtime(), "H:i")}
