"""Parts of the placing page: the rules in both languages, the mouse, the clock, motion."""

import contextlib
import random
import re
from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from playwright.sync_api import expect

from quizzes.kinds.placing.board import Board
from quizzes.models import Attempt, Revision
from quizzes.plates import BREEDS
from tests.browser.conftest import PHONE
from tests.browser.ring import (
    address,
    arrow,
    attempt_at,
    board,
    card,
    expect_order,
    expect_saved,
    live_line,
    place,
    save_state,
    stored_order,
)

pytestmark = pytest.mark.django_db(transaction=True)

RULES = """async (cases) => {
  const rules = await import("/static/js/placing/state.js");
  const moves = {
    place: rules.place,
    take_back: rules.takeBack,
    put: rules.put,
    move: rules.move,
  };
  return cases.map(({ board, name, args }) => {
    const after = moves[name](board, ...args);
    return {
      answer: rules.answerOf(after),
      rows: rules.rows(after),
      line: rules.inLine(after),
      complete: rules.isComplete(after),
    };
  });
}"""


def random_board(rng):
    dogs = tuple("abcdefgh"[: rng.randint(2, 8)])
    stands = Board(dogs=dogs, places=rng.choice([None, 1, 2, 4]))
    for dog in rng.sample(dogs, rng.randint(0, len(dogs))):
        if rng.random() < 0.25:
            stands = stands.rule(dog, "excused", "lame")
        elif not stands.is_full:
            stands = stands.place(dog)
    return stands


def random_case(rng):
    """A board and a move: mostly sensible ones, some that are refused."""
    stands = random_board(rng)
    name = rng.choice(["place", "take_back", "put", "move"])
    likely = stands.in_line if name == "place" else stands.order
    dog = rng.choice([*likely * 3, *stands.dogs, "x"])
    last = len(stands.order)
    more = {"put": [rng.randint(0, last + 1)], "move": [rng.choice([-1, 1])]}
    return stands, name, [dog, *more.get(name, [])]


def after(stands, name, args):
    """What Python makes of it; a refusal leaves the board as it was."""
    with contextlib.suppress(ValidationError):
        stands = getattr(stands, name)(*args)
    return {
        "answer": stands.answer(),
        "rows": stands.rows,
        "line": list(stands.in_line),
        "complete": stands.is_complete,
    }


def test_script_and_server_have_the_same_rules(visits):
    rng = random.Random(7)
    cases = [random_case(rng) for _case in range(600)]
    sent = [
        {
            "board": {
                "dogs": stands.dogs,
                "places": stands.places,
                **stands.answer(),
            },
            "name": name,
            "args": args,
        }
        for stands, name, args in cases
    ]
    page = visits.open()
    page.goto("/account/login/")
    told = page.evaluate(RULES, sent)
    for case, said in zip(cases, told, strict=True):
        assert said == after(*case), case
    changed = [case for case in cases if after(*case)["answer"] != case[0].answer()]
    # Enough of both: moves that change the board, and moves that are refused.
    assert 150 < len(changed) < 450


@pytest.fixture
def placed(visits, club, bob):
    """The page of a class with four of five dogs placed, and its attempt."""
    attempt = attempt_at(club, bob, order="abcd")
    page = visits.open(bob)
    page.goto(address(attempt))
    expect_order(page, "a", "b", "c", "d")
    return page, attempt


def middle(locator):
    box = locator.bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def armband(page, dog):
    return board(page).locator(f"[data-cell={dog}] .armband")


def grab(page, dog, onto):
    """Take the dog with the mouse and hold it over another dog's row."""
    page.mouse.move(*middle(armband(page, dog)))
    page.mouse.down()
    page.mouse.move(*middle(armband(page, onto)), steps=5)
    expect(page.locator(".board-row-lifted")).to_have_count(1)


def test_dragging_with_the_mouse(placed):
    page, attempt = placed
    grab(page, "a", onto="c")
    expect(page.locator(".board-row-target-below")).to_have_count(1)
    page.mouse.up()
    expect_order(page, "b", "c", "a", "d")
    expect(live_line(page)).to_have_text("11 moved down to 3rd")
    expect_saved(page)
    expect(page.locator(".board-row-lifted")).to_have_count(0)
    assert stored_order(attempt) == [22, 33, 11, 44]


def test_escape_puts_the_dog_back(placed):
    page, attempt = placed
    grab(page, "d", onto="a")
    page.keyboard.press("Escape")
    expect(page.locator(".board-row-lifted")).to_have_count(0)
    page.mouse.up()
    expect_order(page, "a", "b", "c", "d")
    assert Attempt.objects.get(pk=attempt.pk).version == attempt.version


