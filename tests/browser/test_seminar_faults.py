"""A seminar's room when things go wrong that only a browser shows: a wrong clock, an empty rostrum, two tabs."""

import re
from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from tests.browser.conftest import PHONE
from tests.placing import placing_class
from tests.seminars import attendee, seminar, services, sitting
from trainer.seminars.models import Hand, Sitting

pytestmark = pytest.mark.django_db(transaction=True)
LEFT = re.compile(r"(\d+) min (\d+) s left")
SOON = 15_000


@pytest.fixture
def held(club, alice):
    return seminar(club, mentors=[alice])


@pytest.fixture
def phone_of(visits, held, bob):
    """A function that opens the room on Bob's phone."""
    services.check_in(attendee(held, bob), now=timezone.now())
    page = visits.open(bob, viewport=PHONE)

    def opened(fresh=False):
        shown = page.context.new_page() if fresh else page
        shown.goto(f"/seminars/{held.pk}/room/")
        return shown

    opened.page = page
    return opened


def place(page, *numbers):
    for number in numbers:
        page.locator(f'[data-number="{number}"]').click()


def hand_in(page):
    page.get_by_role("button", name="Hand in the placing").click()


def seconds_left(page):
    minutes, seconds = LEFT.search(page.locator("[data-left]").inner_text()).groups()
    return int(minutes) * 60 + int(seconds)


@pytest.mark.parametrize("hours", [-1, 1])
def test_a_phone_whose_clock_is_wrong_by_an_hour(phone_of, held, club, hours):
    one = sitting(held, placing_class(club), open=True, seconds=300)
    phone_of.page.clock.install(time=timezone.now() + timedelta(hours=hours))
    page = phone_of()
    wrong = page.evaluate("Date.now() / 1000") - timezone.now().timestamp()
    assert wrong == pytest.approx(3600 * hours, abs=60)
    expect(page.locator("[data-left]")).to_have_text(LEFT)
    page.wait_for_timeout(2000)
    left = (one.closes_at - timezone.now()).total_seconds()
    assert seconds_left(page) == pytest.approx(left, abs=3)

    # What is kept on the phone is found again by the same wrong clock, and goes in by the server's.
    place(page, 22, 11, 33, 44)
    page.reload()
    expect(page.locator("[data-placing]")).to_have_value("22-11-33-44")
    hand_in(page)
    expect(page.get_by_text("Your placing is in")).to_be_visible()
    hand = Hand.objects.handed_in().get()
    assert abs(timezone.now() - hand.handed_in_at) < timedelta(seconds=30)
    assert not hand.is_late
    expect(page.get_by_text(f"In at {hand.handed_in_at:%H:%M:%S}")).to_be_visible()


def test_the_time_runs_out_with_nobody_at_the_rostrum(phone_of, held, club, visits):
    one = sitting(held, placing_class(club), open=True, seconds=4)
    page = phone_of()
    place(page, 11, 22, 33, 44)
    expect(page.get_by_text("It is closed.")).to_be_visible(timeout=SOON)
    expect(page.locator("[data-placing]")).to_have_value("11-22-33-44")
    hand_in(page)
    expect(page.get_by_text("Your placing is in")).to_be_visible()
    one.refresh_from_db()
    assert (one.state, one.closed_at) == (
        Sitting.State.CLOSED,
        one.opened_at + timedelta(seconds=4),
    )
    assert not Hand.objects.get().is_late  # it was on its way

    rostrum = visits.open(held.mentors.get())
    rostrum.goto(f"/seminars/{held.pk}/rostrum/")
    expect(rostrum.get_by_role("link", name="Show the result").first).to_be_visible()


def test_two_tabs_of_one_phone(phone_of, held, club):
    sitting(held, placing_class(club), open=True, seconds=300)
    first = phone_of()
    second = phone_of(fresh=True)
    place(first, 11, 22, 33, 44)
    place(second, 44, 33, 22, 11)
    # The second tab must not hear of it by a look before its own answer is sent.
    looks = re.compile(r"/room/\?v=")
    second.route(looks, lambda route: route.abort())
    hand_in(first)
    expect(first.get_by_text("Your placing is in")).to_be_visible()
    hand_in(second)
    second.unroute(looks)
    expect(second.get_by_text("Your placing is in")).to_be_visible()
    assert Hand.objects.handed_in().get().answer["order"] == list("abcd")
    expect(second.locator(".hand-order")).to_contain_text(
        re.compile("11.*22.*33.*44", re.S)
    )
