"""A class placed from beginning to result: with a thumb, with keys only, without scripts."""

import re

import pytest
from playwright.sync_api import expect

from quizzes.models import Attempt, Grade
from tests.browser.conftest import PHONE
from tests.browser.ring import (
    address,
    arrow,
    attempt_at,
    board,
    card,
    expect_order,
    expect_saved,
    hand_in_button,
    live_line,
    place,
    press_not_yet,
    stored_order,
)
from tests.placing import placing_class

pytestmark = pytest.mark.django_db(transaction=True)

RESULT = re.compile(r"/attempts/\d+/result/$")


def test_on_a_phone_from_the_list_to_the_result(visits, club, bob):
    revision = placing_class(club, names="abcde", title="Open dogs")
    page = visits.open(bob, viewport=PHONE, has_touch=True)
    page.goto("/classes/")
    page.get_by_role("link", name="Open dogs").first.tap()
    page.locator("form[action$='/begin/'] button").tap()
    page.wait_for_url(re.compile(r"/attempts/\d+/$"))
    attempt = Attempt.objects.get(revision=revision)

    for dog, ordinal in zip("edcba", ["1st", "2nd", "3rd", "4th", "5th"], strict=True):
        button = card(page, dog).locator("[data-act]")
        expect(button).to_have_text(re.compile(f"Place {ordinal}"))
        button.tap()
        expect(card(page, dog).locator("[data-marker]")).to_have_text(ordinal)
    page.get_by_role("link", name="Change order").tap()
    arrow(page, "Move 11 up to 4th").tap()
    board(page).get_by_label("Move", exact=True).select_option("22")
    board(page).get_by_label("to place").fill("1")
    board(page).get_by_role("button", name="Move", exact=True).tap()
    expect_order(page, "b", "e", "d", "c", "a")
    expect(live_line(page)).to_have_text("22 moved up to 1st")
    expect_saved(page)

    page.reload()
    expect_order(page, "b", "e", "d", "c", "a")
    sent = []
    page.on("request", lambda asked: sent.append(asked.url))
    hand_in_button(page).dblclick()
    page.wait_for_url(RESULT)
    assert len([url for url in sent if url.endswith("/hand-in/")]) == 1
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    attempt.refresh_from_db()
    assert attempt.is_handed_in
    assert attempt.answer["order"] == list("bedca")
    assert Grade.objects.count() == 1
    assert page.evaluate("localStorage.length") == 0


def press_on(page, name, key="Enter"):
    """Tab to the button of that name, as a person without a mouse does, and press it."""
    target = page.get_by_role("button", name=name, exact=True)
    for _press in range(80):
        if target.evaluate_all("all => all.includes(document.activeElement)"):
            break
        page.keyboard.press("Tab")
    expect(target).to_be_focused()
    page.keyboard.press(key)


def test_with_keys_only(visits, club, bob):
    attempt = attempt_at(club, bob)
    page = visits.open(bob)
    page.goto(address(attempt))

    press_on(page, "Place 1st , 33")
    expect(card(page, "c").get_by_role("button", name="Take back , 33")).to_be_focused()
    expect(live_line(page)).to_have_text("33 placed 1st")
    page.keyboard.press("Enter")
    expect(card(page, "c").get_by_role("button", name="Place 1st , 33")).to_be_focused()
    expect(live_line(page)).to_have_text("33 is back in the line")
    page.keyboard.press("Space")
    press_on(page, "Place 2nd , 22")
    press_on(page, "Place 3rd , 55")

    press_on(page, "Move 33 down to 2nd")
    expect(arrow(page, "Move 33 down to 3rd")).to_be_focused()
    expect(live_line(page)).to_have_text("33 moved down to 2nd")
    page.keyboard.press("Enter")
    # It is last now: the focus stays, and one press too many undoes nothing.
    last = page.get_by_role("button", name="Move 33 down", exact=True)
    expect(last).to_be_focused()
    expect(last).to_have_attribute("aria-disabled", "true")
    expect(live_line(page)).to_have_text("33 moved down to 3rd")
    page.keyboard.press("Enter")
    expect(live_line(page)).to_have_text("33 is 3rd already")
    expect(last).to_be_focused()
    expect_order(page, "b", "e", "c")

    press_on(page, "Hand in the placing")
    note = page.locator("#hand-in-note")
    expect(note).to_be_focused()
    expect(note).to_have_text("4th is free. Place 11, 44, or give it a ruling below.")
    assert not Attempt.objects.get(pk=attempt.pk).is_handed_in

    page.locator("#main").focus()
    press_on(page, "Place 4th , 11")
    press_on(page, "Place 5th , 44")
    expect(note).to_contain_text("After this you see")
    press_on(page, "Hand in the placing")
    page.wait_for_url(RESULT)
    assert stored_order(attempt) == [22, 55, 33, 11, 44]


