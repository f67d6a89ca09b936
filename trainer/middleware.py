"""What holds for every request: size, session limits, htmx, caching."""

import time
from urllib.parse import urlencode

from django.conf import settings
from django.contrib.auth import logout
from django.shortcuts import render, resolve_url
from django.utils.cache import add_never_cache_headers, patch_vary_headers
from django.utils.functional import SimpleLazyObject
from django_htmx.http import HttpResponseClientRedirect

from trainer.clubs.models import Membership

SEEN_EVERY = 3600


class BodyLimit:
    """Refuses a request whose body is larger than the limit, before anything of it is read.

    Stands last, so that the refusal is a page like every other; no middleware before it
    reads the body (the CSRF check does so later, when the view is about to be called).
    """

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        length = request.META.get("CONTENT_LENGTH") or "0"
        most = settings.LARGER_BODIES.get(
            request.path_info, settings.REQUEST_BODY_LIMIT
        )
        if not length.isdigit() or int(length) > most:
            limit = most // (1024 * 1024)
            return render(request, "413.html", {"limit": limit}, status=413)
        return self.get_response(request)


class SessionLimits:
    """Ends a session that was idle too long or is too old; the person signs in again.

    The time of the last request is written once an hour only, so that reading a page stays a read.
    """

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        session = request.session
        if session.session_key and "_auth_user_id" in session:
            now = int(time.time())
            began, seen = session.get("began"), session.get("seen")
            if began is None or seen is None:
                session["began"], session["seen"] = now, now
            elif (
                now - began > settings.SESSION_TOTAL_SECONDS
                or now - seen > settings.SESSION_IDLE_SECONDS
            ):
                logout(request)
            elif now - seen > SEEN_EVERY:
                session["seen"] = now
        return self.get_response(request)


class RolesOnce:
    """A page that is only read asks once which roles the person holds, however often they are needed.

    Where something is written nothing is kept, so that no role just taken is still acted on.
    """

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        user = request.user
        if request.method in ("GET", "HEAD") and user.is_authenticated:
            user.roles_held = SimpleLazyObject(
                lambda: Membership.objects.roles_by_club(user)
            )
        return self.get_response(request)


class HtmxResponses:
    """Page and fragment share a URL, so caches must tell them apart; an expired sign-in never lands in a panel."""

    def __init__(self, get_response):
        self.get_response = get_response
        self.login_url = resolve_url(settings.LOGIN_URL)

    def __call__(self, request):
        response = self.get_response(request)
        if (
            request.htmx
            and response.status_code == 302
            and response.url.startswith(self.login_url)
        ):
            here = request.htmx.current_url_abs_path or "/"
            query = urlencode({"next": here})
            response = HttpResponseClientRedirect(f"{self.login_url}?{query}")
        patch_vary_headers(response, ["HX-Request"])
        return response


class PrivatePages:
    """Pages of a person who is signed in are not kept by browsers or proxies, unless the view says otherwise."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        response = self.get_response(request)
        if request.user.is_authenticated and not response.has_header("Cache-Control"):
            add_never_cache_headers(response)
        return response
