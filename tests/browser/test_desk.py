"""The desk in a browser: a module from nothing to published, and that no word is lost."""

import re

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from tests.browser.conftest import PHONE
from tests.browser.pages import Cast
from trainer.study.desk import drafts
from trainer.study.models import Module
from trainer.study.parts import PARTS

pytestmark = pytest.mark.django_db(transaction=True)

SAVED = re.compile(r"^Saved \d\d:\d\d$")


@pytest.fixture
def cast():
    return Cast()


@pytest.fixture
def draft(cast):
    return cast.module_draft


def desk(draft, rest=""):
    return f"/workshop/modules/{draft.module_id}/{rest}"


def add(page, name):
    page.get_by_label("Name", exact=True).fill(name)
    page.get_by_role("button", name=re.compile("^Add a")).click()


def save(page):
    """Press the button and wait for the page that says so: leaving sooner would break the request off."""
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.locator(".messages")).to_contain_text("Saved.")


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "no scripts"])
def test_from_an_empty_club_to_a_published_module(visits, cast, scripts):
    """What a new mentor does, from the first page to what a trainee reads."""
    page = visits.open(cast.mentor, java_script_enabled=scripts)
    page.goto("/workshop/modules/new/")
    page.get_by_label("Breed").fill("Holm Sheepdog")
    page.get_by_label("Title").fill("Judging the Holm Sheepdog")
    page.get_by_role("button", name="Begin").click()
    expect(page.get_by_text("things are missing before it can be")).to_be_visible()
    home = page.url

    page.get_by_role("link", name="About the module").click()
    page.get_by_label("Introduction").fill("A sheepdog of the islands.")
    page.get_by_label("The standard you teach from").fill("Its standard")
    page.get_by_label(re.compile("^What is the standard's")).fill("The order is mine.")
    page.get_by_role("button", name="Save, back to the module").click()
    expect(page.get_by_role("heading", name="Draft of revision 1")).to_be_visible()

    for name in ("Movement", "Coat"):
        page.goto(f"{home}priorities/")
        add(page, name)
        page.get_by_label("Look for").fill("What the eye finds.")
        page.get_by_label("Why it matters").fill("It walks all day.")
        page.get_by_role("button", name="Suggest words").click()
        expect(page.get_by_label("ideal", exact=True)).to_have_value(
            f"{name}: all one could ask for"
        )
        save(page)
    page.goto(f"{home}weights/")
    page.get_by_role("button", name="Weigh them by their order").click()
    expect(page.get_by_text("Movement counts more than coat.")).to_be_visible()

    page.goto(f"{home}steps/")
    add(page, "Approach")
    page.get_by_label("What to do").fill("Ask the handler; come from the front.")
    save(page)
    page.goto(f"{home}faults/")
    add(page, "Soft coat")
    page.get_by_label("What it is").fill("It holds the wet.")
    save(page)
    page.goto(f"{home}lessons/")
    add(page, "First look")
    page.get_by_role("button", name="Text", exact=True).click()
    page.get_by_label("Text", exact=True).fill("Stand **off** first.")
    page.get_by_role("button", name="Save, back to the lesson").click()
    expect(page.get_by_role("heading", name="Sections")).to_be_visible()

    page.goto(home)
    expect(page.get_by_text("Nothing is missing.")).to_be_visible()
    page.get_by_role("button", name="Publish as revision 1").click()
    expect(page.locator(".messages")).to_contain_text("Published.")
    reader = visits.open(cast.trainee, viewport=PHONE)
    module = Module.objects.get(breed__name="Holm Sheepdog")
    reader.goto(f"/modules/{module.pk}/")
    reader.get_by_role("link", name="First look").click()
    expect(reader.locator("strong")).to_have_text("off")


def test_typing_is_saved_by_itself(visits, draft, cast):
    row = PARTS["steps"].of(draft).get()
    page = visits.open(cast.mentor)
    page.goto(desk(draft, f"steps/{row.pk}/"))
    page.get_by_label("What to find").fill("A level back.")
    state = page.locator("[data-saved]")
    expect(state).to_have_text("Not saved yet")
    expect(state).to_have_text(SAVED)
    page.get_by_label("What to find").fill("A level back, firm.")
    expect(state).to_have_text(SAVED)
    row.refresh_from_db()
    assert (row.find, row.version) == ("A level back, firm.", 3)


def test_lost_connection_is_said_and_made_good(visits, draft, cast):
    row = PARTS["steps"].of(draft).get()
    page = visits.open(cast.mentor)
    page.goto(desk(draft, f"steps/{row.pk}/"))
    page.context.set_offline(True)
    page.get_by_label("What to find").fill("Typed without a connection.")
    state = page.locator("[data-saved]")
    expect(state).to_contain_text("No connection")
    page.context.set_offline(False)
    expect(state).to_have_text(SAVED)
    row.refresh_from_db()
    assert row.find == "Typed without a connection."


