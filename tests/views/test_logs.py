"""What the log tells, and what it keeps to itself."""

import io
import logging

import pytest
from django.conf import settings
from django.test import Client

from tests.factories import PASSWORD, InvitationFactory
from tests.views.signing_in import (
    NEW,
    code_in_mail,
    reset_link,
    sign_in,
)
from tests.views.test_security import ELSEWHERE, HERE, try_passwords
from trainer.logs import OneLineFormatter


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


def test_log_tells_what_happened(client, person, log):
    client = Client(REMOTE_ADDR=HERE)
    try_passwords(person.email, 6, HERE)
    sign_in(Client(REMOTE_ADDR=ELSEWHERE), person.email)
    client.get("/admin/login/")
    lines = log.getvalue()
    assert f"sign-in refused: person - from {HERE}" in lines
    assert f"limit reached: person - from {HERE}" in lines
    assert f"signed in: person {person.pk} from {ELSEWHERE}" in lines


def test_log_holds_no_secrets(client, person, club, log):
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
