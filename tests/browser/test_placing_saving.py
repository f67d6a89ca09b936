"""Nothing lost, nothing doubled: lost connections and replies, two devices, ended sessions, a restart."""

import re

import pytest
from django.conf import settings
from django.contrib.sessions.models import Session
from django.utils import timezone
from playwright.sync_api import expect

from quizzes import attempts
from quizzes.models import Attempt, Grade
from tests.browser.conftest import PHONE, session_cookie
from tests.browser.restarting import restarting_server
from tests.browser.ring import (
    address,
    attempt_at,
    board,
    card,
    expect_order,
    expect_saved,
    hand_in_button,
    place,
    save_state,
    stored_order,
)

pytestmark = pytest.mark.django_db(transaction=True)

RESULT = re.compile(r"/attempts/\d+/result/$")


def slip(page):
    return board(page).locator("[data-slip]:visible")


def kept_here(page):
    """The order that this device keeps because the server does not have it; None for none."""
    record = page.evaluate("JSON.parse(Object.values(localStorage)[0] ?? 'null')")
    return None if not record or record["saved"] else "".join(record["answer"]["order"])


def count_saves(page):
    """The answers that the server gave to saves from now on, in a list that grows."""
    given = []
    page.on(
        "response",
        lambda answer: "/save/" in answer.url and given.append(answer.status),
    )
    return given


def lose_reply(page, address):
    """The next request to the address reaches the server, but its reply is lost."""

    def swallow(route):
        route.fetch(max_redirects=0)
        route.abort()

    page.route(address, swallow, times=1)


def test_lost_connection_keeps_moves_and_sends_them_once(visits, club, bob):
    attempt = attempt_at(club, bob)
    page = visits.open(bob, viewport=PHONE)
    page.goto(address(attempt))
    place(page, "a")
    expect_saved(page)
    page.context.set_offline(True)
    place(page, "b", "c")
    expect(save_state(page)).to_have_text(re.compile("Not saved yet"))
    expect(slip(page)).to_contain_text("No connection since")
    expect(page.locator("[data-save-said]")).to_have_text(
        re.compile(r"Not saved yet\. No connection since \d\d:\d\d\. Your placing is")
    )
    strip = page.get_by_role("complementary", name="Your placing in short")
    expect(strip.locator("[data-save-state] p:visible")).to_contain_text("Not saved")
    assert kept_here(page) == "abc"
    assert stored_order(attempt) == [11]

    saves = count_saves(page)
    page.context.set_offline(False)
    expect_saved(page)
    expect(slip(page)).to_have_count(0)
    assert saves == [200]
    assert stored_order(attempt) == [11, 22, 33]
    assert kept_here(page) is None


def test_closed_without_connection_goes_on_where_it_was(visits, club, bob):
    attempt = attempt_at(club, bob)
    page = visits.open(bob)
    page.goto(address(attempt))
    page.context.set_offline(True)
    place(page, "d", "e")
    expect(save_state(page)).to_have_text(re.compile("Not saved yet"))
    context = page.context
    page.close()
    context.set_offline(False)
    again = context.new_page()
    again.goto(address(attempt))
    expect_order(again, "d", "e")
    expect_saved(again)
    assert stored_order(attempt) == [44, 55]


def test_save_that_ends_while_the_page_is_on_its_way_is_shown(visits, club, bob):
    """Reloaded just as the connection returns: the page was rendered before the save arrived."""
    attempt = attempt_at(club, bob)
    page = visits.open(bob, viewport=PHONE)
    page.goto(address(attempt))
    place(page, "a")
    expect_saved(page)
    page.route("**/save/", lambda route: route.abort())
    place(page, "b", "c")
    expect(save_state(page)).to_have_text(re.compile("Not saved yet"))

    rendered = page.request.get(address(attempt))
    page.unroute("**/save/")
    page.evaluate("dispatchEvent(new Event('online'))")
    expect_saved(page)
    assert stored_order(attempt) == [11, 22, 33]
    page.route(
        f"**{address(attempt)}", lambda route: route.fulfill(response=rendered), times=1
    )
    page.reload()
    expect_order(page, "a", "b", "c")
    expect_saved(page)
    place(page, "d")
    expect_saved(page)
    expect(slip(page)).to_have_count(0)
    assert stored_order(attempt) == [11, 22, 33, 44]