def test_leaving_with_unsaved_words_asks(visits, draft, cast):
    row = PARTS["steps"].of(draft).get()
    page = visits.open(cast.mentor)
    page.goto(desk(draft, f"steps/{row.pk}/"))
    page.context.set_offline(True)
    page.get_by_label("What to find").press_sequentially("x")
    asked = []
    page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.dismiss()))
    page.evaluate("location.reload()")
    page.wait_for_timeout(500)
    assert asked == ["beforeunload"]


def test_two_mentors_on_one_row_see_both(visits, draft, cast):
    row = PARTS["steps"].of(draft).get()
    page = visits.open(cast.mentor)
    page.goto(desk(draft, f"steps/{row.pk}/"))
    drafts.save_row(
        row, by=cast.trainee, now=timezone.now(), version=1, find="By another."
    )
    page.get_by_label("What to find").fill("By me.")
    expect(page.locator("[data-saved]")).to_contain_text("saved this at")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_role("alert")).to_contain_text("By another.")
    expect(page.get_by_label("What to find")).to_have_value("By me.")


def test_rows_are_moved_by_keyboard_and_by_dragging(visits, draft, cast):
    page = visits.open(cast.mentor)
    page.goto(desk(draft, "priorities/"))
    names = page.locator(".desk-row .margin-title")
    expect(names).to_have_text(["Priority 1", "Priority 2"])
    page.get_by_role("button", name="Move Priority 2 up").press("Enter")
    expect(names).to_have_text(["Priority 2", "Priority 1"])
    expect(page.get_by_role("button", name="Move Priority 2 down")).to_be_focused()
    rows = page.locator(".desk-row")
    rows.nth(1).locator(".desk-number").drag_to(rows.nth(0))
    expect(names).to_have_text(["Priority 1", "Priority 2"])


def test_points_are_set_by_click_and_moved_by_keys(visits, cast):
    lesson = cast.lesson
    page = visits.open(cast.mentor)
    page.goto(desk(cast.module_draft, f"lessons/{lesson.pk}/sections/b/"))
    page.locator(".points").click(position={"x": 40, "y": 60})
    page.keyboard.type("The muzzle.")
    point = page.get_by_role("button", name="Point 3")
    left = page.locator("[name=x]").nth(2)
    before = float(left.input_value())
    point.focus()
    page.keyboard.press("ArrowRight")
    expect(left).to_have_value(f"{before + 1:.1f}".removesuffix(".0"))
    expect(page.locator("[data-saved]")).to_have_text(SAVED)
    lesson.refresh_from_db()
    points = lesson.sections[1]["points"]
    assert [point["text"] for point in points][2:] == ["The muzzle."]
    assert points[2]["x"] == pytest.approx(before + 1)
    assert lesson.sections[1]["image"]["plate"]["breed"] == "marlefell-drover"


def test_text_is_set_by_buttons_and_shown_as_it_will_read(visits, cast):
    page = visits.open(cast.mentor)
    page.goto(desk(cast.module_draft, f"lessons/{cast.lesson.pk}/sections/a/"))
    area = page.get_by_label("Text", exact=True)
    area.fill("withers")
    area.select_text()
    page.get_by_role("button", name="Bold").click()
    expect(area).to_have_value("**withers**")
    expect(page.locator("[data-shown-text] strong")).to_have_text("withers")


def test_terms_open_on_a_key_a_tap_and_a_resting_pointer(visits, cast):
    lesson = cast.lesson
    address = f"/workshop/modules/preview/{cast.module_draft.module_id}/lessons/{lesson.slug}/"
    page = visits.open(cast.mentor)
    page.goto(address)
    term, meaning = page.locator(".term").first, page.locator(".term-meaning")
    term.press("Enter")
    expect(meaning).to_be_visible()
    page.keyboard.press("Escape")
    expect(meaning).to_be_hidden()
    term.hover()
    expect(meaning).to_be_visible()
    bare = visits.open(cast.mentor, viewport=PHONE, java_script_enabled=False)
    bare.goto(address)
    bare.locator(".term").first.click()
    expect(bare.locator(".term-meaning")).to_be_visible()


def test_drawn_dog_goes_from_the_workbench_into_a_lesson(visits, cast):
    lesson = cast.lesson
    page = visits.open(cast.mentor)
    page.goto("/workshop/drawing/?breed=marlefell-drover&F1=100")
    form = page.locator("#put-in-lesson")
    form.get_by_label("Lesson").select_option(str(lesson.pk))
    form.get_by_label("As", exact=True).select_option("ideal")
    form.get_by_role("button", name="Put it there").click()
    expect(page.get_by_role("heading", name="Two side by side")).to_be_visible()
    lesson.refresh_from_db()
    left, right = lesson.sections[-1]["sides"]
    assert left["image"]["plate"]["faults"] == {}
    assert right["image"]["plate"]["faults"] == {"F1": 1.0}
