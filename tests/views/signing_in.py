"""What a person does to sign up and in, for the tests of several pages."""

import re

from allauth.mfa.totp.internal.auth import (
    SECRET_SESSION_KEY,
    format_hotp_value,
    hotp_value,
    yield_hotp_counters_from_time,
)
from django.core import mail

from tests.factories import PASSWORD

NEW = {"name": "Nell New", "email": "nell@example.org", "password1": PASSWORD}


def sign_in(client, email, password=PASSWORD, **more):
    data = {"login": email, "password": password, **more}
    return client.post("/account/login/", data)


def code_in_mail():
    return re.search(r"^\w{4}-\w{4}$", mail.outbox[-1].body, re.MULTILINE).group()


def app_code(secret):
    """What an authenticator app shows now for the secret."""
    counter = next(iter(yield_hotp_counters_from_time()))
    return format_hotp_value(hotp_value(secret, counter))


def once_more(client, address):
    """Pages about the second step ask for the password once more."""
    question = client.get(address).url
    assert question.startswith("/account/reauthenticate/")
    data = {"password": PASSWORD, "next": address}
    answer = client.post(question, data, follow=True)
    assert answer.status_code == 200
    assert answer.request["PATH_INFO"] == address
    return answer


def set_up_app(client):
    """Add an authenticator app as the page about it says."""
    once_more(client, "/account/2fa/totp/activate/")
    code = app_code(client.session[SECRET_SESSION_KEY])
    return client.post("/account/2fa/totp/activate/", {"code": code})


def is_signed_in(client):
    return client.get("/you/profile/").status_code == 200


def reset_link():
    return re.search(r"http://testserver(\S+)", mail.outbox[-1].body).group(1)