def test_save_of_the_page_before_is_no_conflict(visits, club, bob):
    """What the page before sent arrives only after this one was rendered and gone on with."""
    attempt = attempt_at(club, bob)
    page = visits.open(bob)
    page.goto(address(attempt))
    rendered, held = page.request.get(address(attempt)), []
    page.route("**/save/", lambda route: held.append(route))
    place(page, "a")
    expect(save_state(page)).to_contain_text("Saving")
    page.route(
        f"**{address(attempt)}", lambda route: route.fulfill(response=rendered), times=1
    )
    page.reload()
    expect_order(page, "a")
    expect(save_state(page)).to_contain_text("Saving")
    sent = {"order": ["a"], "rulings": {}}
    attempts.save_draft(attempt, sent, version=0, now=timezone.now())
    place(page, "b")
    held[-1].abort()
    page.unroute("**/save/")
    expect_saved(page)
    expect(slip(page)).to_have_count(0)
    assert stored_order(attempt) == [11, 22]


def test_page_older_than_what_the_device_saved_and_took_back(visits, club, bob):
    """The same answer under a newer version: the next move builds on that one."""
    attempt = attempt_at(club, bob, order="a")
    page = visits.open(bob)
    page.goto(address(attempt))
    rendered = page.request.get(address(attempt))
    place(page, "b")
    expect_saved(page)
    card(page, "b").get_by_role("button", name="Take back").click()
    expect_order(page, "a")
    expect_saved(page)
    page.route(
        f"**{address(attempt)}", lambda route: route.fulfill(response=rendered), times=1
    )
    page.reload()
    place(page, "c")
    expect_saved(page)
    expect(slip(page)).to_have_count(0)
    assert stored_order(attempt) == [11, 33]


def test_nothing_is_drawn_before_what_the_device_keeps(visits, club, bob):
    """However long the script takes, the placing of before never shows as saved."""
    attempt = attempt_at(club, bob, order="a")
    page = visits.open(bob)
    page.goto(address(attempt))
    page.context.set_offline(True)
    place(page, "b")
    page.context.set_offline(False)
    page.add_init_script("""
      const paints = (list) => (window.painted = list.getEntries()[0].startTime);
      new PerformanceObserver(paints).observe({ type: "paint", buffered: true });
    """)
    held = []
    page.route("**/js/placing/page*.js", lambda route: held.append(route))
    page.reload(wait_until="commit")
    expect(page.locator("#ring-state")).to_be_attached()
    page.wait_for_function("document.readyState === 'interactive'")
    assert page.evaluate("window.painted") is None
    held[0].continue_()
    expect_order(page, "a", "b")
    expect_saved(page)


def test_lost_reply_is_no_conflict(visits, club, bob):
    attempt = attempt_at(club, bob)
    page = visits.open(bob)
    page.goto(address(attempt))
    lose_reply(page, "**/save/")
    place(page, "a")
    expect(save_state(page)).to_have_text(re.compile("Not saved yet"))
    assert stored_order(attempt) == [11]
    place(page, "b")
    expect_saved(page)
    expect(slip(page)).to_have_count(0)
    assert stored_order(attempt) == [11, 22]


def test_device_that_keeps_nothing_says_so(visits, club, bob):
    attempt = attempt_at(club, bob)
    page = visits.open(bob)
    page.add_init_script(
        "Storage.prototype.setItem = () => { throw new Error('full') }"
    )
    page.goto(address(attempt))
    page.context.set_offline(True)
    place(page, "a")
    expect(save_state(page)).to_have_text(re.compile("Not saved$"))
    expect(slip(page)).to_contain_text("Try again or write down your order")
    page.context.set_offline(False)
    expect_saved(page)
    assert stored_order(attempt) == [11]


@pytest.fixture
def two_devices(visits, club, bob):
    """A phone that placed c and a, and a laptop that had the page open before and placed e."""
    attempt = attempt_at(club, bob)
    phone, laptop = visits.open(bob, viewport=PHONE), visits.open(bob)
    for page in (phone, laptop):
        page.goto(address(attempt))
    place(phone, "c", "a")
    expect_saved(phone)
    place(laptop, "e")
    expect(slip(laptop)).to_contain_text("placed on another device")
    return attempt, phone, laptop


def test_two_devices_are_both_shown(two_devices):
    attempt, _phone, laptop = two_devices
    expect(slip(laptop)).to_contain_text("On the other device: 33, 11")
    expect(slip(laptop)).to_contain_text("On this one: 55")
    place(laptop, "b")
    assert stored_order(attempt) == [33, 11]


