"""The page on which somebody deletes their account."""

import pytest
from django.core import mail

from tests.conftest import signed_in
from tests.factories import PASSWORD, UserFactory
from trainer.accounts.models import User

DELETE = "/you/delete/"


def test_page_says_what_goes_and_what_stays_and_offers_the_files_first(as_bob, bob):
    page = as_bob.get(DELETE).text
    assert page.index("/record/files/") < page.index('name="password"')
    assert "Your record: every attempt" in page
    assert "as plain counts" in page
    assert User.objects.filter(pk=bob.pk).exists()


def test_way_to_it_stands_in_the_account_and_beside_the_files(as_bob):
    for address in ("/you/profile/", "/record/files/"):
        assert f'href="{DELETE}"' in as_bob.get(address).text


@pytest.mark.parametrize("password", ["", "not the password"])
def test_nothing_is_deleted_without_the_password(as_bob, bob, password):
    response = as_bob.post(DELETE, {"password": password})
    assert response.status_code == 422
    assert User.objects.filter(pk=bob.pk).exists()


def test_account_goes_and_the_last_page_says_so(
    bob, django_capture_on_commit_callbacks
):
    phone, desk = signed_in(bob), signed_in(bob)
    with django_capture_on_commit_callbacks(execute=True):
        response = desk.post(DELETE, {"password": PASSWORD}, follow=True)
    assert response.request["PATH_INFO"] == "/you/deleted/"
    assert "Your account is deleted" in response.text
    assert not User.objects.filter(email="bob@example.org").exists()
    assert phone.get(DELETE).status_code == 302
    assert [sent.to for sent in mail.outbox] == [["bob@example.org"]]


def test_last_organiser_reads_what_to_do_first(as_organiser, organiser, bob, club):
    page = as_organiser.get(DELETE).text
    assert f"You are the only organiser of {club.name}." in page
    assert 'name="password"' not in page
    response = as_organiser.post(DELETE, {"password": PASSWORD})
    assert response.status_code == 422
    assert User.objects.filter(pk=organiser.pk).exists()


def test_guessing_the_password_is_slowed_down(as_bob, settings):
    settings.ACCOUNT_RATE_LIMITS = {"reauthenticate": "2/m/user"}
    answers = [as_bob.post(DELETE, {"password": "x"}).status_code for _n in range(3)]
    assert answers == [422, 422, 429]


@pytest.fixture
def without_password(db):
    def make(**more):
        user = UserFactory(verified=True, **more)
        user.set_unusable_password()
        user.save()
        return user

    return make


def test_whoever_has_a_second_step_alone_gives_it_once_more(without_password):
    user = without_password(second_step=True)
    client = signed_in(user)
    for response in (client.get(DELETE), client.post(DELETE, {"email": user.email})):
        assert response.status_code == 302
        assert "reauthenticate" in response.url
    assert User.objects.filter(pk=user.pk).exists()


def test_whoever_has_neither_gives_their_address_in_full(without_password):
    user = without_password()
    client = signed_in(user)
    assert 'name="password"' not in client.get(DELETE).text
    wrong = client.post(DELETE, {"email": "else@example.org"})
    assert wrong.status_code == 422
    assert User.objects.filter(pk=user.pk).exists()
    assert client.post(DELETE, {"email": user.email.upper()}).status_code == 302
    assert not User.objects.filter(pk=user.pk).exists()


def test_log_has_a_number_and_no_name(as_bob, bob, caplog):
    as_bob.post(DELETE, {"password": PASSWORD})
    assert f"account deleted: person {bob.pk}" in caplog.text
    assert "Bob Trainee" not in caplog.text
