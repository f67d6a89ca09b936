"""What keeps people's accounts and data safe; tests/security_rows.py says which rule is which."""

import io
import json
import logging
import re
import subprocess
import sys
from importlib import import_module
from pathlib import Path
from types import SimpleNamespace

import pytest
from django.conf import settings
from django.core import mail
from django.test import Client

from tests.conftest import signed_in
from tests.factories import PASSWORD, ClubFactory, InvitationFactory, UserFactory
from tests.security_rows import ROWS
from tests.views.test_accounts import (
    NEW,
    code_in_mail,
    is_signed_in,
    person,  # noqa: F401 (a fixture)
    reset_link,
    set_up_app,
    sign_in,
)
from trainer.accounts.models import User
from trainer.logs import OneLineFormatter

ROOT = Path(__file__).resolve().parents[2]
HERE, ELSEWHERE = "198.51.100.7", "203.0.113.9"
RANDOM_KEY = "kf83-Qm2zP0-vR6tY1-uJ4xW9-bN5cL7-sD2hG8-aE3-wT7iO1-pA6"


def test_every_row_names_tests_that_exist():
    assert sorted(ROWS) == list(range(1, 47))
    for number, row in ROWS.items():
        assert bool(row.tests) != bool(row.not_yet), f"row {number}: tests or a reason"
        for test in row.tests:
            module, name = test.split("::")
            assert callable(getattr(import_module(module), name, None)), test


# Passwords


@pytest.mark.parametrize(
    ("password", "taken"),
    [
        ("the old dog lies by the gate and dreams of seven ewes on a hill!", True),
        ("seven e", False),
        ("password123", False),
        ("12345678910", False),
        ("nell@example.org", False),
    ],
)
def test_long_phrases_are_taken_and_weak_passwords_are_not(client, db, password, taken):
    client.post("/account/signup/", {**NEW, "password1": password})
    assert User.objects.filter(email=NEW["email"]).exists() is taken


def test_long_phrase_counts_to_its_last_letter(client, db):
    phrase = "the old dog lies by the gate and dreams of seven ewes on a hill!"
    assert len(phrase) == 64
    user = UserFactory(password=phrase, verified=True)
    assert sign_in(Client(), user.email, phrase[:-1] + "?").status_code == 200
    assert sign_in(client, user.email, phrase).status_code == 302


@pytest.mark.parametrize(
    ("address", "hints"),
    [
        ("login", {"email", "current-password"}),
        ("signup", {"name", "email", "new-password"}),
        ("password/reset", {"email"}),
    ],
)
def test_password_managers_and_pasting_work(client, db, address, hints):
    page = client.get(f"/account/{address}/").text
    assert set(re.findall(r'autocomplete="([\w-]+)"', page)) == hints


def test_no_script_of_ours_touches_pasting():
    scripts = [path.read_text() for path in (ROOT / "static" / "js").rglob("*.js")]
    assert not [text for text in scripts if "paste" in text]


# Throttles


def try_passwords(email, times, source, **headers):
    client = Client(REMOTE_ADDR=source, headers=headers)
    return [sign_in(client, email, f"guess {number}") for number in range(times)]


def test_failures_are_slowed_down_and_the_owner_still_gets_in(person):  # noqa: F811
    tries = try_passwords(person.email, 20, HERE)
    assert [answer.status_code for answer in tries] == [200] * 5 + [429] * 15
    assert int(tries[-1]["Retry-After"]) > 0
    right_from_there = sign_in(Client(REMOTE_ADDR=HERE), person.email)
    assert right_from_there.status_code == 429
    assert sign_in(Client(REMOTE_ADDR=ELSEWHERE), person.email).status_code == 302


def test_one_source_that_tries_many_accounts_is_slowed_down(db):
    tries = [
        try_passwords(f"person{number}@example.org", 1, HERE)[0] for number in range(21)
    ]
    assert [answer.status_code for answer in tries] == [200] * 20 + [429]


def test_a_hall_that_signs_in_from_one_address_is_not_slowed_down(db):
    for user in UserFactory.create_batch(40, verified=True):
        assert sign_in(Client(REMOTE_ADDR=HERE), user.email).status_code == 302


def test_forged_forwarding_does_not_help(person):  # noqa: F811
    tries = [
        try_passwords(person.email, 1, HERE, **{"X-Forwarded-For": f"192.0.2.{n}"})[0]
        for n in range(6)
    ]
    assert tries[-1].status_code == 429