def test_two_devices_use_the_other(two_devices):
    attempt, _phone, laptop = two_devices
    laptop.get_by_role("button", name="Use the one from the other device").click()
    expect_order(laptop, "c", "a")
    expect_saved(laptop)
    assert stored_order(attempt) == [33, 11]
    assert kept_here(laptop) is None


def test_two_devices_keep_this_one(two_devices):
    attempt, phone, laptop = two_devices
    laptop.get_by_role("button", name="Keep this one").click()
    expect_saved(laptop)
    expect(slip(laptop)).to_have_count(0)
    assert stored_order(attempt) == [55]
    place(phone, "d")
    expect(slip(phone)).to_contain_text("On the other device: 55")


def test_conflict_survives_a_reload(two_devices):
    attempt, _phone, laptop = two_devices
    place(laptop, "b")
    laptop.reload()
    expect(slip(laptop)).to_contain_text("On this one: 55, 22")
    assert stored_order(attempt) == [33, 11]
    laptop.get_by_role("button", name="Keep this one").click()
    expect_saved(laptop)
    assert stored_order(attempt) == [55, 22]


def test_ruling_from_elsewhere_is_not_wiped_unasked(visits, club, bob):
    """Another device ruled a dog out; "keep this one" undoes it, and the page shows that."""
    attempt = attempt_at(club, bob)
    page = visits.open(bob)
    page.goto(address(attempt))
    page.context.set_offline(True)
    place(page, "a")
    excused = {"d": {"ruling": "excused", "reason": "lame"}}
    answer = {"order": ["b"], "rulings": excused}
    attempts.save_draft(attempt, answer, version=0, now=timezone.now())
    context = page.context
    page.close()
    context.set_offline(False)
    again = context.new_page()
    again.goto(address(attempt))
    expect(slip(again)).to_contain_text("On the other device: 22, 44 Excused")
    again.get_by_role("button", name="Keep this one").click()
    expect(again.get_by_text("Excused: lame")).to_have_count(0)
    expect_order(again, "a")
    assert stored_order(attempt) == [11]


def test_handed_in_on_another_device(visits, club, bob):
    attempt = attempt_at(club, bob, order="abcde")
    page = visits.open(bob)
    page.goto(address(attempt))
    attempts.hand_in(attempt, now=timezone.now())
    page.get_by_role("button", name="Move 11 down to 2nd").click()
    expect(slip(page)).to_contain_text("handed in on another device")
    page.get_by_role("link", name="See the result").click()
    page.wait_for_url(RESULT)
    assert stored_order(attempt) == [11, 22, 33, 44, 55]


def test_handing_in_over_what_another_device_placed_asks_first(visits, club, bob):
    attempt = attempt_at(club, bob, order="abcde")
    page = visits.open(bob)
    page.goto(address(attempt))
    newer = {"order": list("edcba"), "rulings": {}}
    attempts.save_draft(attempt, newer, version=attempt.version, now=timezone.now())
    hand_in_button(page).click()
    expect(slip(page)).to_contain_text("On the other device: 55, 44, 33, 22, 11")
    expect(slip(page)).to_be_focused()
    assert not Attempt.objects.get(pk=attempt.pk).is_handed_in
    page.get_by_role("button", name="Keep this one").click()
    expect_saved(page)
    hand_in_button(page).click()
    page.wait_for_url(RESULT)
    assert stored_order(attempt) == [11, 22, 33, 44, 55]


def test_ended_session_keeps_moves_until_signed_in_again(visits, club, bob):
    attempt = attempt_at(club, bob)
    page = visits.open(bob)
    page.goto(address(attempt))
    Session.objects.all().delete()
    place(page, "a")
    expect(slip(page)).to_contain_text("You are signed out.")
    assert kept_here(page) == "a"
    # As after signing in in another tab: a new session, and a new token for forms.
    fresh = {"name": settings.CSRF_COOKIE_NAME, "value": "n" * 32, "url": visits.url}
    page.context.add_cookies([session_cookie(bob, visits.url), fresh])
    expect_saved(page)
    assert stored_order(attempt) == [11]


def test_server_restarts_in_the_middle(chromium, club, bob, monkeypatch):
    attempt = attempt_at(club, bob)
    with restarting_server(chromium, monkeypatch) as restarting:
        page = restarting.visits.open(bob)
        page.goto(address(attempt))
        place(page, "a")
        expect_saved(page)
        restarting.stop()
        place(page, "b")
        expect(save_state(page)).to_have_text(re.compile("Not saved yet"))
        restarting.start()
        expect_saved(page)
    assert stored_order(attempt) == [11, 22]


