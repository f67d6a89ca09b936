"""A seminar's room on six devices: rostrum, stage, three phones, the clerk; with a bad network in between."""

import re

import pytest
from playwright.sync_api import expect

from quizzes.models import Attempt
from tests.browser.axe import assert_accessible, assert_fits
from tests.browser.conftest import PHONE
from tests.factories import UserFactory
from tests.placing import placing_class
from tests.seminars import attendee, seminar, sitting
from trainer.seminars.models import Hand, Sitting

pytestmark = pytest.mark.django_db(transaction=True)
TABLET = {"width": 1024, "height": 768}
PROJECTOR = {"width": 1920, "height": 1080}
SOON = 15_000  # a phone looks every eight seconds while it waits


@pytest.fixture
def held(club, alice):
    made = seminar(club, mentors=[alice])
    sitting(made, placing_class(club, title="Open dogs"), seconds=600)
    return made


def joined(visits, held, *, user=None, name=""):
    """A phone that has come in by the code on the screen."""
    page = visits.open(user, viewport=PHONE)
    page.goto("/seminars/join/")
    page.get_by_label("The code on the screen").fill(held.join_code.lower())
    page.get_by_role("button", name="Go on").click()
    if name:
        page.get_by_role("textbox", name="Your name").fill(name)
        page.get_by_role("button", name="Sign in as a guest").click()
    else:
        page.get_by_role("button", name="Sign in to the room").click()
    expect(page.get_by_text("Nothing is asked yet.")).to_be_visible()
    return page


def tap(page, *numbers):
    expect(page.locator("[data-tap]")).to_be_visible(timeout=SOON)
    for number in numbers:
        page.locator(f'[data-number="{number}"]').click()


def hand_in(page):
    page.get_by_role("button", name="Hand in the placing").click()


def is_in(page):
    expect(page.get_by_text("Your placing is in")).to_be_visible()
    expect(
        page.get_by_text(re.compile(r"In at \d\d:\d\d:\d\d, receipt"))
    ).to_be_visible()


def test_a_class_a_discussion_and_the_class_again(visits, held, alice, bob, organiser):
    rostrum = visits.open(alice, viewport=TABLET)
    rostrum.goto(f"/seminars/{held.pk}/rostrum/")
    stage = visits.open(organiser, viewport=PROJECTOR)
    stage.goto(f"/seminars/{held.pk}/stage/")
    expect(stage.locator(".stage-code")).to_have_text(held.join_code)
    assert_accessible(stage)
    card = attendee(held, UserFactory(), name="Ann Marsh", number="17")
    carla = UserFactory(name="Carla Third")
    phones = [
        joined(visits, held, user=bob),
        joined(visits, held, user=carla),
        joined(visits, held, name="Gwen Pale"),
    ]
    expect(stage.get_by_text("3 are here")).to_be_visible()

    rostrum.get_by_role("button", name="Start: Open dogs").click()
    tap(phones[0], 22, 11, 33, 44)
    # A second tap takes a dog back; the others close up.
    tap(phones[0], 22)
    expect(phones[0].locator("[data-order]")).to_have_text("Your order: 11, 33, 44")
    tap(phones[0], 22)
    assert_fits(phones[0])
    assert_accessible(phones[0])
    hand_in(phones[0])
    is_in(phones[0])

    # The connection goes before the answer is sent, and the phone is closed and opened again.
    tap(phones[1], 44, 33, 22, 11)
    phones[1].context.set_offline(True)
    hand_in(phones[1])
    expect(phones[1].locator("[data-state]")).to_contain_text("No connection")
    phones[1].close()
    phones[1].context.set_offline(False)
    phones[1] = phones[1].context.new_page()
    phones[1].goto(f"/seminars/{held.pk}/room/")
    is_in(phones[1])

    # The server has stored it, and the phone never hears of it: it asks again and is told once.
    tap(phones[2], 11, 22, 33, 44)
    lost = []

    def lose(route):
        if lost:
            return route.continue_()
        lost.append(route.fetch().status)
        return route.abort()

    phones[2].route("**/hand-in/", lose)
    hand_in(phones[2])
    is_in(phones[2])
    assert lost == [200]
    assert Hand.objects.handed_in().count() == 3

    expect(stage.get_by_text("3 of 3 in")).to_be_visible()
    expect(rostrum.get_by_text("3 of 3 in")).to_be_visible()
    rostrum.get_by_role("link", name="Paper cards").click()
    rostrum.keyboard.type("17")
    rostrum.keyboard.press("Enter")
    rostrum.keyboard.type("11-22-44-33")
    rostrum.keyboard.press("Enter")
    expect(rostrum.get_by_text("Ann Marsh: 11-22-44-33. Next card.")).to_be_visible()
    expect(rostrum.get_by_label("Whose card: number or name")).to_be_focused()

    rostrum.goto(f"/seminars/{held.pk}/rostrum/")
    rostrum.get_by_role("button", name="Close it").click()
    expect(stage.get_by_role("heading", name="Closed")).to_be_visible()
    rostrum.get_by_role("button", name="Place it a second time").click()
    rostrum.get_by_role("button", name="Start: Open dogs, again").click()
    for page in phones:
        expect(page.get_by_role("heading", name="Open dogs, again")).to_be_visible(
            timeout=SOON
        )
        tap(page, 11, 22, 33, 44)
        hand_in(page)
        is_in(page)
    rostrum.reload()
    rostrum.get_by_role("button", name="Close it").click()
    rostrum.locator("#do-show").click()
    assert_accessible(rostrum)
    rostrum.get_by_role("button", name="Show it").click()
    expect(rostrum.get_by_text("Too few to show without showing who.")).to_be_visible()
    expect(stage.get_by_text("Too few to show without showing who.")).to_be_visible()
    for page in phones:
        expect(page.get_by_text("Every pair as the mentor has it")).to_be_visible(
            timeout=SOON
        )
    assert_fits(phones[0])
    assert_accessible(phones[0])
    text = stage.locator("main").inner_text()
    assert not any(name in text for name in ("Bob", "Carla", "Gwen", "Ann Marsh"))

    first, second = Sitting.objects.order_by("number")
    assert (first.state, second.state) == ("shown", "shown")
    assert (first.handed_in, second.handed_in) == (4, 3)
    assert second.result["change"]["n"] == 3
    # Twice for Bob and Carla, once for Ann's card; the guest has no record yet.
    assert Attempt.objects.count() == 5
    assert Attempt.objects.filter(trainee=card.person).count() == 1
