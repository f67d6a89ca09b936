"""Signing up, in and out, the person's own page, the second step, the administration."""

import re
from urllib.parse import parse_qs, urlsplit

import pytest
from allauth.mfa.models import Authenticator
from django.core import mail
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tests.conftest import signed_in
from tests.factories import (
    PASSWORD,
    AttemptFactory,
    InvitationFactory,
    MembershipFactory,
    RevisionFactory,
    UserFactory,
)
from tests.views.signing_in import (
    NEW,
    code_in_mail,
    is_signed_in,
    once_more,
    reset_link,
    set_up_app,
    sign_in,
)
from trainer.accounts.models import User


def test_sign_up_asks_name_address_and_password_in_this_order(client, db):
    page = client.get("/account/signup/").text
    names = re.findall(r'<input type="(?:text|email|password)" name="(\w+)"', page)
    assert names == ["name", "email", "password1"]


def test_sign_up_needs_the_code_from_the_mail(client, db):
    assert client.post("/account/signup/", NEW).url == "/account/confirm-email/"
    assert not is_signed_in(client)
    assert mail.outbox[0].to == [NEW["email"]]
    assert mail.outbox[0].subject.startswith("Placing Room: ")
    wrong = client.post("/account/confirm-email/", {"code": "AAAA-AAAA"})
    assert not wrong.has_header("Location")
    assert not is_signed_in(client)
    answer = client.post("/account/confirm-email/", {"code": code_in_mail()})
    assert answer.url == "/"
    assert is_signed_in(client)
    assert User.objects.get(email=NEW["email"]).name == "Nell New"


def test_sign_up_says_beforehand_that_practising_takes_an_invitation(client, db):
    page = client.get("/account/signup/").text
    assert "invitation link" in page
    assert "found a club" in page


def test_sign_up_from_an_invitation_names_the_club(client, club):
    link = InvitationFactory(club=club)
    for page in ("signup", "login"):
        way = f"/account/{page}/?next={link.get_absolute_url()}"
        assert f"You are joining {club.name} as a trainee." in client.get(way).text
    asked = f"/account/signup/?next={link.get_absolute_url()}"
    assert "ask there first" not in client.get(asked).text
    refused = client.post(
        "/account/signup/", {"name": "", "next": link.get_absolute_url()}
    )
    assert f"You are joining {club.name}" in refused.text
    link.used = link.places
    link.save()
    for way in (asked, "/account/signup/?next=//else.example/x", "/account/signup/"):
        assert "You are joining" not in client.get(way).text


def test_way_to_a_new_password_stands_after_the_field(client, db):
    page = client.get("/account/login/").text
    assert page.count("Forgot your password?") == 1
    assert page.index('name="password"') < page.index("Forgot your password?")


def test_code_can_be_sent_again_and_works_for_the_minutes_that_are_said(
    client, db, settings
):
    settings.ACCOUNT_RATE_LIMITS = {"confirm_email": "2/10s/key"}
    client.post("/account/signup/", NEW)
    page = client.get("/account/confirm-email/").text
    assert "It works for 15 minutes." in page
    assert "Send the code again" in page
    assert "works for 15 minutes" in mail.outbox[0].body
    client.post("/account/confirm-email/", {"action": "resend"})
    assert len(mail.outbox) == 2
    assert mail.outbox[1].to == [NEW["email"]]
    client.post("/account/confirm-email/", {"code": code_in_mail()})
    assert is_signed_in(client)


def test_mistyped_address_is_left_for_another_before_it_is_confirmed(client, db):
    client.post("/account/signup/", {**NEW, "email": "nel@example.org"})
    page = client.get("/account/confirm-email/").text
    path = "/account/logout/?next=/account/signup/"
    assert f'action="{path}"' in page
    assert client.post(path).url == "/account/signup/"
    client.post("/account/signup/", NEW)
    assert mail.outbox[-1].to == [NEW["email"]]
    client.post("/account/confirm-email/", {"code": code_in_mail()})
    assert is_signed_in(client)


def visible(page):
    """The words of a page: its text, without markup."""
    return re.sub(r"<script.*?</script>|<[^>]+>", " ", page, flags=re.S)


def test_pages_and_mails_write_e_mail_alike_and_say_the_rules_in_a_sentence(
    client, person
):
    pages = [
        client.get(path).text
        for path in ("/account/signup/", "/account/login/", "/account/password/reset/")
    ]
    pages.append(client.post("/account/login/", {"login": "x", "password": "y"}).text)
    client.post("/account/signup/", {**NEW, "email": person.email})
    client.post("/account/password/reset/", {"email": person.email})
    client.post("/account/password/reset/", {"email": "nobody@example.org"})
    Client().post("/account/signup/", NEW)
    sign_in(client, person.email)
    pages += [client.get("/account/email/").text, client.get("/you/profile/").text]
    assert len(mail.outbox) == 4
    for each in mail.outbox:
        pages.append(each.subject + each.body)
    for page in pages:
        assert not re.search(r"\b[Ee]mail\b", visible(page)), page
    assert "At least eight characters" in pages[0]
    assert "<ul" not in pages[0].split("</form>")[0].split("<form")[-1]


