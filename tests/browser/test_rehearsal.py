"""The examination on a timer: it goes on by itself, pauses, and is all there without scripts."""

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import PHONE
from tests.browser.pages import Cast
from tests.factories import ModuleFactory, ModuleRevisionFactory

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def cast():
    return Cast()


@pytest.fixture
def address(cast):
    module = ModuleFactory(club=cast.club, revision=None)
    ModuleRevisionFactory(module=module, steps=3)
    return f"/modules/{module.pk}/examination/hands-free/"


def shown(page):
    return page.locator("[data-step]:visible h2")


def test_steps_follow_each_other_until_it_is_paused(visits, cast, address):
    page = visits.open(cast.trainee, viewport=PHONE)
    page.clock.install()
    page.goto(address)
    expect(page.get_by_text("Ask the handler first")).to_be_visible()
    expect(shown(page)).to_have_count(1)
    first = shown(page).inner_text()
    page.get_by_label("Time for a step").select_option("10")
    page.get_by_role("button", name="Start").click()
    page.clock.run_for(10_500)
    expect(shown(page)).not_to_have_text(first)
    second = shown(page).inner_text()
    page.get_by_role("button", name="Pause").click()
    page.clock.run_for(60_000)
    expect(shown(page)).to_have_text(second)
    page.get_by_role("button", name="Go on").click()
    page.clock.run_for(10_500)
    page.clock.run_for(10_500)
    expect(page.get_by_role("status").last).to_have_text("That was the last step.")


def test_keys_go_back_and_on(visits, cast, address):
    page = visits.open(cast.trainee)
    page.goto(address)
    names = page.locator("[data-step] h2").all_inner_texts() or []
    page.locator("h1").click()
    page.keyboard.press("ArrowRight")
    expect(page.locator("[data-step]:visible .rehearse-place")).to_contain_text(
        "Step 2 of 3"
    )
    page.keyboard.press("ArrowLeft")
    expect(page.locator("[data-step]:visible .rehearse-place")).to_contain_text(
        "Step 1 of 3"
    )
    assert len(names) == 3


def test_without_scripts_every_step_is_there(visits, cast, address):
    page = visits.open(cast.trainee, java_script_enabled=False)
    page.goto(address)
    expect(shown(page)).to_have_count(3)
    expect(page.get_by_role("button", name="Start")).to_have_count(0)