def test_moved_to_the_top_with_keys_stays_there(visits, club, bob):
    attempt = attempt_at(club, bob, order="abc")
    page = visits.open(bob)
    page.goto(address(attempt))
    press_on(page, "Move 33 up to 2nd")
    page.keyboard.press("Enter")
    page.keyboard.press("Enter")
    page.keyboard.press("Space")
    expect(live_line(page)).to_have_text("33 is 1st already")
    expect(page.get_by_role("button", name="Move 33 up", exact=True)).to_be_focused()
    expect_order(page, "c", "a", "b")
    expect_saved(page)
    assert stored_order(attempt) == [33, 11, 22]


def test_board_says_which_button_fills_the_next_row(visits, club, bob):
    page = visits.open(bob)
    page.goto(address(attempt_at(club, bob, order="a", places=3)))
    rows, note = board(page).locator("[data-board]"), page.locator("#hand-in-note")
    expect(rows).to_contain_text("Press “Place 2nd” under a dog")
    expect(note).to_have_text("2nd is free. Place two more of those still in the line.")
    place(page, "b")
    expect(rows).to_contain_text("Press “Place 3rd” under a dog")
    expect(rows.get_by_text("Press")).to_have_count(1)
    expect(note).to_have_text("3rd is free. Place one more of those still in the line.")
    place(page, "c")
    expect(note).to_contain_text("After this you see")


def test_full_board_says_so(visits, club, bob):
    attempt = attempt_at(club, bob, places=2, order="ab")
    page = visits.open(bob)
    page.goto(address(attempt))
    button = card(page, "c").locator("[data-act]")
    expect(button).to_have_text(re.compile("Take one back first"))
    press_not_yet(button)
    expect(live_line(page)).to_have_text(
        "All places are taken: take one back, or move it down to make room."
    )
    expect_order(page, "a", "b")


def test_place_typed_outside_the_board_is_explained(visits, club, bob):
    attempt = attempt_at(club, bob, order="abc")
    page = visits.open(bob)
    page.goto(address(attempt))
    for wrong in ("0", "4", "99"):
        board(page).get_by_label("to place").fill(wrong)
        page.keyboard.press("Enter")
        expect(live_line(page)).to_have_text("Give a place from 1 to 3.")
    expect_order(page, "a", "b", "c")


def test_without_scripts(visits, club, bob):
    attempt = attempt_at(club, bob)
    page = visits.open(bob, java_script_enabled=False)
    page.goto(address(attempt))
    place(page, "c", "a", "b")
    assert page.url.endswith("#dog-b")
    arrow(page, "Move 22 up to 2nd").click()
    assert page.url.endswith("#board")
    expect_order(page, "c", "b", "a")
    board(page).get_by_label("to place").fill("3")
    board(page).get_by_role("button", name="Move", exact=True).click()
    expect_order(page, "b", "a", "c")

    page.get_by_role("link", name="Excuse, disqualify or withhold").click()
    page.get_by_role("link", name="55 in the line").click()
    page.get_by_label("Disqualified").check()
    page.get_by_role("button", name="Record").click()
    expect(page).to_have_title(re.compile("^Error:"))
    expect(page.get_by_label("Disqualified")).to_be_checked()
    page.get_by_label("Reason").fill("bite overshot")
    page.get_by_role("button", name="Record").click()
    expect(card(page, "e")).to_contain_text("Disqualified: bite overshot")

    card(page, "d").get_by_role("link", name="Compare").click()
    page.get_by_label("Second dog").select_option("11")
    page.get_by_role("button", name="Side by side").click()
    expect(page).to_have_title(re.compile("^44 beside 11"))
    page.get_by_role("link", name="Back to the class").click()

    press_not_yet(hand_in_button(page))
    expect(page).to_have_title(re.compile("^Error:"))
    expect(page.get_by_role("alert")).to_have_text(re.compile("4th is free. Place 44"))
    place(page, "d")
    hand_in_button(page).click()
    page.wait_for_url(RESULT)
    stored = Attempt.objects.get(pk=attempt.pk).answer
    assert stored["order"] == list("bacd")
    assert stored["rulings"] == {
        "e": {"ruling": "disqualified", "reason": "bite overshot"}
    }


def test_ruling_amid_moves_loses_none(visits, club, bob):
    """A move that is still on its way is stored before the ruling page opens."""
    attempt = attempt_at(club, bob)
    page = visits.open(bob)
    page.goto(address(attempt))
    held, asked = [], []
    page.on("request", lambda request: asked.append(request.url.split("/")[-2]))
    page.route("**/save/", lambda route: held.append(route), times=1)
    place(page, "a", "b")
    page.get_by_role("link", name="Excuse, disqualify or withhold").click()
    held.pop().continue_()
    page.wait_for_url("**/rulings/")
    steps = [step for step in asked if step in ("save", "rulings")]
    assert steps == ["save", "save", "rulings"]
    assert stored_order(attempt) == [11, 22]
    page.get_by_role("link", name="33 in the line").click()
    page.get_by_label("Absent").check()
    page.get_by_role("button", name="Record").click()
    expect(card(page, "c")).to_contain_text("Absent")
    expect_order(page, "a", "b")
    place(page, "d")
    card(page, "c").get_by_role("button", name="Back in the line").click()
    expect(card(page, "c").get_by_role("button", name="Place 4th")).to_be_visible()
    assert stored_order(attempt) == [11, 22, 44]