def test_mail_about_a_change_writes_the_time_with_24_hours(client, person):
    sign_in(client, person.email)
    new = {"oldpassword": PASSWORD, "password1": "a grey gate in fog"}
    client.post("/account/password/change/", new | {"password2": new["password1"]})
    body = mail.outbox[-1].body
    assert re.search(r"time: \d+ \w+ \d{4}, \d\d:\d\d$", body, re.M), body


def test_sign_up_keeps_what_was_typed(client, db):
    answer = client.post("/account/signup/", {**NEW, "password1": "short"})
    assert "<title>Error:" in answer.text
    assert 'value="Nell New"' in answer.text
    assert "short" not in re.findall(r'value="([^"]*)"', answer.text)


def test_sign_in_and_out(client, person):
    assert sign_in(client, person.email.upper()).url == "/"
    assert is_signed_in(client)
    assert "Sign out" in client.get("/account/logout/").text
    assert is_signed_in(client)
    assert client.post("/account/logout/").url == "/"
    assert not is_signed_in(client)


def test_whoever_wanted_a_page_gets_it_after_signing_in(client, person):
    wanted = client.get("/clubs/?page=2").url
    assert wanted == "/account/login/?next=/clubs/%3Fpage%3D2"
    assert 'name="next" value="/clubs/?page=2"' in client.get(wanted).text
    assert sign_in(client, person.email, next="/clubs/?page=2").url == "/clubs/?page=2"


def test_forgotten_password_is_replaced_by_link(client, person):
    client.post("/account/password/reset/", {"email": person.email})
    form = client.get(reset_link(), follow=True)
    new = {"password1": "nine wethers at a gate", "password2": "nine wethers at a gate"}
    answer = client.post(form.request["PATH_INFO"], new, follow=True)
    assert answer.status_code == 200
    assert sign_in(Client(), person.email).status_code == 200
    assert sign_in(Client(), person.email, new["password1"]).status_code == 302


def test_password_is_changed(client, person):
    sign_in(client, person.email)
    new = "nine wethers at a gate"
    data = {"oldpassword": PASSWORD, "password1": new, "password2": new}
    assert client.post("/account/password/change/", data).status_code == 302
    assert "password" in mail.outbox[-1].body.lower()
    assert sign_in(Client(), person.email, new).status_code == 302


def test_wrong_old_password_changes_nothing(client, person):
    sign_in(client, person.email)
    new = "nine wethers at a gate"
    data = {"oldpassword": "guessed", "password1": new, "password2": new}
    assert "<title>Error:" in client.post("/account/password/change/", data).text
    person.refresh_from_db()
    assert person.check_password(PASSWORD)


def test_address_is_changed_once_the_new_one_is_confirmed(client, person):
    sign_in(client, person.email)
    client.post("/account/email/", {"email": "new@example.org", "action_add": ""})
    person.refresh_from_db()
    assert person.email == "pat@example.org"
    client.post("/account/confirm-email/", {"code": code_in_mail()})
    person.refresh_from_db()
    assert person.email == "new@example.org"


def test_profile_changes_name_and_look(as_stranger, stranger):
    data = {"name": "  Stella \r\n Strange ", "theme": "dark"}
    assert as_stranger.post("/you/profile/", data).status_code == 302
    stranger.refresh_from_db()
    assert (stranger.name, stranger.theme) == ("Stella Strange", "dark")
    assert 'data-theme="dark"' in as_stranger.get("/you/profile/").text


@pytest.mark.parametrize("data", [{"name": " "}, {"name": "x", "theme": "pink"}])
def test_profile_refuses_nonsense(as_stranger, stranger, data):
    answer = as_stranger.post("/you/profile/", data)
    assert answer.status_code == 422
    stranger.refresh_from_db()
    assert stranger.name == "Stella Stranger"


def test_profile_links_to_all_about_signing_in(as_stranger):
    page = as_stranger.get("/you/profile/").text
    for address in ("email", "password/change", "2fa", "logout"):
        assert f'"/account/{address}/"' in page


def test_look_is_kept_for_visitors_too(client, db):
    answer = client.post("/you/theme/", {"theme": "dark", "next": "/account/login/"})
    assert answer.url == "/account/login/"
    assert 'data-theme="dark"' in client.get("/account/login/").text


def test_second_step_is_offered_to_who_teaches_or_runs(
    as_alice, as_organiser, as_bob, alice
):
    offer = "a second step protects"
    assert (
        f"You teach in a club: {offer} its keys" in as_alice.get("/you/profile/").text
    )
    assert f"You run a club: {offer}" in as_organiser.get("/you/profile/").text
    assert offer not in as_bob.get("/you/profile/").text
    alice.authenticator_set.create(type=Authenticator.Type.TOTP, data={"secret": "A"})
    assert offer not in as_alice.get("/you/profile/").text


