"""Every page type: accessible in light and dark, readable at 320 px, one heading of the first rank."""

import pytest
from playwright.sync_api import expect

from tests.browser.axe import (
    assert_accessible,
    assert_contrast,
    assert_fits,
    assert_reached,
)
from tests.browser.pages import PAGES, Cast
from tests.browser.ring import board, expect_saved, place

pytestmark = pytest.mark.django_db(transaction=True)

NARROW = {"width": 320, "height": 568}


@pytest.mark.parametrize("name", PAGES)
def test_page(reader, name):
    address, person = PAGES[name](Cast())
    page = reader.open(person)
    answer = page.goto(address)
    assert answer.status == 200
    expect(page.get_by_role("heading", level=1)).to_have_count(1)
    assert_accessible(page)
    page.emulate_media(color_scheme="dark")
    assert_contrast(page)
    page.set_viewport_size(NARROW)
    assert_fits(page)
    assert_reached(page)


def test_placing_in_trouble(visits):
    """After moves, without a connection, and with a hand-in that is refused."""
    address, person = PAGES["placing"](Cast())
    page = visits.open(person, reduced_motion="reduce", viewport=NARROW)
    page.goto(address)
    place(page, "d")
    expect_saved(page)
    page.context.set_offline(True)
    place(page, "e")
    expect(board(page).locator("[data-slip=offline]")).to_be_visible()
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        assert_accessible(page)
    assert_fits(page)


def test_refusals_of_the_placing_pages(visits):
    cast = Cast()
    page = visits.open(cast.trainee, java_script_enabled=False, viewport=NARROW)
    attempt = cast.attempt()
    page.goto(f"/attempts/{attempt.pk}/rulings/e/")
    page.get_by_label("Excused").check()
    page.get_by_role("button", name="Record").click()
    expect(page.get_by_text("Give the reason").first).to_be_visible()
    assert_fits(page)
    scripted = visits.open(cast.trainee, viewport=NARROW)
    scripted.goto(f"/attempts/{attempt.pk}/rulings/e/")
    scripted.get_by_label("Excused").check()
    scripted.get_by_role("button", name="Record").click()
    expect(scripted.locator("[data-focus]")).to_be_focused()
    assert_accessible(scripted)


def test_focus_is_never_hidden_behind_the_strip(visits):
    """WCAG 2.2, 2.4.11: what has the focus is at least partly in sight."""
    address, person = PAGES["placing"](Cast())
    page = visits.open(person, reduced_motion="reduce", viewport=NARROW)
    page.goto(address)
    hidden = []
    for _press in range(45):
        page.keyboard.press("Tab")
        seen = page.evaluate(
            """() => {
              const focused = document.activeElement;
              if (focused === document.body) return "nothing";
              const { left, top, width, height } = focused.getBoundingClientRect();
              const points = [0.1, 0.5, 0.9].map((part) =>
                document.elementFromPoint(left + width / 2, top + height * part));
              const found = points.some((at) => at && (focused.contains(at) || at.contains(focused)));
              return found ? "" : focused.outerHTML.slice(0, 120);
            }"""
        )
        if seen not in ("", "nothing"):
            hidden.append(seen)
    assert hidden == []


def test_steps_of_an_examination_are_large_enough_for_a_thumb(visits):
    address, person = PAGES["examination step"](Cast())
    page = visits.open(person, viewport=NARROW)
    page.goto(address)
    steps = page.locator(".steps-short a").all()
    assert steps
    assert min(step.bounding_box()["height"] for step in steps) >= 44
