"""What a device may keep of the site, for reading without a connection.

A page is kept only if its answer says so, and only for the person it was answered to; the service worker
(static/js/offline/worker.js) keeps nothing else of what people see.
"""

import json
from functools import cache

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.contrib.staticfiles import finders
from django.contrib.staticfiles.storage import staticfiles_storage
from django.http import HttpResponse
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.crypto import salted_hmac
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_safe

KEEP_FOR = "Keep-For"
AHEAD = "X-Ahead"
"""A request with it fetches a page that nobody reads yet."""

WORKER = "js/offline/worker.js"


def reader_key(user) -> str:
    """A name for the person's kept pages that says nothing of who it is; empty for visitors."""
    if not user.is_authenticated:
        return ""
    return salted_hmac("trainer.offline", str(user.pk)).hexdigest()[:16]


def keep(response: HttpResponse, user) -> HttpResponse:
    """The answer, with leave to keep it on the person's device."""
    response[KEEP_FOR] = reader_key(user)
    return response


def keep_to_answer(response: HttpResponse, attempt, user) -> HttpResponse:
    """The page of an open attempt, kept until it is handed in; a mentor's trial is not."""
    is_page = response.status_code == 200 and not attempt.preview
    return keep(response, user) if is_page else response


def keep_picture(response: HttpResponse) -> HttpResponse:
    """A picture, with leave to keep it beside the pages of whoever reads them there."""
    response[KEEP_FOR] = "*"
    return response


def is_ahead(request) -> bool:
    return AHEAD in request.headers


@login_not_required
@require_safe
@cache_control(no_cache=True)
def worker(request):
    """The service worker, from the root so that it stands before the whole site."""
    release = json.dumps(_release())
    text = f"const RELEASE = {release};\n{_worker()}"
    return HttpResponse(text, content_type="text/javascript")


def _release() -> dict:
    """What the worker must know of this release of the site."""
    return {
        # Changes with any static file.
        "version": getattr(staticfiles_storage, "manifest_hash", "") or "unnamed",
        "static": settings.STATIC_URL,
        "offline": reverse("offline"),
        "signOut": reverse("account_logout"),
    }


@cache
def _worker() -> str:
    with open(finders.find(WORKER), encoding="utf-8") as file:
        return file.read()


@login_not_required
@require_safe
def page(request):
    """What is shown in place of a page that is not there without a connection."""
    # Without the request: the device keeps it for whoever comes.
    return HttpResponse(render_to_string("offline.html"))
