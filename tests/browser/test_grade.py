"""Dogs graded on a phone: by keyboard, kept over a reload, explained."""

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import PHONE
from tests.browser.pages import Cast

pytestmark = pytest.mark.django_db(transaction=True)


def test_dogs_are_graded_by_keyboard_on_a_phone(visits):
    cast = Cast()
    attempt = cast.open_sheets["grade"]
    page = visits.open(cast.trainee, viewport=PHONE)
    page.goto(f"/attempts/{attempt.pk}/")
    dogs = page.locator(".sheet-one")
    for n in range(dogs.count()):
        dog = dogs.nth(n)
        dog.get_by_role("radio", name="Excellent").focus()
        page.keyboard.press("ArrowDown")
        expect(dog.get_by_role("radio", name="Very good")).to_be_checked()
        dog.get_by_role("combobox").first.select_option(label="For: Movement")
    expect(page.locator("[data-saved]")).to_contain_text("Saved")
    page.reload()
    expect(dogs.first.get_by_role("radio", name="Very good")).to_be_checked()
    expect(dogs.first.get_by_role("combobox").first).to_have_value("for:movement")
    wide = page.evaluate("document.documentElement.scrollWidth")
    assert wide <= PHONE["width"]
    page.get_by_role("button", name="Hand in").click()
    expect(page).to_have_url(visits.url + f"/attempts/{attempt.pk}/result/")
    # Very good is right for one, and next to right for two.
    expect(page.get_by_text("You have 2 of 6 as the key has it.")).to_be_visible()
    page.get_by_text("For those who ask").click()
    expect(page.get_by_text("Cohen's kappa with linear weights")).to_be_visible()
