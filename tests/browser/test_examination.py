"""The examination from memory on a phone by keyboard, without a script, and with a mouse."""

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import PHONE
from tests.browser.pages import Cast
from tests.examinations import examination, opened

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def cast():
    return Cast()


@pytest.fixture
def attempt(cast):
    revision = examination(cast.club, asked=["order", "gap"], module=cast.module)
    return opened(revision, cast.trainee)


def placed(page):
    return page.locator("[data-placed] [data-name]").all_inner_texts()


def test_steps_are_put_in_order_by_keyboard_on_a_phone(visits, cast, attempt):
    page = visits.open(cast.trainee, viewport=PHONE)
    page.goto(f"/attempts/{attempt.pk}/")
    names = page.locator("[data-waiting] [data-name]").all_inner_texts()
    page.locator("[data-waiting] [data-move=next]").first.focus()
    for _step in names:
        # The focus goes on to the next step that waits.
        page.keyboard.press("Enter")
    assert placed(page) == names
    expect(page.get_by_label("I would leave out")).to_be_hidden()
    first = page.get_by_role("button", name=f"Move {names[0]} down", exact=True)
    first.press("Enter")
    assert placed(page)[:2] == [names[1], names[0]]
    expect(first).to_be_focused()
    expect(page.locator("[data-telling]")).to_have_text(f"{names[0]} is now 2nd")
    number = page.get_by_label(f"Place of {names[-1]}", exact=True)
    number.fill("1")
    number.press("Tab")
    order = [names[-1], names[1], names[0], *names[2:-1]]
    assert placed(page) == order
    expect(page.locator("[data-saved]")).to_contain_text("Saved")
    page.reload()
    assert placed(page) == order
    wide = page.evaluate("document.documentElement.scrollWidth")
    assert wide <= PHONE["width"]
    page.get_by_role("button", name="Go on to the missing step").click()
    expect(page.get_by_text("Second of two pages")).to_be_visible()
    page.locator("#a-gap label").first.click()
    page.locator("#a-after label").first.click()
    page.get_by_role("button", name="Hand in").click()
    expect(page).to_have_url(visits.url + f"/attempts/{attempt.pk}/result/")
    expect(page.get_by_text("pairs of steps in the mentor")).to_be_visible()


def test_without_a_script_every_button_is_a_page(visits, cast, attempt):
    page = visits.open(cast.trainee, viewport=PHONE, java_script_enabled=False)
    page.goto(f"/attempts/{attempt.pk}/")
    names = page.locator("[data-waiting] [data-name]").all_inner_texts()
    for name in names[:2]:
        page.get_by_role("button", name=f": {name}").click()
    page.get_by_role("button", name=f"Move {names[1]} up", exact=True).click()
    assert placed(page) == [names[1], names[0]]
    page.get_by_label("I would leave out").check()
    page.get_by_role("button", name="Go on to the missing step").click()
    page.locator("#a-gap input").first.check()
    page.locator("#a-after input").first.check()
    page.get_by_role("button", name="Hand in").click()
    expect(page.get_by_role("heading", name="Left out")).to_be_visible()


def test_a_step_is_dragged_by_its_name(visits, cast, attempt):
    page = visits.open(cast.trainee)
    page.goto(f"/attempts/{attempt.pk}/")
    for _n in range(4):
        page.locator("[data-waiting] [data-move=next]").first.click()
    before = placed(page)
    rows = page.locator("[data-placed] [data-name]")
    from_box, to_box = rows.nth(3).bounding_box(), rows.nth(0).bounding_box()
    page.mouse.move(from_box["x"] + 10, from_box["y"] + 10)
    page.mouse.down()
    page.mouse.move(to_box["x"] + 10, to_box["y"] + 20, steps=5)
    page.mouse.up()
    assert placed(page) == [before[3], *before[:3]]
    page.mouse.down()
    page.mouse.move(to_box["x"] + 10, to_box["y"] + 120, steps=5)
    page.keyboard.press("Escape")
    page.mouse.up()
    assert placed(page) == [before[3], *before[:3]]
