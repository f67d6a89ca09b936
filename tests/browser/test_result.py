"""The result page: what is folded, what can be pressed, what stays in view, what is printed."""

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from quizzes import attempts
from quizzes.models import Attempt
from tests.browser.axe import assert_accessible, assert_fits
from tests.browser.conftest import PHONE
from tests.browser.ring import attempt_at
from tests.placing import key

pytestmark = pytest.mark.django_db(transaction=True)

TWELVE = "abcdefghijkl"


@pytest.fixture
def result(club, bob):
    """The address of a result: the order handed in, with cuts of 1 as far as they fit."""

    def make(order):
        names = "".join(sorted(order))
        cuts = [1] * (len(names) - 1) if len(names) < 6 else None
        document = key(names, cuts=cuts)
        attempt = attempt_at(club, bob, order=order, names=names, key=document)
        attempts.hand_in(attempt, now=timezone.now())
        return f"/attempts/{attempt.pk}/result/"

    return make


def test_twelve_dogs_upside_down_are_readable(visits, bob, result):
    """66 pairs differ: the page is accessible, fits a phone, and is not endless."""
    page = visits.open(bob, viewport=PHONE, reduced_motion="reduce")
    page.goto(result(TWELVE[::-1]))
    assert_fits(page)
    assert_accessible(page)
    assert page.locator("article.pair").count() == 66
    height = page.evaluate("document.documentElement.scrollHeight")
    assert height < 12 * PHONE["height"]


@pytest.mark.parametrize("order", ["edcba", TWELVE[::-1]])
def test_links_of_the_figure_can_be_pressed(visits, bob, result, order):
    page = visits.open(bob, viewport=PHONE)
    page.goto(result(order))
    links = page.locator(".crossing a").all()
    assert links
    boxes = [link.bounding_box() for link in links]
    assert all(min(box["width"], box["height"]) >= 24 for box in boxes)
    for link in links:
        link.click()


def test_places_and_letters_are_shown_on_a_phone(visits, bob, result):
    page = visits.open(bob, viewport=PHONE)
    page.goto(result("bacde"))
    figure = page.locator(".crossing-figure")
    for text in figure.get_by_text("1st").all():
        expect(text).to_be_visible()
        box = text.bounding_box()
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= PHONE["width"]
    expect(page.get_by_role("link", name="11 over 22, see a").first).to_be_visible()


def test_a_link_unfolds_what_it_leads_to(visits, bob, result):
    page = visits.open(bob)
    page.goto(result("edcba"))
    part = page.locator("#pair-f")
    assert part.get_attribute("open") is None
    page.locator(".matrix a", has_text="f").click()
    expect(part).to_have_attribute("open", "")
    expect(part.locator(".pair-body")).to_be_visible()


def test_an_address_unfolds_what_it_leads_to(visits, bob, result):
    page = visits.open(bob)
    page.goto(result("edcba") + "#pair-e")
    expect(page.locator("#pair-e .pair-body")).to_be_visible()


def test_print_shows_what_is_folded(visits, bob, result):
    page = visits.open(bob)
    page.goto(result("edcba"))
    folded = page.locator("#pair-f .pair-body")
    assert not folded.is_visible() or folded.bounding_box()["height"] == 0
    page.emulate_media(media="print")
    assert folded.bounding_box()["height"] > 20


def test_figure_stays_beside_the_pairs(visits, bob, result):
    page = visits.open(bob)
    page.goto(result(TWELVE[::-1]))
    pairs = page.locator(".result-pairs").bounding_box()
    figure = page.locator(".crossing")
    assert abs(figure.bounding_box()["y"] - pairs["y"]) < 40
    page.locator("#pair-z").scroll_into_view_if_needed()
    box = figure.bounding_box()
    assert box["y"] < page.viewport_size["height"]
    assert box["y"] + box["height"] > 0


def test_place_it_again_from_near_the_top(visits, bob, result):
    page = visits.open(bob, java_script_enabled=False)
    page.goto(result("bacde"))
    page.get_by_role("button", name="Place it again").first.click()
    page.wait_for_url("**/attempts/*/")
    assert Attempt.objects.count() == 2