def test_reset_mails_are_limited(client, person):  # noqa: F811
    for _ in range(8):
        answer = client.post("/account/password/reset/", {"email": person.email})
    assert answer.status_code == 429
    assert answer.has_header("Retry-After")
    assert len(mail.outbox) == 5


def test_codes_by_mail_cannot_be_guessed(client, db):
    client.post("/account/signup/", NEW)
    right = code_in_mail()
    for _ in range(3):
        client.post("/account/confirm-email/", {"code": "AAAA-AAAA"})
    client.post("/account/confirm-email/", {"code": right})
    assert not is_signed_in(client)


# Same answers for known and unknown addresses


def same_for_both(path, data_of, known):
    """The answers for an unknown and a known address, without address and token."""
    answers = []
    for email in ("unknown@example.org", known):
        client = Client()
        answer = client.post(path, data_of(email), follow=True)
        text = re.sub(r'name="csrfmiddlewaretoken" value="\w+"', "", answer.text)
        status = [*answer.redirect_chain, answer.status_code]
        answers.append((status, text.replace(email, "")))
    return answers


@pytest.mark.parametrize(
    ("path", "fields"),
    [
        ("/account/login/", {"login": None, "password": "wrong guess"}),
        ("/account/signup/", {**NEW, "email": None}),
        ("/account/password/reset/", {"email": None}),
    ],
)
def test_answers_do_not_tell_who_has_an_account(person, path, fields):  # noqa: F811
    def data_of(email):
        return {
            name: email if value is None else value for name, value in fields.items()
        }

    unknown, known = same_for_both(path, data_of, person.email)
    assert unknown == known


# Links


def test_reset_link_works_once_and_for_an_hour(client, person, settings):  # noqa: F811
    def form_shown(link):
        return 'name="password1"' in Client().get(link, follow=True).text

    assert settings.PASSWORD_RESET_TIMEOUT == 3600
    client.post("/account/password/reset/", {"email": person.email})
    link = reset_link()
    assert form_shown(link)
    settings.PASSWORD_RESET_TIMEOUT = -1
    assert not form_shown(link)
    settings.PASSWORD_RESET_TIMEOUT = 3600
    page = client.get(link, follow=True)
    new = {"password1": "nine wethers at a gate", "password2": "nine wethers at a gate"}
    client.post(page.request["PATH_INFO"], new)
    assert not form_shown(link)


def test_reset_does_not_skip_the_second_step(client, person):  # noqa: F811
    sign_in(client, person.email)
    set_up_app(client)
    other = Client()
    other.post("/account/password/reset/", {"email": person.email})
    page = other.get(reset_link(), follow=True)
    new = {"password1": "nine wethers at a gate", "password2": "nine wethers at a gate"}
    other.post(page.request["PATH_INFO"], new, follow=True)
    assert not is_signed_in(other)
    answer = sign_in(other, person.email, new["password1"])
    assert answer.url == "/account/2fa/authenticate/"
    assert not is_signed_in(other)


def test_unknown_code_tells_nothing(client, db):
    ClubFactory(name="Hidden Club")
    answer = client.get("/clubs/invitations/not-a-code/")
    assert answer.status_code == 404
    assert "Hidden Club" not in answer.text


# Sessions


def test_session_gets_a_new_id_at_sign_in(client, person):  # noqa: F811
    client.post("/you/theme/", {"theme": "dark"})
    session = client.session
    session["kept"] = "yes"
    session.save()
    before = client.cookies[settings.SESSION_COOKIE_NAME].value
    sign_in(client, person.email)
    assert client.cookies[settings.SESSION_COOKIE_NAME].value != before
    stale = Client()
    stale.cookies[settings.SESSION_COOKIE_NAME] = before
    assert not is_signed_in(stale)


def copy_of(client):
    """Another browser with the same session cookie."""
    copy = Client()
    copy.cookies[settings.SESSION_COOKIE_NAME] = client.cookies[
        settings.SESSION_COOKIE_NAME
    ].value
    return copy


def test_signing_out_ends_the_session_on_the_server(client, person):  # noqa: F811
    sign_in(client, person.email)
    copy = copy_of(client)
    assert is_signed_in(copy)
    client.post("/account/logout/")
    assert not is_signed_in(copy)


