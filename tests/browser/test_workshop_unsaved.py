"""Texts of a mentor are not lost: the pages say what is unsaved, and warn before they are left."""

import pytest
from playwright.sync_api import expect

from quizzes.models import Revision
from tests.browser.conftest import PHONE, session_cookie
from tests.browser.pages import Cast
from tests.factories import MembershipFactory
from tests.placing import placing_class
from trainer.clubs.models import Role

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def draft(cast):
    return placing_class(cast.club, module=cast.module, state=Revision.State.DRAFT)


@pytest.fixture
def cast():
    return Cast()


def desk(visits, cast, draft, name, **options):
    page = visits.open(cast.mentor, **options)
    page.asked = []

    def stay(dialog):
        page.asked.append(dialog.type)
        dialog.dismiss()

    page.on("dialog", stay)
    page.goto(f"/workshop/classes/{draft.exercise_id}/{name}/")
    return page


def state(page):
    return page.locator("[data-unsaved-state] > :visible, [data-saved]")


def offline(page):
    """Nothing that is posted arrives."""
    page.route(
        "**/*",
        lambda route: (
            route.abort() if route.request.method == "POST" else route.continue_()
        ),
    )


@pytest.mark.parametrize(
    ("name", "field"),
    [("key", "textarea[name=note]"), ("dogs", "textarea[name=b-ringside]")],
)
def test_text_is_saved_as_one_types(visits, cast, draft, name, field):
    page = desk(visits, cast, draft, name)
    expect(state(page)).to_contain_text("Last saved")
    page.locator(field).fill("Long in the loin.")
    expect(state(page)).to_have_text("Not saved yet.")
    expect(state(page)).to_contain_text("Saved ")
    page.reload()
    expect(page.locator(field)).to_have_value("Long in the loin.")
    page.get_by_role("link", name="Modules", exact=True).click()
    expect(page).to_have_url(f"{visits.url}/modules/")
    assert page.asked == []


@pytest.mark.parametrize(
    ("name", "field"),
    [("key", "textarea[name=note]"), ("dogs", "textarea[name=b-ringside]")],
)
def test_text_that_can_not_be_saved_is_warned_of(visits, cast, draft, name, field):
    page = desk(visits, cast, draft, name)
    offline(page)
    page.locator(field).fill("Long in the loin.")
    expect(state(page)).to_contain_text("No connection")
    page.get_by_role("link", name="Modules", exact=True).click()
    page.wait_for_function("document.activeElement")
    assert page.asked == ["beforeunload"]
    expect(page.locator(field)).to_have_value("Long in the loin.")


def test_a_new_armband_is_shown_at_once(visits, cast, draft):
    page = desk(visits, cast, draft, "dogs")
    page.locator("input[name=b-armband]").fill("77")
    expect(page.locator("#dog-b legend .armband")).to_have_text("77")


def test_taking_the_change_back_leaves_nothing_unsaved(visits, cast):
    """Where a revision is in force nothing is saved before the button is pressed."""
    in_force = placing_class(cast.club, module=cast.module)
    page = desk(visits, cast, in_force, "key")
    tick = page.get_by_label("Either order is fine").first
    tick.check()
    expect(state(page)).to_have_text("Not saved yet.")
    tick.uncheck()
    expect(state(page)).to_have_text("No change yet")
    turned = page.get_by_label("It turned on").first
    turned.select_option(index=0)
    expect(state(page)).to_have_text("Not saved yet.")


@pytest.mark.parametrize("scripts", [True, False])
def test_going_on_to_publishing_takes_the_text_along(visits, cast, draft, scripts):
    page = desk(visits, cast, draft, "key", viewport=PHONE, java_script_enabled=scripts)
    page.locator("textarea[name=note]").fill("Typed last.")
    page.get_by_role("button", name="Save, on to publishing").click()
    expect(page.get_by_role("heading", name="Before you publish")).to_be_visible()
    assert Revision.objects.get(pk=draft.pk).key["note"] == "Typed last."
    assert page.asked == []


def test_either_order_greys_the_cut_and_asks_why_either(visits, cast, draft):
    page = desk(visits, cast, draft, "key")
    band = page.locator("#gap-0")
    reason = band.locator("textarea").first
    because, either = "11 over 22, because", "Why 11 and 22 may stand either way"
    expect(reason).to_have_accessible_name(because)
    cut = band.get_by_label("Cut between 11 and 22", exact=True)
    colour = cut.evaluate("input => getComputedStyle(input).borderTopColor")
    band.get_by_label("Either order is fine").check()
    expect(reason).to_have_accessible_name(either)
    expect(band.get_by_text("cut not counted")).to_be_visible()
    expect(cut).not_to_have_css("border-top-color", colour)
    band.get_by_label("Either order is fine").uncheck()
    expect(reason).to_have_accessible_name(because)
    expect(band.get_by_text("cut not counted")).to_be_hidden()


def test_words_lost_by_a_reload_are_offered_again(visits, cast, draft):
    page = visits.open(cast.mentor)
    address = f"/workshop/classes/{draft.exercise_id}/dogs/"
    page.goto(address)
    offline(page)
    field = page.locator("textarea[name=b-ringside]")
    before = field.input_value()
    field.fill("Long in the loin, and a soft back.")
    page.on("dialog", lambda dialog: dialog.accept())
    page.reload()
    expect(field).to_have_value(before)
    notice = page.get_by_role("status").filter(has_text="was not saved")
    expect(notice).to_contain_text("Long in the loin")
    page.get_by_role("button", name="Bring it back").click()
    expect(field).to_have_value("Long in the loin, and a soft back.")
    page.unroute("**/*")
    page.get_by_role("button", name="Save", exact=True).last.click()
    expect(state(page)).to_contain_text("Last saved")
    expect(page.get_by_text("that was not saved")).to_have_count(0)
    page.goto(address)
    expect(page.get_by_text("that was not saved")).to_have_count(0)


def test_words_are_kept_from_others_at_the_same_device(visits, cast, draft):
    page = visits.open(cast.mentor)
    address = f"/workshop/classes/{draft.exercise_id}/dogs/"
    page.goto(address)
    offline(page)
    page.locator("textarea[name=b-ringside]").fill("Mine alone.")
    page.on("dialog", lambda dialog: dialog.accept())
    page.reload()
    expect(page.get_by_text("Mine alone.")).to_be_visible()
    other = MembershipFactory(club=cast.club, role=Role.MENTOR).user
    page.context.clear_cookies()
    page.context.add_cookies([session_cookie(other, visits.url)])
    page.goto(address)
    expect(page.get_by_text("Mine alone.")).to_have_count(0)


@pytest.mark.parametrize("scripts", [True, False])
def test_the_word_below_a_cut_follows_the_field(visits, cast, draft, scripts):
    page = desk(visits, cast, draft, "key", java_script_enabled=scripts)
    cut = page.locator("input[name=cut-0]")
    word = page.locator(".cut").first.locator(".cut-word")
    cut.fill("")
    expect(word).to_have_text("no cut", use_inner_text=True)
    cut.fill("5")
    if scripts:
        expect(word).to_have_text("cut, moderate", use_inner_text=True)
    else:
        expect(word).not_to_contain_text("no cut", use_inner_text=True)
    page.locator(".save-row button[value=save]").click()
    expect(word).to_have_text("cut, moderate", use_inner_text=True)
