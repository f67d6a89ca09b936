"""The workbench by mouse, by keyboard, on a phone and without scripts; another class, pressed on."""

import re

import pytest
from playwright.sync_api import expect

from quizzes.models import Attempt, Build, Drawing, Revision
from tests.browser.axe import assert_accessible, assert_fits
from tests.browser.conftest import PHONE
from tests.browser.pages import Cast
from tests.browser.ring import hand_in_button
from tests.factories import BuildFactory

pytestmark = pytest.mark.django_db(transaction=True)

BENCH = "/workshop/drawing/?breed=marlefell-drover&seed=4"


@pytest.fixture
def cast(settings, tmp_path):
    settings.VAR_DIR = tmp_path
    return Cast()


def number(page, name):
    return page.locator(f"input[name={name}]")


def slider(page, name):
    return page.locator(f".control:has(input[name={name}]) input[type=range]")


def side(page):
    return page.locator(".bench-seen > .plate img")


def expect_drawn(page, words):
    expect(side(page)).to_have_attribute("alt", re.compile(words))
    expect(side(page)).to_have_js_property("complete", True)


def test_moving_a_slider_draws_the_dog_anew(visits, cast):
    page = visits.open(cast.mentor)
    page.goto(BENCH)
    expect(page.get_by_role("button", name="Draw", exact=True)).to_be_hidden()
    expect(page.get_by_text("Nothing differs from the breed's own.")).to_be_visible()
    slider(page, "F1").fill("80")
    expect(number(page, "F1")).to_have_value("80")
    expect_drawn(page, r"straight shoulder \(clearly\)")
    assert "F1=80" in page.url
    row = page.get_by_role(
        "row", name=re.compile("^Layback of the blade, from vertical")
    )
    expect(row.first).to_contain_text("22°")
    page.reload()
    expect(number(page, "F1")).to_have_value("80")
    expect(slider(page, "F1")).to_have_value("80")


def test_dog_of_a_class_stays_the_one_that_is_drawn(visits, cast):
    draft = cast.draft
    dog = draft.content["dogs"][1]
    page = visits.open(cast.mentor)
    page.goto(f"{BENCH}&for={draft.exercise_id}:{dog['id']}")
    button = page.get_by_role("button", name=f"Save it as {dog['armband']}")
    expect(button).to_be_visible()
    page.locator("summary", has_text="From the front").click()
    slider(page, "R9").fill("80")
    expect(page.get_by_text("Not seen from the side.")).to_be_visible()
    page.reload()
    expect(page.locator("#save-dog select")).to_have_value(
        f"{draft.exercise_id}:{dog['id']}"
    )
    button.click()
    draft.refresh_from_db()
    assert draft.content["dogs"][1]["faults"] == {"R9": 0.8}


def test_on_a_wide_window_the_dog_stays_beside_the_last_control(visits, cast):
    page = visits.open(cast.mentor)
    page.goto(BENCH)
    page.locator("summary", has_text="Measuring layer").scroll_into_view_if_needed()
    expect(side(page).first).to_be_in_viewport()


def test_by_keyboard_alone(visits, cast):
    page = visits.open(cast.mentor)
    page.goto(BENCH)
    slider(page, "F1").focus()
    for _press in range(6):
        page.keyboard.press("ArrowRight")
    expect(number(page, "F1")).to_have_value("30")
    expect_drawn(page, "straight shoulder")
    expect(slider(page, "F1")).to_be_focused()
    page.keyboard.press("Tab")
    expect(number(page, "F1")).to_be_focused()
    page.keyboard.press("ArrowUp")
    expect_drawn(page, "straight shoulder")
    page.get_by_label("Facing right").focus()
    page.keyboard.press("Space")
    expect_drawn(page, "facing right")
    expect(page.get_by_label("Facing right")).to_be_focused()
    expect(page.locator("[data-telling]")).to_contain_text("facing right")


def test_nothing_wrong_takes_all_faults_back(visits, cast):
    page = visits.open(cast.mentor)
    page.goto(f"{BENCH}&F1=80&R4=50")
    page.get_by_role("link", name="Take all faults away").click()
    expect(number(page, "F1")).to_have_value("0")
    expect_drawn(page, "Nothing departs")


def test_another_breed_brings_its_own_build(visits, cast):
    page = visits.open(cast.mentor)
    page.goto(f"{BENCH}&b-length=112&F1=50")
    page.get_by_label("Breed", exact=True).select_option("linsey-companion")
    page.wait_for_url(re.compile("breed=linsey-companion"))
    expect_drawn(page, "feathered coat.*prick ears.*straight shoulder")
    assert "b-length" not in page.locator("[data-query]").get_attribute("data-query")


def test_own_breed_is_built_kept_and_drawn(visits, cast):
    page = visits.open(cast.mentor)
    page.goto(BENCH)
    page.get_by_label("Ear", exact=True).select_option("prick")
    page.get_by_label("Pattern", exact=True).select_option("saddle")
    expect_drawn(page, "dark saddle, prick ears")
    slider(page, "F1").fill("80")
    expect_drawn(page, "straight shoulder")
    page.get_by_label("Name of the breed").fill("Sallowmere Herder")
    page.get_by_label("Classes drawn so").select_option(index=0)
    page.get_by_label("Name of the breed").press("Enter")
    expect(page.get_by_text("Sallowmere Herder is kept.")).to_be_visible()
    chosen = page.get_by_label("Breed", exact=True).locator("option:checked")
    expect(chosen).to_have_text("Sallowmere Herder")
    assert Build.objects.get().values == {"ear": "prick", "pattern": "saddle"}
    assert_accessible(page)
    page.get_by_role("link", name="Take all faults away").click()
    expect(page.get_by_text("Nothing differs from the breed's own.")).to_be_visible()
    expect(page.get_by_label("Ear", exact=True)).to_have_value("prick")
    slider(page, "F2").fill("70")
    expect_drawn(page, "dark saddle, prick ears.*short upper arm")
    assert "ear=" not in page.url
    page.get_by_role("button", name=re.compile("^Take away.*Sallowmere")).click()
    expect(page.get_by_text("The breed is taken away.")).to_be_visible()


