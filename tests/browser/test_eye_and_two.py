"""Estimates by eye and pairs in a browser: by keyboard and touch alone, without scripts, through a restart."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import PHONE
from tests.browser.pages import Cast
from tests.sheets import opened
from tests.views.test_eye import points_sheet

pytestmark = pytest.mark.django_db(transaction=True)

SAVED = re.compile(r"^Saved \d\d:\d\d$")
TOUCH = {"viewport": PHONE, "has_touch": True, "is_mobile": True}


@pytest.fixture(autouse=True)
def own_plates(settings, tmp_path):
    settings.VAR_DIR = tmp_path


@pytest.fixture
def cast():
    return Cast()


@pytest.fixture
def points(cast):
    """An open attempt at landmarks on plates."""
    return opened(points_sheet(cast.club, module=cast.module), cast.trainee)


def test_landmarks_are_put_by_touch(visits, cast, points):
    page = visits.open(cast.trainee, **TOUCH)
    page.goto(f"/attempts/{points.pk}/")
    first = page.locator("[data-marks]").first
    overlay = first.locator("svg.picture-overlay")
    names = first.locator("[data-name]").count()
    for n in range(names):
        box = overlay.bounding_box()
        x, y = box["x"] + 40 + 50 * n, box["y"] + 60
        page.touchscreen.tap(x, y)
    expect(overlay.locator("[data-point]")).to_have_count(names)
    expect(page.locator("[data-saved]")).to_have_text(SAVED)
    points.refresh_from_db()
    put = points.answer["items"][points.shown["order"][0]]
    assert len(put) == names
    assert len({tuple(place) for place in put.values()}) == names


def test_landmarks_are_put_and_handed_in_with_keys_alone(visits, cast, points):
    page = visits.open(cast.trainee)
    page.goto(f"/attempts/{points.pk}/")
    for part in page.locator("[data-marks]").all():
        for n in range(part.locator("[data-name]").count()):
            part.locator("[data-middle]").nth(n).focus()
            page.keyboard.press("Enter")
            # The new point has the focus: the arrows move it.
            page.keyboard.press("ArrowUp")
            page.keyboard.press("Shift+ArrowLeft")
    left = page.locator('[data-axis="x"]').first
    expect(left).to_have_value("49.9")
    expect(page.locator('[data-axis="y"]').first).to_have_value("49")
    page.get_by_role("button", name="Hand in").focus()
    page.keyboard.press("Enter")
    expect(page.locator(".eye-put").first).to_be_attached()
    points.refresh_from_db()
    assert points.is_handed_in


def test_estimates_are_typed_and_kept_without_scripts(visits, cast):
    attempt = cast.open_sheets["eye"]
    page = visits.open(cast.trainee, viewport=PHONE, java_script_enabled=False)
    page.goto(f"/attempts/{attempt.pk}/")
    for field in page.get_by_label("Your estimate").all():
        field.fill("30")
    page.get_by_role("button", name="Hand in").click()
    expect(page.get_by_role("heading", name="Your eye over time")).to_be_visible()
    expect(page.locator(".eye-figures").first).to_contain_text("Measured")


def test_landmarks_are_numbers_without_scripts(visits, cast, points):
    page = visits.open(cast.trainee, java_script_enabled=False)
    page.goto(f"/attempts/{points.pk}/")
    for field in page.locator("[data-axis]").all():
        field.fill("40,5")
    page.get_by_role("button", name="Save").last.click()
    points.refresh_from_db()
    first = points.answer["items"][points.shown["order"][0]]
    assert set(map(tuple, first.values())) == {(40.5, 40.5)}


def test_pairs_are_chosen_with_the_arrow_keys(visits, cast):
    page = visits.open(cast.trainee)
    page.goto(f"/attempts/{cast.open_pairs.pk}/")
    for number, key in enumerate(["ArrowLeft", "ArrowRight", "ArrowRight"], start=1):
        expect(page).to_have_title(re.compile(f"^Pair {number} of 24"))
        page.keyboard.press(key)
    expect(page).to_have_title(re.compile("^Pair 4 of 24"))
    cast.open_pairs.refresh_from_db()
    chosen = [one["chosen"] for one in cast.open_pairs.answer["trials"]]
    assert chosen == [0, 1, 1]


def test_pairs_are_chosen_by_touch_to_the_end(visits, cast):
    page = visits.open(cast.trainee, **TOUCH)
    page.goto(f"/attempts/{cast.open_pairs.pk}/")
    for number in range(1, 21):
        expect(page).to_have_title(re.compile(f"^Pair {number} of 24"))
        dogs = page.locator("button.two-dog")
        box = dogs.nth(1).bounding_box()
        assert box["width"] > 250
        assert box["height"] > 150
        dogs.nth(number % 2).tap()
    page.get_by_role("button", name="Stop here and see the result").tap()
    expect(page.locator(".two-headline")).to_be_visible()
    page.get_by_text("The same as a table").tap()
    expect(page.locator("details[open] .two-table tbody tr")).to_have_count(20)


def test_pairs_without_scripts_and_with_the_back_button(visits, cast):
    page = visits.open(cast.trainee, java_script_enabled=False)
    page.goto(f"/attempts/{cast.open_pairs.pk}/")
    page.get_by_role("button", name="The first dog").click()
    expect(page).to_have_title(re.compile("^Pair 2 of 24"))
    page.go_back()
    # The page is asked for anew, so the pair that is next stands there.
    page.get_by_role("button", name="The second dog").click()
    cast.open_pairs.refresh_from_db()
    numbers = [one["n"] for one in cast.open_pairs.answer["trials"]]
    assert numbers == [1, 2]
    assert cast.open_pairs.answer["trials"][0]["chosen"] == 0


def test_a_double_press_is_one_choice(visits, cast):
    page = visits.open(cast.trainee)
    page.goto(f"/attempts/{cast.open_pairs.pk}/")
    page.locator("button.two-dog").first.dblclick(no_wait_after=True)
    expect(page).to_have_title(re.compile("^Pair [23] of 24"))
    cast.open_pairs.refresh_from_db()
    trials = cast.open_pairs.answer["trials"]
    assert [one["n"] for one in trials] == list(range(1, len(trials) + 1))
