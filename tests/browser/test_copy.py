"""The button beside an invitation link; without a script there is the link alone."""

import pytest
from playwright.sync_api import expect

from tests.conftest import member
from tests.factories import ClubFactory, InvitationFactory
from trainer.clubs.models import Role

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def invitation():
    return InvitationFactory(club=ClubFactory(slug="tarn-valley"))


@pytest.fixture
def organiser(invitation):
    return member(invitation.club, Role.ORGANISER, "Olive Organiser")


def test_link_is_copied(visits, organiser, invitation):
    page = visits.open(organiser, permissions=["clipboard-read", "clipboard-write"])
    page.goto("/clubs/tarn-valley/")
    page.get_by_role("button", name="Copy the link").press("Enter")
    expect(page.get_by_text("Copied.")).to_be_visible()
    copied = page.evaluate("navigator.clipboard.readText()")
    assert copied == f"{visits.url}{invitation.get_absolute_url()}"


def test_without_a_script_the_link_can_be_selected(visits, organiser, invitation):
    page = visits.open(organiser, java_script_enabled=False)
    page.goto("/clubs/tarn-valley/")
    expect(page.get_by_role("button", name="Copy the link")).to_be_hidden()
    field = page.get_by_label("As trainee, for one person")
    expect(field).to_have_value(f"{visits.url}{invitation.get_absolute_url()}")
