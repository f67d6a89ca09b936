"""Photographs in a browser: sent one by one, marked by hand, and all of it without scripts."""

import pytest
from playwright.sync_api import expect

from tests.browser.axe import assert_accessible, assert_fits
from tests.browser.conftest import PHONE
from tests.browser.pages import Cast
from tests.models.test_pictures import keep, sent
from tests.photographs import heif, jpeg
from trainer.pictures.models import Picture

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def cast(db):
    return Cast()


@pytest.fixture
def kept(cast):
    (found,) = keep(cast.club, cast.mentor, sent(data=jpeg(1000, 800)))
    return found


def file(name, data):
    return {"name": name, "mimeType": "application/octet-stream", "buffer": data}


FILES = [
    file("one.jpg", jpeg()),
    file("two.heic", heif()),
    file("bad.jpg", b"<html>"),
]


def test_files_are_sent_one_by_one_and_each_says_what_became_of_it(visits, cast):
    page = visits.open(cast.mentor)
    page.goto("/pictures/new/")
    page.get_by_label("Photographs").set_input_files(FILES)
    page.get_by_role("button", name="Take them in").click()
    expect(page.locator("[data-upload-state]")).to_have_text(
        "2 of 3 taken in, 1 refused"
    )
    rows = page.locator(".upload-file")
    for row, name in ((rows.nth(0), "one.jpg"), (rows.nth(1), "two.heic")):
        expect(row).to_contain_text(name)
        expect(row.get_by_role("link", name="taken in")).to_be_visible()
    expect(rows.nth(2).get_by_role("link")).to_have_count(0)
    expect(rows.nth(2).locator("[data-says]")).to_contain_text("This is no photograph")
    expect(page.locator("progress:visible")).to_have_count(0)
    assert_accessible(page)
    page.get_by_role("link", name="Now say whose they are").click()
    expect(page.locator(".picture-card")).to_have_count(2)
    assert Picture.objects.count() == 2


def test_dropped_files_are_taken_in(visits, cast):
    page = visits.open(cast.mentor)
    page.goto("/pictures/new/")
    data = page.evaluate_handle(
        """(bytes) => {
            const data = new DataTransfer();
            data.items.add(new File([new Uint8Array(bytes)], "dropped.jpg"));
            return data;
        }""",
        list(jpeg()),
    )
    page.dispatch_event("main", "drop", {"dataTransfer": data})
    expect(page.locator(".upload-file")).to_contain_text("dropped.jpg taken in")


def test_bar_shows_that_a_file_is_under_way(visits, cast):
    page = visits.open(cast.mentor)
    page.goto("/pictures/new/")
    held = []

    def hold(route):
        if route.request.method == "POST":
            held.append(route)
        else:
            route.continue_()

    page.route("**/pictures/new/", hold)
    page.get_by_label("Photographs").set_input_files(FILES[:1])
    page.get_by_role("button", name="Take them in").click()
    bar = page.get_by_role("progressbar", name="one.jpg")
    expect(bar).to_be_visible()
    expect(page.get_by_role("button", name="Take them in")).to_be_disabled()
    held[0].continue_()
    expect(bar).to_be_hidden()
    expect(page.locator(".upload-file")).to_contain_text("taken in")
    expect(page.get_by_role("button", name="Take them in")).to_be_enabled()


def test_file_that_is_too_large_is_not_sent(visits, cast):
    page = visits.open(cast.mentor)
    page.goto("/pictures/new/")
    page.get_by_label("Photographs").set_input_files(
        [file("large.jpg", jpeg() + bytes(9 * 1024 * 1024)), FILES[0]]
    )
    page.get_by_role("button", name="Take them in").click()
    expect(page.locator("[data-upload-state]")).to_have_text(
        "1 of 2 taken in, 1 refused"
    )
    says = page.locator(".upload-file").first.locator("[data-says]")
    expect(says).to_contain_text("It is larger than 5.0")


def test_lost_connection_is_said_at_the_file(visits, cast):
    page = visits.open(cast.mentor)
    page.goto("/pictures/new/")
    page.get_by_label("Photographs").set_input_files(FILES[:1])
    page.context.set_offline(True)
    page.get_by_role("button", name="Take them in").click()
    expect(page.locator(".upload-file")).to_contain_text("It did not arrive")
    page.context.set_offline(False)
    page.get_by_label("Photographs").set_input_files(FILES[:1])
    page.get_by_role("button", name="Take them in").click()
    expect(page.locator(".upload-file").nth(1)).to_contain_text("taken in")


