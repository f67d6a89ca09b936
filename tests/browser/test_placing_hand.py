"""A class in which the hand's findings wait until the trainee goes over the dog."""

import pytest
from playwright.sync_api import expect

from quizzes.models import Attempt
from tests.browser.axe import assert_accessible, assert_fits
from tests.browser.conftest import PHONE
from tests.browser.ring import (
    address,
    attempt_at,
    card,
    expect_order,
    expect_saved,
    hand_in_button,
    place,
)

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def attempt(club, bob):
    made = attempt_at(club, bob, names="abc")
    made.revision.content |= {"hand_later": True}
    made.revision.save()
    return made


def go_over(page, dog):
    button = card(page, dog).get_by_role("button", name="Go over it with the hand")
    button.click()
    expect(button).to_have_count(0)


def answer_of(attempt):
    return Attempt.objects.get(pk=attempt.pk).answer


@pytest.mark.parametrize("scripts", [True, False])
def test_hand_is_told_when_the_dog_is_gone_over(visits, bob, attempt, scripts):
    page = visits.open(bob, viewport=PHONE, java_script_enabled=scripts)
    page.goto(address(attempt))
    expect(card(page, "a")).not_to_contain_text("a by hand.")
    place(page, "b", "a")
    go_over(page, "a")
    expect(card(page, "a")).to_contain_text("a by hand.")
    expect(card(page, "c")).not_to_contain_text("c by hand.")
    expect_order(page, "b", "a")
    assert answer_of(attempt)["order"] == ["b", "a"]
    assert answer_of(attempt)["handled"] == ["a"]


def test_moves_after_it_do_not_undo_it(visits, bob, attempt):
    page = visits.open(bob)
    page.goto(address(attempt))
    go_over(page, "c")
    place(page, "a", "b", "c")
    expect_saved(page)
    assert answer_of(attempt)["handled"] == ["c"]
    hand_in_button(page).click()
    page.wait_for_url("**/result/")
    assert answer_of(attempt) == {
        "order": ["a", "b", "c"],
        "rulings": {},
        "handled": ["c"],
    }


def test_page_is_accessible_and_fits(visits, bob, attempt):
    page = visits.open(bob, viewport={"width": 320, "height": 568})
    page.goto(address(attempt))
    go_over(page, "a")
    assert_fits(page)
    assert_accessible(page)
