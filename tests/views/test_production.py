"""The site as production runs it, in a process of its own."""

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.exceptions import ImproperlyConfigured

from trainer.env import env_site

ROOT = Path(__file__).resolve().parents[2]
RANDOM_KEY = "kf83-Qm2zP0-vR6tY1-uJ4xW9-bN5cL7-sD2hG8-aE3-wT7iO1-pA6"


def run(arguments, folder, **environment):
    return subprocess.run(
        [sys.executable, "-W", "ignore", *arguments],
        cwd=ROOT,
        env={"PATH": "/usr/bin:/bin", "TRAINER_VAR_DIR": str(folder), **environment},
        capture_output=True,
        text=True,
    )


@pytest.fixture(scope="module")
def production(tmp_path_factory):
    """What production answers, by name of the visit (production_visit.py)."""
    folder = tmp_path_factory.mktemp("var")
    module = ["-m", "tests.views.production_visit"]
    done = run(module, folder, TRAINER_SECRET_KEY=RANDOM_KEY)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_production_answers_as_expected(production):
    statuses = {name: told["status"] for name, told in production.items()}
    assert statuses == {
        "plain http": 301,
        "sign-in page": 200,
        "health": 200,
        "not found": 404,
        "too large": 413,
        "wrong host": 400,
        "look": 302,
        "signed in": 302,
        "profile": 200,
        "refused": 403,
        "no token": 403,
        "limit": 429,
        "broken": 500,
    }


def over_tls(production):
    return {name: told for name, told in production.items() if name != "plain http"}


def test_every_page_carries_the_content_policy(production):
    for name, told in over_tls(production).items():
        rules = dict(
            rule.strip().split(" ", 1)
            for rule in told["headers"]["Content-Security-Policy"].split(";")
        )
        assert rules["default-src"] == "'self'", name
        assert rules.get("script-src", "'self'") == "'self'", name
        for rule in ("object-src", "base-uri", "frame-ancestors"):
            assert rules[rule] == "'none'", name


def test_no_page_has_inline_script_or_style(production):
    for name, told in production.items():
        inline = re.findall(
            r"<script(?![^>]*\b(?:src|type=\"application/json\"))", told["text"]
        )
        assert not inline, name
        assert not re.search(r"<style|\sstyle=|\son\w+=\"", told["text"]), name


def test_every_page_carries_the_other_headers(production):
    for name, told in over_tls(production).items():
        headers = told["headers"]
        assert headers["Strict-Transport-Security"].startswith("max-age=31536000"), name
        assert "includeSubDomains" in headers["Strict-Transport-Security"], name
        assert headers["X-Content-Type-Options"] == "nosniff", name
        assert headers["Referrer-Policy"] == "same-origin", name


def test_plain_http_leads_to_tls(production):
    assert production["plain http"]["headers"]["Location"].startswith("https://")


def test_every_cookie_is_out_of_reach(production):
    set_cookies = [
        (name, cookie)
        for told in production.values()
        for name, cookie in told["cookies"].items()
        if "1970" not in cookie["expires"]
    ]
    names = {name for name, _ in set_cookies}
    assert {"__Host-session", "__Host-csrf"} <= names
    assert names - {"__Host-session", "__Host-csrf"} <= {"theme", "messages"}
    for name, cookie in set_cookies:
        assert cookie["secure"], name
        assert cookie["httponly"], name
        assert cookie["samesite"] == "Lax", name
        assert (cookie["path"], cookie["domain"]) == ("/", ""), name


def test_personal_pages_are_not_kept(production):
    for name in ("profile", "refused", "signed in"):
        assert "no-store" in production[name]["headers"]["Cache-Control"], name


def test_broken_page_shows_no_trace(production):
    page = production["broken"]["text"]
    assert "Something went wrong" in page
    for word in ("planted", "Traceback", "RuntimeError", "site-packages", ".py"):
        assert word not in page


@pytest.mark.parametrize(
    ("sent", "origins", "https", "site"),
    [
        (
            "https://room.example.org/",
            ["https://a.example"],
            True,
            "https://room.example.org",
        ),
        ("", ["https://a.example", "https://b.example"], True, "https://a.example"),
        ("", [], True, "https://host.example"),
        ("", [], False, "http://localhost:8000"),
    ],
)
def test_mails_that_go_out_by_themselves_know_the_site(
    monkeypatch, sent, origins, https, site
):
    monkeypatch.setenv("TRAINER_SITE", sent)
    found = env_site("TRAINER_SITE", origins, ["host.example"], https=https)
    assert found == site


def test_an_address_of_the_site_that_is_none_is_refused(monkeypatch):
    monkeypatch.setenv("TRAINER_SITE", "room.example.org")
    with pytest.raises(ImproperlyConfigured, match="must begin with https://"):
        env_site("TRAINER_SITE", [], [], https=True)


def test_deployment_check_is_clean(tmp_path):
    arguments = ["manage.py", "check", "--deploy", "--fail-level", "WARNING"]
    done = run(arguments, tmp_path, TRAINER_SECRET_KEY=RANDOM_KEY)
    assert done.returncode == 0, done.stderr
    assert "no issues" in done.stdout + done.stderr


@pytest.mark.parametrize(
    "key", ["", "debug-only", RANDOM_KEY[:49], "django-insecure-" + RANDOM_KEY]
)
def test_production_does_not_start_without_a_key_of_its_own(tmp_path, key):
    done = run(["manage.py", "check"], tmp_path, TRAINER_SECRET_KEY=key)
    assert done.returncode != 0
    assert "Set TRAINER_SECRET_KEY" in done.stderr