def test_disabling_a_person_ends_their_session(client, person):  # noqa: F811
    sign_in(client, person.email)
    User.objects.filter(pk=person.pk).update(is_active=False)
    assert not is_signed_in(client)


def test_new_password_ends_the_other_sessions(client, person):  # noqa: F811
    other = Client()
    sign_in(client, person.email)
    sign_in(other, person.email)
    new = "nine wethers at a gate"
    data = {"oldpassword": PASSWORD, "password1": new, "password2": new}
    client.post("/account/password/change/", data)
    assert is_signed_in(client)
    assert not is_signed_in(other)


@pytest.mark.parametrize(
    ("visits", "ends"),
    [
        ([settings.SESSION_IDLE_SECONDS - 60], False),
        ([settings.SESSION_IDLE_SECONDS + 60], True),
        (
            [settings.SESSION_TOTAL_SECONDS * share / 4 for share in (1, 2, 3, 3.9)],
            False,
        ),
        (
            [settings.SESSION_TOTAL_SECONDS * share / 4 for share in (1, 2, 3, 4.1)],
            True,
        ),
    ],
)
def test_session_ends_when_idle_or_old(stranger, monkeypatch, visits, ends):
    """Each number is a time of a visit in seconds after the first one."""
    clock = SimpleNamespace(time=lambda: clock.now, now=1_800_000_000)
    monkeypatch.setattr("trainer.middleware.time", clock)
    client = signed_in(stranger)
    assert is_signed_in(client)
    still_in = []
    for seconds in visits:
        clock.now = 1_800_000_000 + seconds
        still_in.append(is_signed_in(client))
    assert still_in == [True] * (len(visits) - 1) + [not ends]


# What is posted


def test_sign_up_cannot_make_staff(client, db):
    more = {"is_staff": "1", "is_superuser": "1", "is_active": "1", "theme": "dark"}
    client.post("/account/signup/", {**NEW, **more})
    user = User.objects.get(email=NEW["email"])
    assert (user.is_staff, user.is_superuser, user.theme) == (False, False, "")


def test_profile_takes_name_and_look_only(as_stranger, stranger):
    more = {"is_staff": "1", "email": "evil@example.org", "password": "x", "id": "1"}
    as_stranger.post("/you/profile/", {"name": "Stella", **more})
    stranger.refresh_from_db()
    assert (stranger.name, stranger.email) == ("Stella", "stella@example.org")
    assert not stranger.is_staff
    assert stranger.check_password(PASSWORD)


def test_club_forms_take_their_fields_only(as_organiser, club, other_club):
    as_organiser.post(
        "/clubs/tarn-valley/edit/", {"name": "Tarn", "slug": "moss", "id": 9}
    )
    club.refresh_from_db()
    assert (club.name, club.slug) == ("Tarn", "tarn-valley")
    more = {
        "club": other_club.pk,
        "used": "-5",
        "code": "easy",
        "expires_at": "2999-01-01",
    }
    data = {"role": "trainee", "places": "2", **more}
    as_organiser.post("/clubs/tarn-valley/invitations/create/", data)
    made = club.invitations.get()
    assert (made.used, made.code == "easy", made.expires_at.year < 2999) == (
        0,
        False,
        True,
    )


SCRIPTS = [
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "'-alert(1)-'",
]


@pytest.mark.parametrize("text", SCRIPTS)
def test_what_people_write_is_never_markup(client, alice, organiser, bob, club, text):
    club.name, club.about = text, f"{text}\n\n{text}"
    club.save()
    for user in (alice, organiser, bob):
        User.objects.filter(pk=user.pk).update(name=text)
        user.refresh_from_db()
    pages = [
        signed_in(bob).get("/clubs/"),
        signed_in(organiser).get("/clubs/tarn-valley/"),
        signed_in(organiser).get("/clubs/tarn-valley/leave/"),
        signed_in(organiser).get(f"/clubs/tarn-valley/members/{bob.pk}/"),
        signed_in(bob).get("/you/profile/"),
        client.get(InvitationFactory(club=club).get_absolute_url()),
    ]
    for page in pages:
        assert page.status_code == 200
        assert text not in page.text
    assert "alert(1)" in pages[0].text


