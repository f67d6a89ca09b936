"""A browser, people signed in with it, and a server whose pages they visit."""

import os
from pathlib import Path

import pytest
from django.conf import settings
from django.test import Client
from playwright.sync_api import expect, sync_playwright

from tests.browser.under_way import UNDER_WAY

# Playwright's sync interface runs an event loop, in which Django would refuse to query.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"

CHROMIUM = os.environ.get("TRAINER_CHROMIUM", "/usr/bin/chromium")
PHONE = {"width": 360, "height": 740}
DESKTOP = {"width": 1280, "height": 800}

expect.set_options(timeout=10_000)


@pytest.fixture(scope="session")
def chromium():
    """The browser; that it is missing is a failure, not a reason to skip."""
    if not Path(CHROMIUM).exists():
        pytest.fail(
            f"No browser at {CHROMIUM}: install chromium or set TRAINER_CHROMIUM."
        )
    as_root = ["--no-sandbox"] if os.geteuid() == 0 else []
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=CHROMIUM,
            args=[*as_root, "--disable-background-networking"],
        )
        yield browser
        browser.close()


def session_cookie(user, url):
    """The cookie of a fresh session in which the person is signed in."""
    client = Client()
    client.force_login(user)
    value = client.cookies[settings.SESSION_COOKIE_NAME].value
    return {"name": settings.SESSION_COOKIE_NAME, "value": value, "url": url}


class Visits:
    """Opens pages, and notes what a page must never do: errors, or requests elsewhere."""

    def __init__(self, browser, url):
        self.browser, self.url = browser, url
        self.contexts, self.errors = [], []

    def open(self, user=None, *, viewport=DESKTOP, **options):
        """A page of a new context, as on a device of its own; `user` is signed in.

        Without service workers, unless they are asked for: what they answer can't be routed.
        """
        options = {"service_workers": "block"} | options
        context = self.browser.new_context(
            base_url=self.url, viewport=viewport, **options
        )
        self.contexts.append(context)
        if user:
            context.add_cookies([session_cookie(user, self.url)])
        context.set_default_timeout(10_000)
        context.on("console", self._console)
        context.on("weberror", lambda error: self.errors.append(str(error.error)))
        context.on("request", self._request)
        context.on("response", self._response)
        return context.new_page()

    def _console(self, message):
        # A connection that a test takes away is reported by the browser itself.
        expected = ("Failed to load resource", "blocked by Playwright")
        if message.type in ("error", "warning") and not any(
            words in message.text for words in expected
        ):
            self.errors.append(message.text)

    def _request(self, request):
        if not request.url.startswith((self.url, "data:", "about:")):
            self.errors.append(f"a request to {request.url}")

    def _response(self, response):
        if "/static/" in response.url and response.status >= 400:
            self.errors.append(f"{response.status} for {response.url}")

    def close(self):
        """Close the pages and wait for what they asked for: the database is emptied next."""
        for context in self.contexts:
            context.close()
        UNDER_WAY.wait()


class Reader(Visits):
    """Pages that are only looked at, one after another in one window: what they share is loaded once."""

    def __init__(self, browser, url):
        super().__init__(browser, url)
        self.page = super().open(reduced_motion="reduce")

    def open(self, user=None, *, viewport=DESKTOP):
        """The window as new: signed in as `user` or nobody, in the light scheme."""
        self.errors.clear()
        context = self.page.context
        context.clear_cookies()
        if user:
            context.add_cookies([session_cookie(user, self.url)])
        self.page.emulate_media(color_scheme="light")
        self.page.set_viewport_size(viewport)
        return self.page

    def leave(self):
        """Nothing goes on behind an empty page, and nothing is kept for the next one."""
        if self.page.url != "about:blank":
            self.page.evaluate("() => { localStorage.clear(); sessionStorage.clear() }")
            self.page.goto("about:blank")
        UNDER_WAY.wait()


@pytest.fixture(scope="session")
def window(chromium, live_server):
    reader = Reader(chromium, live_server.url)
    yield reader
    reader.close()


@pytest.fixture
def reader(window, live_server):
    """Fails the test if a page had an error, broke the content policy or asked elsewhere."""
    yield window
    window.leave()
    assert window.errors == []


@pytest.fixture
def visits(chromium, live_server):
    """Fails the test if a page had an error, broke the content policy or asked elsewhere."""
    visits = Visits(chromium, live_server.url)
    yield visits
    visits.close()
    assert visits.errors == []
