"""Letters twice as large (WCAG 2.2, 1.4.4): nothing is cut off, nothing has to be read sideways.

The root's size is set by hand, so that widths in media queries stay as they were: harder on the
layout than a browser whose own letters are larger.
"""

import pytest
from playwright.sync_api import expect

from tests.browser.axe import assert_fits
from tests.browser.conftest import DESKTOP, PHONE
from tests.browser.pages import PAGES, Cast
from tests.browser.ring import address, attempt_at

pytestmark = pytest.mark.django_db(transaction=True)

NAMES = [
    "start",
    "modules",
    "module",
    "illustrated priority",
    "examination",
    "examination step",
    "faults",
    "classes",
    "class",
    "placing",
    "placing, empty",
    "placing, with a clock",
    "compare",
    "made class, laid over",
    "rulings",
    "ruling",
    "result",
    "made class, result",
    "record",
]

TWICE = "() => { document.documentElement.style.fontSize = '200%' }"

BROKEN_WORDS = """() => {
  const broken = [];
  const range = document.createRange();
  for (const part of document.querySelectorAll("main dt, main h1, main h2, main h3, .crossing-heads span")) {
    const walker = document.createTreeWalker(part, NodeFilter.SHOW_TEXT);
    while (walker.nextNode()) {
      const text = walker.currentNode;
      for (const { index, 0: word } of text.data.matchAll(/[^\\s-]+/g)) {
        range.setStart(text, index);
        range.setEnd(text, index + word.length);
        const lines = new Set([...range.getClientRects()].map((box) => Math.round(box.top)));
        if (lines.size > 1) broken.push(word);
      }
    }
  }
  return broken;
}"""
"""Words that stand on more than one line."""


def enlarge(page):
    page.evaluate(TWICE)


@pytest.mark.parametrize("name", NAMES)
def test_page_fits_with_letters_twice_as_large(reader, name):
    at, person = PAGES[name](Cast())
    page = reader.open(person, viewport=PHONE)
    page.goto(at)
    enlarge(page)
    assert_fits(page)
    page.set_viewport_size(DESKTOP)
    assert_fits(page)


@pytest.mark.parametrize("name", ["result", "made class, result"])
def test_result_in_the_largest_letters_of_a_phone(visits, name):
    """At 36 px all of it stays on the page, no name of a figure is broken, and no dog covers another."""
    at, person = PAGES[name](Cast())
    page = visits.open(person, viewport=PHONE, reduced_motion="reduce")
    page.goto(at)
    page.evaluate("() => { document.documentElement.style.fontSize = '36px' }")
    for folded in page.locator("details").all():
        folded.evaluate("details => { details.open = true }")
    assert_fits(page)
    assert page.evaluate(BROKEN_WORDS) == []
    for box in page.locator(".crossing-armband").all():
        assert (
            box.locator("text").bounding_box()["width"]
            < (box.locator("rect").bounding_box()["width"])
        )


def test_wordmark_and_menu_never_overlap(visits):
    at, person = PAGES["start"](Cast())
    page = visits.open(person, viewport=PHONE)
    page.goto(at)
    wordmark, menu = page.locator(".wordmark"), page.locator(".site-menu > summary")
    assert wordmark.bounding_box()["y"] < 10
    assert abs(wordmark.bounding_box()["y"] - menu.bounding_box()["y"]) < 10
    enlarge(page)
    below = wordmark.bounding_box()["y"] + wordmark.bounding_box()["height"]
    assert menu.bounding_box()["y"] >= below
    menu.click()
    entries = page.locator(".site-menu nav")
    assert entries.bounding_box()["width"] == page.locator("h1").evaluate(
        "h1 => h1.closest('main').clientWidth - 2 * parseFloat(getComputedStyle(h1.closest('main')).paddingLeft)"
    )


@pytest.mark.parametrize(
    ("viewport", "dogs", "larger", "stays"),
    [
        (PHONE, "abcde", False, "whole"),
        (PHONE, "abcdefghijkl", False, "whole"),
        ({"width": 360, "height": 600}, "abcdefghijkl", False, "head"),
        ({"width": 740, "height": 360}, "abcde", False, "head"),
        (PHONE, "abcde", True, "head"),
        ({"width": 360, "height": 400}, "abcde", True, "nothing"),
    ],
)
def test_strip_takes_a_quarter_of_the_screen_at_most(
    visits, club, bob, viewport, dogs, larger, stays
):
    page = visits.open(bob, viewport=viewport)
    page.goto(address(attempt_at(club, bob, names=dogs)))
    if larger:
        enlarge(page)
    strip, places = page.locator(".strip"), page.locator(".strip-places")
    expect(strip).to_have_css("position", "static" if stays == "nothing" else "sticky")
    expect(places).to_be_visible(visible=stays == "whole")
    if stays != "nothing":
        assert strip.bounding_box()["height"] <= viewport["height"] / 4


def test_marker_leaves_the_forelegs_in_sight(visits):
    """The dog faces left and its forelegs stand in the second quarter of the plate."""
    at, person = PAGES["made class, placing"](Cast())
    page = visits.open(person, viewport=PHONE)
    page.goto(at)
    enlarge(page)
    page.locator("[data-act]").first.click()
    marker = page.locator(".plate-marker .marker").first.bounding_box()
    plate = page.locator(".plate-inner").first.bounding_box()
    assert marker["x"] + marker["width"] < plate["x"] + plate["width"] / 4