def test_letting_go_outside_changes_nothing(placed):
    page, attempt = placed
    grab(page, "d", onto="a")
    page.mouse.move(100, 100, steps=3)
    page.mouse.up()
    expect_order(page, "a", "b", "c", "d")
    assert Attempt.objects.get(pk=attempt.pk).version == attempt.version


def test_touch_never_drags(placed):
    page, _attempt = placed
    dog = armband(page, "c")
    x, y = middle(dog)
    finger = {"pointerType": "touch", "pointerId": 9, "button": 0, "clientX": x}
    dog.dispatch_event("pointerdown", {**finger, "clientY": y})
    dog.dispatch_event("pointermove", {**finger, "clientY": y - 120})
    expect(page.locator(".board-row-lifted")).to_have_count(0)
    dog.dispatch_event("pointerup", {**finger, "clientY": y - 120})
    expect_order(page, "a", "b", "c", "d")


@pytest.mark.parametrize("motion", ["reduce", "no-preference"])
def test_rows_glide_only_where_motion_is_welcome(visits, club, bob, motion):
    attempt = attempt_at(club, bob, order="abcd")
    page = visits.open(bob, reduced_motion=motion)
    page.add_init_script(
        "window.glides = 0; const animate = Element.prototype.animate;"
        "Element.prototype.animate = function (...how) {"
        " window.glides += 1; return animate.apply(this, how); }"
    )
    page.goto(address(attempt))
    arrow(page, "Move 22 up to 1st").click()
    expect_order(page, "b", "a", "c", "d")
    assert page.evaluate("glides") == (2 if motion == "no-preference" else 0)


def timed(club, bob, *, left):
    """An attempt at a class of five with two minutes a dog, of which `left` seconds are left."""
    attempt = attempt_at(club, bob, order="abcd", pace_seconds=120)
    spent = timedelta(seconds=600 - left)
    Attempt.objects.filter(pk=attempt.pk).update(started_at=attempt.started_at - spent)
    return attempt


def told(page):
    return page.locator("[data-clock-says]")


def test_clock_warns_and_takes_nothing(visits, club, bob):
    attempt = timed(club, bob, left=130)
    page = visits.open(bob)
    page.clock.install()
    page.goto(address(attempt))
    clock = page.locator("[data-clock]")
    expect(clock).to_contain_text(re.compile(r"2 min \d+ s left of 10"))
    expect(told(page)).to_have_text("")
    page.clock.run_for(15_000)
    expect(told(page)).to_have_text("2 minutes left")
    page.clock.run_for(60_000)
    expect(told(page)).to_have_text("One minute left")
    expect(clock).to_contain_class("clock-urgent")
    page.clock.run_for(60_000)
    expect(told(page)).to_have_text(
        re.compile("^Time. Nothing you have placed is lost")
    )
    expect(clock.get_by_text("left of 10")).to_be_hidden()
    place(page, "e")
    expect_saved(page)
    assert stored_order(attempt) == [11, 22, 33, 44, 55]
    board(page).get_by_role("button", name="Hand in").click()
    page.wait_for_url(re.compile("/result/$"))


def strip_clock(page):
    return page.locator(".strip [data-clock-left]")


def test_more_time_counts_from_now_once_it_is_up(visits, club, bob):
    attempt = timed(club, bob, left=-30)
    page = visits.open(bob)
    page.goto(address(attempt))
    expect(page.locator("[data-clock]")).to_contain_text("Nothing you have placed")
    page.get_by_role("button", name="Two minutes more").click()
    expect(page.locator("[data-clock]")).to_contain_text(re.compile(r"[12] min \d+ s"))
    expect(save_state(page)).to_have_count(0)
    expect_order(page, "a", "b", "c", "d")


def test_more_time_keeps_place_and_focus(visits, club, bob):
    attempt = timed(club, bob, left=400)
    page = visits.open(bob, viewport={"width": 740, "height": 420})
    page.goto(address(attempt))
    page.evaluate("scrollTo(0, 60)")
    button = page.get_by_role("button", name="Two minutes more")
    button.focus()
    page.keyboard.press("Enter")
    expect(page.locator("[data-clock]")).to_contain_text(
        re.compile(r"[78] min \d+ s left of 12")
    )
    expect(told(page)).to_have_text("Two minutes more")
    expect(button).to_be_focused()
    assert page.evaluate("scrollY") == 60
    # One notch a minute.
    notches = page.locator("[data-clock] .minute-rule path").get_attribute("d")
    assert notches.count("M") == 13
    assert Attempt.objects.get(pk=attempt.pk).extra_seconds == 120


def test_more_time_without_scripts(visits, club, bob):
    page = visits.open(bob, java_script_enabled=False)
    page.goto(address(timed(club, bob, left=100)))
    page.get_by_role("button", name="Two minutes more").click()
    expect(page.locator("[data-clock]")).to_contain_text("left of 12")
    expect(page.locator(".messages")).to_contain_text("Two minutes more")