def test_all_of_it_without_scripts(visits, cast):
    page = visits.open(cast.mentor, java_script_enabled=False, viewport=PHONE)
    page.goto("/pictures/new/")
    page.get_by_label("Photographs").set_input_files(file("one.jpg", jpeg(1000, 800)))
    page.get_by_role("button", name="Take them in").click()
    expect(page.locator("main")).to_contain_text("Now say whose it is.")
    page.get_by_label("Whose photograph it is").fill("Ada Lens")
    page.get_by_label("How it may be used").select_option("used here by permission")
    page.get_by_label("I have the right").check()
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.locator("main")).to_contain_text("Your club can use the photograph.")
    page.get_by_role("link", name="Crop").click()
    page.get_by_label("Right edge").fill("50")
    page.get_by_role("button", name="See how it would look").click()
    expect(page.get_by_alt_text("How it would look")).to_be_visible()
    page.get_by_role("button", name="Put it in its place").click()
    expect(page.locator("main")).to_contain_text("The photograph is changed.")
    page.get_by_role("link", name="Place landmarks").click()
    for name, x, y in (
        ("Hip joint", 20, 20),
        ("Stifle", 20, 60),
        ("Hock joint", 80, 60),
    ):
        page.get_by_label(f"{name}, per cent from the left").fill(str(x))
        page.get_by_label(f"{name}, per cent from the top").fill(str(y))
    page.get_by_role("button", name="Save and measure").click()
    row = page.get_by_role("row").filter(has_text="Stifle, inside angle")
    expect(row).to_contain_text("90°")
    assert Picture.objects.get().width == 500


def drag(page, box, start, end):
    """Press, move and let go; places in parts of the box."""

    def at(place):
        return (
            box["x"] + place[0] * box["width"],
            box["y"] + place[1] * box["height"],
        )

    page.mouse.move(*at(start))
    page.mouse.down()
    page.mouse.move(*at(end), steps=4)
    page.mouse.up()


def number(page, label):
    return float(page.get_by_label(label).first.input_value())


def test_rectangle_is_drawn_across_the_photograph(visits, cast, kept):
    page = visits.open(cast.mentor)
    page.goto(f"/pictures/{kept.public_id}/change/cover/")
    box = page.locator(".picture-overlay").bounding_box()
    drag(page, box, (0.6, 0.5), (0.2, 0.1))
    for label, value in (("Left", 20), ("Upper", 10), ("Right", 60), ("Lower", 50)):
        assert number(page, f"{label} edge") == pytest.approx(value, abs=0.6)
    drag(page, box, (0.7, 0.7), (0.9, 0.9))
    expect(page.locator(".picture-overlay rect")).to_have_count(2)
    page.get_by_role("button", name="See how it would look").click()
    expect(page.get_by_alt_text("How it would look")).to_be_visible()
    assert_accessible(page)
    page.get_by_role("button", name="Put it in its place").click()
    expect(page.locator("main")).to_contain_text("The photograph is changed.")
    kept.refresh_from_db()
    assert kept.edition == 2


def test_numbers_move_the_rectangle_that_stays(visits, cast, kept):
    page = visits.open(cast.mentor)
    page.goto(f"/pictures/{kept.public_id}/change/crop/")
    page.get_by_label("Left edge").fill("25")
    expect(page.locator(".picture-overlay rect")).to_have_attribute("x", "25%")
    expect(page.locator(".picture-overlay rect")).to_have_attribute("width", "75%")


def test_landmarks_by_tap_drag_and_arrow_keys(visits, cast, kept):
    page = visits.open(cast.mentor)
    page.goto(f"/pictures/{kept.public_id}/landmarks/")
    chooser = page.get_by_label("The next click or tap places")
    svg = page.locator(".picture-overlay")
    chooser.select_option("Hip joint")
    box = svg.bounding_box()

    def click(x, y):
        svg.click(position={"x": x * box["width"], "y": y * box["height"]})

    for place in ((0.2, 0.2), (0.2, 0.6), (0.5, 0.6)):
        click(*place)
    expect(page.locator(".landmark")).to_have_count(3)
    expect(chooser).to_have_value("rear_fetlock")
    stifle = "Stifle, per cent from the left"
    assert number(page, stifle) == pytest.approx(20, abs=0.5)

    page.get_by_role("button", name="Hock joint").focus()
    before = number(page, "Hock joint, per cent from the left")
    for key in ("ArrowRight", "ArrowRight", "Shift+ArrowLeft"):
        page.keyboard.press(key)
    after = number(page, "Hock joint, per cent from the left")
    assert after - before == pytest.approx(1.9)

    drag(page, box, (0.2, 0.6), (0.3, 0.6))
    assert number(page, stifle) == pytest.approx(30, abs=0.6)
    page.get_by_label(stifle).fill("20")
    circle = page.get_by_role("button", name="Stifle").locator("circle").first
    expect(circle).to_have_attribute("cx", "20%")
    page.get_by_role("button", name="Save and measure").first.click()
    expect(
        page.get_by_role("row").filter(has_text="Stifle, inside angle")
    ).to_contain_text("90°")
    expect(page.locator(".landmark")).to_have_count(3)
    assert_accessible(page)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize(
    "more", ["", "landmarks/", "change/crop/", "change/cover/", "change/mirror/"]
)
def test_pages_fit_a_phone_and_are_accessible(visits, cast, kept, more, scheme):
    page = visits.open(
        cast.mentor, viewport=PHONE, color_scheme=scheme, reduced_motion="reduce"
    )
    page.goto(f"/pictures/{kept.public_id}/{more}")
    assert_fits(page)
    assert_accessible(page)