def test_app_as_second_step_is_set_up_and_asked_for(client, person):
    sign_in(client, person.email)
    answer = set_up_app(client)
    assert answer.url == "/account/2fa/recovery-codes/"
    assert client.get(answer.url).status_code == 200
    other = Client()
    assert sign_in(other, person.email).url == "/account/2fa/authenticate/"
    assert not is_signed_in(other)
    assert other.get("/account/2fa/authenticate/").status_code == 200
    other.post("/account/2fa/authenticate/", {"code": "000000"})
    assert not is_signed_in(other)


def test_spare_code_stands_in_for_the_app_once(client, person):
    sign_in(client, person.email)
    set_up_app(client)
    codes = person.authenticator_set.get(type="recovery_codes").wrap()
    spare = codes.get_unused_codes()[0]
    for works in (True, False):
        other = Client()
        sign_in(other, person.email)
        other.post("/account/2fa/authenticate/", {"code": spare})
        assert is_signed_in(other) is works


def test_passkey_can_be_added_and_used_to_sign_in(client, person):
    """The pages hand the browser what it needs; the ceremony itself needs a browser."""
    assert 'id="passkey_login"' in client.get("/account/login/").text
    sign_in(client, person.email)
    page = once_more(client, "/account/2fa/webauthn/add/").text
    assert '"publicKey"' in page
    assert 'src="/static/mfa/js/webauthn.js"' in page


def test_expired_sign_in_never_lands_in_a_panel(client, db):
    answer = client.get(
        "/clubs/",
        headers={
            "HX-Request": "true",
            "HX-Current-URL": "http://testserver/clubs/?a=1&b=2",
        },
    )
    assert answer.status_code == 200
    assert answer.text == ""
    target = urlsplit(answer["HX-Redirect"])
    assert target.path == "/account/login/"
    assert parse_qs(target.query) == {"next": ["/clubs/?a=1&b=2"]}


def staff(**more):
    return UserFactory(is_staff=True, is_superuser=True, verified=True, **more)


def test_admin_sends_staff_without_second_step_to_set_one_up(db):
    client = signed_in(staff())
    answer = client.get("/admin/", follow=True)
    assert [url for url, _ in answer.redirect_chain][-1] == "/account/2fa/"
    assert "needs a second step" in answer.text
    assert client.post("/admin/clubs/club/add/", {"name": "x"}).status_code == 302


def test_admin_refuses_everybody_else(as_alice, client):
    assert as_alice.get("/admin/", follow=True).status_code == 403
    answer = client.get("/admin/", follow=True)
    assert answer.request["PATH_INFO"] == "/account/login/"


@pytest.fixture
def as_staff(db):
    """Site staff with a second step, who see every row there is."""
    return signed_in(staff(second_step=True))


LISTS = [
    "accounts/user",
    "account/emailaddress",
    "mfa/authenticator",
    "clubs/club",
    "clubs/membership",
    "clubs/invitation",
    "study/breed",
    "study/module",
    "study/modulerevision",
    "study/priority",
    "study/step",
    "study/fault",
    "quizzes/exercise",
    "quizzes/revision",
    "quizzes/attempt",
    "quizzes/grade",
    "quizzes/tally",
]


def fill():
    """One more row of each list, each with relations of its own."""
    attempt = AttemptFactory(
        revision=RevisionFactory(), trainee__second_step=True, trainee__verified=True
    )
    attempt.grades.create(
        revision=attempt.revision, graded_at=attempt.started_at, result={}
    )
    attempt.revision.tallies.create(item="14", value="1")
    MembershipFactory()
    InvitationFactory(made_by=UserFactory())


@pytest.mark.parametrize("address", LISTS)
def test_admin_lists_do_not_query_by_row(as_staff, address):
    def queries():
        with CaptureQueriesContext(connection) as counted:
            assert as_staff.get(f"/admin/{address}/").status_code == 200
        return len(counted)

    fill()
    queries()  # the first request of a session notes the time
    few = queries()
    for _ in range(4):
        fill()
    assert queries() == few


@pytest.mark.parametrize("address", LISTS)
def test_admin_opens_a_row(as_staff, address):
    fill()
    page = as_staff.get(f"/admin/{address}/").text
    link = re.search(rf'href="(/admin/{address}/\d+/change/[^"]*)"', page).group(1)
    assert as_staff.get(link).status_code == 200


@pytest.mark.parametrize("address", ["study/modulerevision", "study/priority"])
def test_admin_does_not_change_what_is_published(as_staff, address):
    fill()
    page = as_staff.get(f"/admin/{address}/").text
    link = re.search(rf'href="(/admin/{address}/\d+/change/[^"]*)"', page).group(1)
    assert 'name="_save"' not in as_staff.get(link).text
    assert as_staff.post(link, {"title": "Changed"}).status_code == 403


def test_admin_shows_nobody_the_secret_of_a_second_step(as_staff):
    authenticator = UserFactory(second_step=True).authenticator_set.get()
    page = as_staff.get(f"/admin/mfa/authenticator/{authenticator.pk}/change/").text
    assert authenticator.data["secret"] not in page
    assert as_staff.get("/admin/mfa/authenticator/add/").status_code == 403
