"""Visits pages as production serves them and prints what came back, as JSON.

Runs in a process of its own, because settings are read once (test_security.py starts it).
"""

import json
import os

import django

os.environ["DJANGO_SETTINGS_MODULE"] = "trainer.settings"
django.setup()

from django.conf import settings  # noqa: E402
from django.core.management import call_command  # noqa: E402
from django.test import Client  # noqa: E402
from django.test.utils import override_settings  # noqa: E402

PASSWORD = "seven ewes on a windy hill"
PLAIN_FILES = {
    **settings.STORAGES,
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}


def told(response):
    """Status, headers, cookies with their attributes, and the page."""
    cookies = {name: dict(morsel) for name, morsel in response.cookies.items()}
    headers = dict(response.headers)
    text = "" if response.streaming else response.content.decode()
    return {
        "status": response.status_code,
        "headers": headers,
        "cookies": cookies,
        "text": text,
    }


def broken(*args, **kwargs):
    raise RuntimeError("planted for the test")


def visits():
    from allauth.account.models import EmailAddress

    from trainer import views
    from trainer.accounts.models import User

    user = User.objects.create_user("pat@example.org", PASSWORD, name="Pat")
    EmailAddress.objects.create(
        user=user, email=user.email, verified=True, primary=True
    )
    guest = Client(raise_request_exception=False, headers={"host": "localhost"})
    pat = Client(raise_request_exception=False, headers={"host": "localhost"})
    sign_in = {"login": user.email, "password": PASSWORD}
    huge = {"CONTENT_LENGTH": str(settings.REQUEST_BODY_LIMIT + 1)}
    yield "plain http", guest.get("/account/login/")
    yield "sign-in page", guest.get("/account/login/", secure=True)
    yield "health", guest.get("/health/", secure=True)
    yield "not found", guest.get("/nowhere/", secure=True)
    yield "too large", guest.post("/you/theme/", secure=True, **huge)
    yield "wrong host", guest.get("/", secure=True, headers={"host": "evil.example"})
    yield "look", guest.post("/you/theme/", {"theme": "dark"}, secure=True)
    yield "signed in", pat.post("/account/login/", sign_in, secure=True)
    yield "profile", pat.get("/you/profile/", secure=True)
    yield "refused", pat.get("/admin/login/", secure=True)
    strict = Client(enforce_csrf_checks=True, headers={"host": "localhost"})
    yield "no token", strict.post("/account/login/", sign_in, secure=True)
    for _ in range(6):
        slow = guest.post("/account/login/", {**sign_in, "password": "x"}, secure=True)
    yield "limit", slow
    views.render = broken
    yield "broken", guest.get("/", secure=True)


call_command("migrate", verbosity=0)
call_command("createcachetable")
with override_settings(STORAGES=PLAIN_FILES, DEBUG=False):
    print(json.dumps({name: told(response) for name, response in visits()}))