def test_handing_in_without_connection(visits, club, bob):
    attempt = attempt_at(club, bob, order="abcde")
    page = visits.open(bob)
    page.clock.install()
    page.goto(address(attempt))
    page.context.set_offline(True)
    page.get_by_role("button", name="Move 11 down to 2nd").click()
    hand_in_button(page).click()
    expect(slip(page)).to_contain_text("not handed in yet")
    expect(slip(page)).to_be_focused()
    expect(hand_in_button(page)).to_have_text("Hand in the placing")
    # Trying to save goes on meanwhile, and neither its failure nor its success says less.
    page.clock.run_for(60_000)
    expect(slip(page)).to_contain_text("No connection, so this is not handed in yet")
    page.context.set_offline(False)
    expect_saved(page)
    expect(slip(page)).to_contain_text("saved now, but not handed in yet")
    assert stored_order(attempt) == [22, 11, 33, 44, 55]
    assert not Attempt.objects.get(pk=attempt.pk).is_handed_in
    hand_in_button(page).click()
    page.wait_for_url(RESULT)
    assert Grade.objects.filter(attempt=attempt).count() == 1


def test_handing_in_from_a_device_that_keeps_nothing(visits, club, bob):
    page = visits.open(bob)
    page.add_init_script(
        "Storage.prototype.setItem = () => { throw new Error('full') }"
    )
    page.goto(address(attempt_at(club, bob, order="abcde")))
    page.context.set_offline(True)
    hand_in_button(page).click()
    expect(slip(page)).to_contain_text("did not reach the site and this device")
    expect(slip(page)).to_be_focused()


def test_lost_reply_to_handing_in(visits, club, bob):
    """It was handed in, so the person is led to the result and not asked again."""
    attempt = attempt_at(club, bob, order="abcde")
    page = visits.open(bob)
    page.goto(address(attempt))
    lose_reply(page, "**/hand-in/")
    hand_in_button(page).click()
    page.wait_for_url(RESULT)
    assert Attempt.objects.get(pk=attempt.pk).is_handed_in
    assert Grade.objects.filter(attempt=attempt).count() == 1


def fail(page, address):
    """The next request to the address finds the site in trouble."""
    page.route(
        address, lambda route: route.fulfill(status=500, body="%trouble%"), times=1
    )


def test_site_in_trouble_while_handing_in(visits, club, bob):
    attempt = attempt_at(club, bob, order="abcde")
    page = visits.open(bob)
    page.goto(address(attempt))
    fail(page, "**/hand-in/")
    hand_in_button(page).click()
    expect(slip(page)).to_contain_text(
        "Something went wrong on this site, so this is not handed in yet. "
        "Nothing you have placed is lost."
    )
    expect(slip(page)).to_be_focused()
    expect_saved(page)
    assert "%" not in page.locator("main").inner_text()
    assert not Attempt.objects.get(pk=attempt.pk).is_handed_in
    hand_in_button(page).click()
    page.wait_for_url(RESULT)
    assert stored_order(attempt) == [11, 22, 33, 44, 55]


def test_site_in_trouble_after_it_was_handed_in(visits, club, bob):
    attempt = attempt_at(club, bob, order="abcde")
    page = visits.open(bob)
    page.goto(address(attempt))

    def answer_badly(route):
        route.fetch(max_redirects=0)
        route.fulfill(status=502, body="")

    page.route("**/hand-in/", answer_badly, times=1)
    hand_in_button(page).click()
    page.wait_for_url(RESULT)
    assert Grade.objects.filter(attempt=attempt).count() == 1


def test_site_in_trouble_while_saving(visits, club, bob):
    attempt = attempt_at(club, bob)
    page = visits.open(bob)
    page.clock.install()
    page.goto(address(attempt))
    fail(page, "**/save/")
    place(page, "a")
    expect(save_state(page)).to_have_text(re.compile("Not saved yet"))
    expect(slip(page)).to_contain_text(
        re.compile(r"Something has been wrong with this site since \d\d:\d\d\.")
    )
    assert kept_here(page) == "a"
    page.clock.run_for(5_000)
    expect_saved(page)
    expect(slip(page)).to_have_count(0)
    assert stored_order(attempt) == [11]
