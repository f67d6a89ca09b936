"""Small answers that several apps give."""

from django.conf import settings
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect
from django.template.defaultfilters import date
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _


def wants_fragment(request: HttpRequest) -> bool:
    """True if htmx wants part of the page (not a boosted visit, not a history restore)."""
    htmx = request.htmx
    return bool(htmx) and not htmx.boosted and not htmx.history_restore_request


def wants_json(request: HttpRequest) -> bool:
    """True if the page's script saves in the background."""
    return request.headers.get("Accept") == "application/json"


def onward(request: HttpRequest, name: str, *args) -> HttpResponse:
    """On to the address of that name; the page's script is told where, and goes itself."""
    url = reverse(name, args=args)
    return JsonResponse({"url": url}) if wants_json(request) else redirect(url)


def address_of(path: str) -> str:
    """The whole address of a path of this site, where no request says it: in mails that go out by themselves."""
    return settings.SITE + path


def said_saved() -> str:
    """When it was saved, in words."""
    return _("Saved %(time)s") % {"time": date(timezone.localtime(), "H:i")}
