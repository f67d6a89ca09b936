"""What keeps people's accounts and data safe; tests/security_rows.py says which rule is which."""

import ast
import re
from importlib import import_module
from pathlib import Path
from types import SimpleNamespace

import pytest
from django.conf import settings
from django.core import mail
from django.test import Client
from django.urls import URLResolver, get_resolver

from tests.conftest import signed_in
from tests.factories import PASSWORD, ClubFactory, UserFactory
from tests.security_rows import ROWS
from tests.views.signing_in import (
    NEW,
    code_in_mail,
    is_signed_in,
    reset_link,
    set_up_app,
    sign_in,
)
from trainer.accounts.models import User

ROOT = Path(__file__).resolve().parents[2]
HERE, ELSEWHERE = "198.51.100.7", "203.0.113.9"


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


def test_failures_are_slowed_down_and_the_owner_still_gets_in(person):
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


def test_forged_forwarding_does_not_help(person):
    tries = [
        try_passwords(person.email, 1, HERE, **{"X-Forwarded-For": f"192.0.2.{n}"})[0]
        for n in range(6)
    ]
    assert tries[-1].status_code == 429


def test_reset_mails_are_limited(client, person):
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
def test_answers_do_not_tell_who_has_an_account(person, path, fields):
    def data_of(email):
        return {
            name: email if value is None else value for name, value in fields.items()
        }

    unknown, known = same_for_both(path, data_of, person.email)
    assert unknown == known


# Links


def test_reset_link_works_once_and_for_an_hour(client, person, settings):
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


def test_reset_does_not_skip_the_second_step(client, person):
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


def test_session_gets_a_new_id_at_sign_in(client, person):
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


def test_signing_out_ends_the_session_on_the_server(client, person):
    sign_in(client, person.email)
    copy = copy_of(client)
    assert is_signed_in(copy)
    client.post("/account/logout/")
    assert not is_signed_in(copy)


def test_disabling_a_person_ends_their_session(client, person):
    sign_in(client, person.email)
    User.objects.filter(pk=person.pk).update(is_active=False)
    assert not is_signed_in(client)


def test_new_password_ends_the_other_sessions(client, person):
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
    sent = {"name": "Tarn", "months_kept": 24, "slug": "moss", "id": 9}
    as_organiser.post("/clubs/tarn-valley/edit/", sent)
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
def test_the_way_back_never_leaves_the_site(client, person, where):
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


# What addresses give away


def parts_of_addresses(resolver=None):
    """The names of all parts of addresses that differ from object to object."""
    for pattern in (resolver or get_resolver()).url_patterns:
        yield from pattern.pattern.regex.groupindex
        if isinstance(pattern, URLResolver):
            yield from parts_of_addresses(pattern)


MAKE_OBJECTS = {"dill", "jsonpickle", "marshal", "pickle", "shelve", "yaml"}


def test_nothing_reads_what_makes_objects():
    """No module of ours imports a reader that builds objects from what it reads."""
    found = set()
    for folder in ("trainer", "quizzes"):
        for path in (settings.BASE_DIR / folder).rglob("*.py"):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.Import):
                    found |= {one.name.partition(".")[0] for one in node.names}
                elif isinstance(node, ast.ImportFrom):
                    found.add((node.module or "").partition(".")[0])
    assert {"json", "csv"} <= found
    assert not found & MAKE_OBJECTS


def test_addresses_hold_no_personal_data():
    parts = set(parts_of_addresses())
    assert {"pk", "slug", "code"} <= parts
    assert not parts & {"email", "name", "user", "username", "token", "session"}