@pytest.mark.parametrize("name", ["Eve\r\nBcc: all@example.org", "Eve\nSubject: Win"])
def test_names_cannot_add_headers_to_mails(client, db, name):
    client.post("/account/signup/", {**NEW, "name": name})
    message = mail.outbox[0].message()
    assert message.get_all("To") == [NEW["email"]]
    assert message.get_all("Bcc") is None
    assert len(message.get_all("Subject")) == 1
    assert "\n" not in User.objects.get(email=NEW["email"]).name


@pytest.mark.parametrize("address", ["a@b.org\r\nBcc: c@d.org", "a@b.org, c@d.org"])
def test_addresses_are_one_address(client, db, address):
    client.post("/account/signup/", {**NEW, "email": address})
    client.post("/account/password/reset/", {"email": address})
    assert mail.outbox == []


@pytest.mark.parametrize(
    "where",
    [
        "//evil.example/",
        "https:evil.example",
        "https://evil.example/",
        "\\\\evil.example",
        "/\\evil.example",
        "javascript:alert(1)",
        " //evil.example",
    ],
)
def test_the_way_back_never_leaves_the_site(client, person, where):  # noqa: F811
    assert sign_in(client, person.email, next=where).url == "/"
    data = {"theme": "dark", "next": where}
    assert client.post("/you/theme/", data).url == "/"
    assert client.post("/account/logout/", {"next": where}).url == "/"


def test_large_body_is_refused_before_it_is_read(as_stranger, monkeypatch):
    def read(*args):
        raise AssertionError("the body was read")

    monkeypatch.setattr("django.core.handlers.wsgi.LimitedStream.read", read)
    length = str(settings.REQUEST_BODY_LIMIT + 1)
    answer = as_stranger.post("/you/profile/", {"name": "x"}, CONTENT_LENGTH=length)
    assert answer.status_code == 413
    assert "8 MB" in answer.text


# Production, in a process of its own


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


# Logs


@pytest.fixture
def log():
    """Everything that is logged, as the site writes it."""
    stream = io.StringIO()
    handler = logging.StreamHandler(stream)
    console = settings.LOGGING["formatters"]["line"]
    handler.setFormatter(OneLineFormatter(console["format"], style=console["style"]))
    logging.getLogger().addHandler(handler)
    yield stream
    logging.getLogger().removeHandler(handler)


def test_log_tells_what_happened(client, person, log):  # noqa: F811
    client = Client(REMOTE_ADDR=HERE)
    try_passwords(person.email, 6, HERE)
    sign_in(Client(REMOTE_ADDR=ELSEWHERE), person.email)
    client.get("/admin/login/")
    lines = log.getvalue()
    assert f"sign-in refused: person - from {HERE}" in lines
    assert f"limit reached: person - from {HERE}" in lines
    assert f"signed in: person {person.pk} from {ELSEWHERE}" in lines


def test_log_holds_no_secrets(client, person, club, log):  # noqa: F811
    secrets = [PASSWORD, "planted guess", "planted\nline"]
    sign_in(client, person.email, "planted guess")
    sign_in(client, "planted\nline", "planted guess")
    client.post("/account/signup/", NEW)
    secrets.append(code_in_mail())
    client.post("/account/confirm-email/", {"code": secrets[-1]})
    client.post("/account/logout/")
    client.post("/account/password/reset/", {"email": person.email})
    secrets.append(reset_link().rstrip("/").rsplit("/", 1)[-1])
    client.delete(reset_link())
    link = InvitationFactory(club=club)
    secrets.append(link.code)
    client.put(link.get_absolute_url())
    Client(enforce_csrf_checks=True).post(link.get_absolute_url())
    sign_in(client, person.email)
    client.post(link.get_absolute_url())
    secrets.append(client.session.session_key)
    lines = log.getvalue()
    assert "/clubs/invitations/[code]/" in lines
    for secret in secrets:
        assert secret not in lines


def test_log_line_cannot_be_forged(client, log):
    client.get("/nowhere/%0A2026-01-01 INFO trainer.access signed in: person 1")
    assert "signed in" in log.getvalue()
    assert len(log.getvalue().splitlines()) == 1


# What addresses give away


def test_addresses_hold_no_personal_data():
    from django.urls import get_resolver

    from tests.views.test_access import NAMES

    parts = {
        part
        for name in NAMES
        for possibility in get_resolver().reverse_dict.getlist(name)
        for part in possibility[0][0][1]
    }
    assert not parts & {"email", "name", "user", "username", "token", "session"}