def test_clock_stays_in_sight_on_a_phone(visits, club, bob):
    page = visits.open(bob, viewport=PHONE)
    page.clock.install()
    page.goto(address(timed(club, bob, left=130)))
    card(page, "d").scroll_into_view_if_needed()
    expect(strip_clock(page)).to_be_in_viewport()
    expect(strip_clock(page)).to_have_text(re.compile(r"^2 min \d+ s$"))
    page.clock.run_for(150_000)
    expect(strip_clock(page)).to_have_text("Time is up")


@pytest.fixture
def drawn(club, bob):
    """An attempt at a class whose dogs are drawn."""
    attempt = attempt_at(club, bob)
    content = {**attempt.revision.content, "breed": next(iter(BREEDS))}
    Revision.objects.filter(pk=attempt.revision_id).update(content=content)
    return attempt


def test_both_plates_stand_side_by_side_on_a_phone(visits, bob, drawn):
    page = visits.open(bob, viewport=PHONE)
    page.goto(f"{address(drawn)}compare/?first=c&second=b")
    plates = [one.bounding_box() for one in page.locator(".plate").all()]
    assert len(plates) == 2
    assert plates[0]["y"] == plates[1]["y"]
    assert plates[0]["x"] < plates[1]["x"]
    assert plates[0]["y"] + plates[0]["height"] < PHONE["height"] * 0.75
    choice = page.get_by_label("First dog").bounding_box()
    words = page.get_by_text("c from the ring-side.").bounding_box()
    assert choice["y"] < plates[0]["y"] < words["y"]


def test_small_outlines_follow_the_choice(visits, bob, drawn):
    page = visits.open(bob)
    page.goto(address(drawn))
    small = page.locator("[data-overlay]")
    expect(small.get_by_role("img")).to_have_attribute(
        "alt", "Two outlines: 33 in ink, 22 dashed, over each other."
    )
    page.get_by_label("Second dog").select_option("44")
    picture = small.get_by_role("img")
    expect(picture).to_have_attribute("src", re.compile(r"/overlays/c/d\.svg"))
    expect(picture).to_have_attribute("alt", re.compile("33 in ink, 44 dashed"))
    picture.scroll_into_view_if_needed()
    page.wait_for_function("img => img.naturalWidth > 0", arg=picture.element_handle())
    page.get_by_label("Second dog").select_option("33")
    expect(small).to_be_hidden()


@pytest.mark.parametrize("scripts", [True, False])
def test_board_never_lies_over_the_clock(visits, club, bob, scripts):
    """The sentence at the end of the time takes more lines than the time itself."""
    page = visits.open(bob, java_script_enabled=scripts)
    page.goto(address(timed(club, bob, left=-30)))
    clock = page.locator("[data-clock]").bounding_box()
    assert clock["y"] + clock["height"] <= board(page).bounding_box()["y"]


def test_hand_in_of_a_long_class_stays_in_sight(visits, club, bob):
    page = visits.open(bob)
    page.goto(address(attempt_at(club, bob, names="abcdefghijkl", order="abc")))
    expect(board(page).locator("[data-hand-in] button")).to_be_in_viewport(ratio=1)
    page.get_by_label("to place").focus()
    typed = page.get_by_label("to place").bounding_box()
    button = board(page).locator("[data-hand-in]").bounding_box()
    assert typed["y"] + typed["height"] <= button["y"]


def test_wrong_place_looks_and_is_told_as_wrong(visits, club, bob):
    attempt = attempt_at(club, bob, order="abcde")
    page = visits.open(bob)
    page.goto(attempt.get_absolute_url())
    page.locator("#put-to").fill("9")
    page.locator("[data-put] button").click()
    told = page.get_by_role("alert").filter(has_text="Give a place from 1 to 5.")
    expect(told).to_be_visible()
    expect(page.locator("#put-to")).to_have_value("9")
    expect(page.locator("#put-to")).to_be_focused()


def test_dog_still_in_the_line_is_one_press_away(visits, club, bob):
    attempt = attempt_at(club, bob, order="abc")
    page = visits.open(bob, viewport=PHONE)
    page.goto(attempt.get_absolute_url())
    page.locator("#board").scroll_into_view_if_needed()
    link = page.locator("[data-rest-dogs] a").first
    target = link.get_attribute("href")
    link.click()
    expect(page.locator(target)).to_be_in_viewport()


def test_board_fits_a_phone_with_the_largest_letters(visits, club, bob):
    attempt = attempt_at(club, bob, order="abcde")
    page = visits.open(bob, viewport=PHONE)
    page.goto(attempt.get_absolute_url())
    page.evaluate("document.documentElement.style.fontSize = '36px'")
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
