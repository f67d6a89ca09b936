"""Questions in a browser: answered with keys alone, kept while the connection is gone."""

import re

import pytest
from playwright.sync_api import expect

from quizzes.models import Attempt
from tests.browser.conftest import PHONE
from tests.browser.pages import Cast

pytestmark = pytest.mark.django_db(transaction=True)

SAVED = re.compile(r"^Saved \d\d:\d\d$")


@pytest.fixture
def cast():
    return Cast()


@pytest.fixture
def attempt(cast):
    return cast.open_sheets["question"]


def press_through(page):
    """Answer every question as somebody without a mouse does: Tab, space, digits."""
    page.locator("form[data-sheet] input:visible").first.focus()
    seen = set()
    for _ in range(40):
        kind, name = page.evaluate(
            "[document.activeElement.type, document.activeElement.name]"
        )
        if not (name or "").startswith("a-"):
            break
        if name not in seen:
            page.keyboard.press("Space") if kind != "text" else page.keyboard.type(
                "11,5"
            )
        seen.add(name)
        page.keyboard.press("Tab")
    return seen


def test_answered_and_handed_in_with_keys_alone(visits, cast, attempt):
    page = visits.open(cast.trainee)
    page.goto(f"/attempts/{attempt.pk}/")
    assert press_through(page) == {f"a-{pk}" for pk in attempt.shown["order"]}
    expect(page.locator("[data-saved]")).to_have_text(SAVED)
    page.get_by_role("button", name="Hand in").focus()
    page.keyboard.press("Enter")
    expect(page.locator(".sheet-headline")).to_contain_text("as the key has it")
    attempt.refresh_from_db()
    assert attempt.is_handed_in
    assert 11.5 in attempt.answer["items"].values()


def test_answers_outlive_a_lost_connection(visits, cast, attempt):
    page = visits.open(cast.trainee, viewport=PHONE)
    page.goto(f"/attempts/{attempt.pk}/")
    page.context.set_offline(True)
    press_through(page)
    expect(page.locator("[data-saved]")).to_contain_text("No connection")
    assert Attempt.objects.get(pk=attempt.pk).answer == attempt.answer
    page.context.set_offline(False)
    expect(page.locator("[data-saved]")).to_have_text(SAVED, timeout=15_000)
    items = Attempt.objects.get(pk=attempt.pk).answer["items"]
    assert set(items) == set(attempt.shown["order"])


def test_the_mentor_sees_the_fields_of_the_kind_of_answer(visits, cast):
    page = visits.open(cast.mentor)
    page.goto(f"/workshop/sheets/{cast.sheets['question'].exercise_id}/")
    row = page.locator("#row-r1")
    expect(row.get_by_label("Answer a", exact=True)).to_be_visible()
    expect(row.get_by_label("The number")).to_be_hidden()
    row.get_by_label("a number").check()
    expect(row.get_by_label("The number")).to_be_visible()
    expect(row.get_by_label("Answer a", exact=True)).to_be_hidden()