def test_own_breed_without_scripts_on_a_phone(visits, cast):
    build = BuildFactory(club=cast.club, name="Sallowmere Herder")
    page = visits.open(cast.mentor, java_script_enabled=False, viewport=PHONE)
    page.goto(f"{BENCH}&b-length=112&F1=50")
    assert_fits(page)
    page.get_by_label("Breed", exact=True).select_option(build.name)
    page.get_by_role("button", name="Draw", exact=True).click()
    expect_drawn(page, "prick ears.*straight shoulder")
    expect(number(page, "b-length")).to_have_value("114.0")
    expect(page.get_by_label("Name of the breed")).to_have_value(build.name)


def test_without_scripts_the_button_draws(visits, cast):
    cast.drawn_module  # noqa: B018
    page = visits.open(cast.mentor, java_script_enabled=False)
    page.goto(BENCH)
    expect(slider(page, "F1")).to_be_hidden()
    number(page, "F1").fill("80")
    page.get_by_role("button", name="Draw", exact=True).click()
    expect_drawn(page, "straight shoulder")
    expect(page.get_by_text("A PNG is made in the browser")).to_be_visible()
    expect(page.get_by_role("button", name="PNG")).to_have_count(0)
    page.get_by_label("Class and dog").select_option(
        label="a new class, Marlefell Drover"
    )
    page.get_by_role("button", name="Save as a dog").click()
    expect(page.get_by_role("heading", name="The dogs")).to_be_visible()
    assert Revision.objects.get().content["dogs"][0]["faults"] == {"F1": 0.8}


def test_files_are_saved(visits, cast):
    page = visits.open(cast.mentor)
    page.goto(f"{BENCH}&F1=80")
    with page.expect_download() as drawing:
        page.get_by_role("link", name=re.compile("^SVG.*From the side")).click()
    assert drawing.value.suggested_filename == "marlefell-drover-side.svg"
    with page.expect_download() as pixels:
        page.get_by_role("button", name=re.compile("^PNG.*Head study")).click()
    assert pixels.value.suggested_filename == "marlefell-drover-head.png"
    assert pixels.value.path().read_bytes().startswith(b"\x89PNG\r\n")


def test_on_a_phone_the_dog_stays_in_sight(visits, cast):
    cast.drawn_module  # noqa: B018
    page = visits.open(cast.mentor, viewport=PHONE, has_touch=True)
    page.goto(BENCH)
    assert_fits(page)
    page.get_by_text("Quarters").first.click()
    number(page, "F13").scroll_into_view_if_needed()
    number(page, "F13").fill("90")
    expect_drawn(page, "straight stifle")
    expect(side(page)).to_be_in_viewport(ratio=0.9)
    expect(number(page, "F13")).to_be_in_viewport()
    assert_accessible(page)
    page.get_by_label("What it shows").fill("A straight stifle")
    page.get_by_label("Where it is shown").select_option(label="Hindquarters and croup")
    page.get_by_role("button", name="Keep the drawing").click()
    expect(page.get_by_text("Kept. It stands")).to_be_visible()
    kept = Drawing.objects.get()
    assert (kept.priority, kept.document["faults"]) == ("hindquarters", {"F13": 0.9})


def place_all(page):
    """Point to every dog in the order of the line."""
    while page.get_by_role("button", name=re.compile("^Place ")).count():
        page.get_by_role("button", name=re.compile("^Place ")).first.click()
        page.wait_for_timeout(50)


def test_another_class_on_a_phone(visits, cast):
    page = visits.open(cast.trainee, viewport=PHONE, has_touch=True)
    cast.drawn_module  # noqa: B018
    page.goto("/classes/")
    page.get_by_role("link", name="Another class, made for you").click()
    page.get_by_label("How many dogs").fill("3")
    page.get_by_label("Plain").check()
    page.get_by_role("button", name="Make the class").click()
    page.wait_for_url(re.compile(r"/attempts/\d+/$"))
    assert_fits(page)
    place_all(page)
    hand_in_button(page).click()
    page.wait_for_url(re.compile("/result/$"))
    assert_fits(page)
    expect(page.get_by_text("no mentor has looked at it").first).to_be_visible()
    page.get_by_role("button", name="Another class").first.click()
    page.wait_for_url(re.compile(r"/attempts/\d+/$"))
    expect(page.get_by_role("heading", level=1)).to_have_text(
        re.compile("Open dogs, three$")
    )
    assert Attempt.objects.count() == 2


def test_another_class_by_keyboard(visits, cast):
    attempt = cast.practised
    page = visits.open(cast.trainee)
    page.goto(f"/attempts/{attempt.pk}/result/")
    page.get_by_role("button", name="The same class again, mirrored").focus()
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile(r"/attempts/\d+/$"))
    expect(
        page.get_by_role("img", name=re.compile("facing right")).first
    ).to_be_visible()
    page.get_by_role("link", name=re.compile("^Compare")).first.focus()
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Laid over").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("img", name=re.compile("^Two outlines"))).to_be_visible()
    page.get_by_role("link", name="point of buttock").focus()
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile("align=point_of_buttock"))
    current = page.locator("[aria-current=true]")
    expect(current.last).to_have_text("point of buttock")
    page.get_by_role("link", name="Back to the class").click()
    expect(page.get_by_role("region", name="Your placing")).to_be_visible()
