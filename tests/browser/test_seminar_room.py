"""A whole seminar on seven devices: rostrum, stage, organiser, three phones, and whoever checks a certificate."""

import io
import re
from datetime import timedelta

import openpyxl
import pytest
from django.db.models import F
from playwright.sync_api import expect

from quizzes.models import Attempt
from tests.browser.axe import assert_accessible, assert_fits
from tests.browser.conftest import PHONE
from tests.factories import UserFactory
from tests.placing import placing_class
from tests.seminars import attendee, seminar, sitting
from trainer.seminars.models import Certificate, Hand, Presence, Sitting

pytestmark = pytest.mark.django_db(transaction=True)
TABLET = {"width": 1024, "height": 768}
PROJECTOR = {"width": 1920, "height": 1080}


@pytest.fixture
def held(club, alice):
    made = seminar(club, mentors=[alice], parts=[(0, 3)])
    sitting(made, placing_class(club, title="Open dogs"), seconds=600)
    sitting(made, placing_class(club, title="Open bitches"), seconds=600)
    return made


def joined(visits, held, *, user=None, name=""):
    """A phone that has come in by the code on the screen."""
    page = visits.open(user, viewport=PHONE)
    page.goto("/seminars/join/")
    page.get_by_label("The code on the screen").fill(held.join_code.lower())
    page.get_by_role("button", name="Go on").click()
    if name:
        page.get_by_role("textbox", name="Your name").fill(name)
        page.get_by_role("button", name="Sign in as a guest").click()
    else:
        page.get_by_role("button", name="Sign in to the room").click()
    expect(page.get_by_text("Nothing is asked yet.")).to_be_visible()
    return page


def look(*pages):
    """The pages look at once, as they do when a connection comes back, and not at their next turn."""
    for page in pages:
        page.evaluate("dispatchEvent(new Event('online'))")


def start(rostrum, title, *pages):
    rostrum.get_by_role("button", name=f"Start: {title}", exact=True).click()
    expect(rostrum.get_by_role("button", name="Close it")).to_be_visible()
    look(*pages)
    for page in pages:
        expect(page.get_by_role("heading", name=title, exact=True)).to_be_visible()


def tap(page, *numbers):
    expect(page.locator("[data-tap]")).to_be_visible()
    for number in numbers:
        page.locator(f'[data-number="{number}"]').click()


def hand_in(page):
    page.get_by_role("button", name="Hand in the placing").click()


def is_in(page):
    expect(page.get_by_text("Your placing is in")).to_be_visible()
    expect(
        page.get_by_text(re.compile(r"^In at \d\d:\d\d:\d\d, receipt"))
    ).to_be_visible()


def close_and_show(rostrum):
    rostrum.get_by_role("button", name="Close it").click()
    rostrum.locator("#do-show").click()
    rostrum.get_by_role("button", name="Show it").click()


def fetched(page, link):
    """The file that a link of the page leads to."""
    answer = page.request.get(link.get_attribute("href"))
    assert answer.ok
    return answer.body()


def test_a_seminar_from_the_first_class_to_the_certificates(
    visits, held, alice, bob, organiser
):
    rostrum = visits.open(alice, viewport=TABLET)
    rostrum.goto(f"/seminars/{held.pk}/rostrum/")
    stage = visits.open(organiser, viewport=PROJECTOR)
    stage.goto(f"/seminars/{held.pk}/stage/")
    expect(stage.locator(".stage-code")).to_have_text(held.join_code)
    assert_accessible(stage)
    card = attendee(held, UserFactory(), name="Ann Marsh", number="17")
    carla = UserFactory(name="Carla Third")
    phones = [
        joined(visits, held, user=bob),
        joined(visits, held, user=carla),
        joined(visits, held, name="Gwen Pale"),
    ]
    expect(stage.get_by_text("3 are here")).to_be_visible()

    first_class(rostrum, stage, phones, held)
    second_placing(rostrum, stage, phones)
    another_class(rostrum, phones)
    assert [one.state for one in Sitting.objects.all()] == ["shown"] * 3
    # Bob and Carla three times, Ann's card once; the guest has no record yet.
    assert Attempt.objects.count() == 7
    assert Attempt.objects.filter(trainee=card.person).count() == 1

    everybody_leaves(phones, held)
    the_organiser_ends_it(visits, organiser, held)


def first_class(rostrum, stage, phones, held):
    """Two phones with a bad network between, and a paper card."""
    start(rostrum, "Open dogs", *phones)
    tap(phones[0], 22, 11, 33, 44)
    # A second tap takes a dog back; the others close up.
    tap(phones[0], 22)
    expect(phones[0].locator("[data-order]")).to_have_text("Your order: 11, 33, 44")
    tap(phones[0], 22)
    assert_fits(phones[0])
    assert_accessible(phones[0])
    hand_in(phones[0])
    is_in(phones[0])

    # The connection goes before the answer is sent, and the phone is closed and opened again.
    tap(phones[1], 44, 33, 22, 11)
    phones[1].context.set_offline(True)
    hand_in(phones[1])
    expect(phones[1].locator("[data-state]")).to_contain_text("No connection")
    phones[1].close()
    phones[1].context.set_offline(False)
    phones[1] = phones[1].context.new_page()
    phones[1].goto(f"/seminars/{held.pk}/room/")
    is_in(phones[1])

    # The server has stored it, and the phone never hears of it: it asks again and is told once.
    tap(phones[2], 11, 22, 33, 44)
    lost = []

    def lose(route):
        if lost:
            return route.continue_()
        lost.append(route.fetch().status)
        return route.abort()

    phones[2].route("**/hand-in/", lose)
    hand_in(phones[2])
    is_in(phones[2])
    assert lost == [200]
    assert Hand.objects.handed_in().count() == 3

    expect(stage.get_by_text("3 of 3 in")).to_be_visible()
    expect(rostrum.get_by_text("3 of 3 in")).to_be_visible()
    rostrum.get_by_role("link", name="Paper cards").click()
    expect(rostrum.get_by_label("Whose card: number or name")).to_be_focused()
    rostrum.wait_for_load_state()
    rostrum.keyboard.type("17")
    rostrum.keyboard.press("Enter")
    rostrum.keyboard.type("11-22-44-33")
    rostrum.keyboard.press("Enter")
    expect(rostrum.get_by_text("Ann Marsh: 11-22-44-33. Next card.")).to_be_visible()
    expect(rostrum.get_by_label("Whose card: number or name")).to_be_focused()
    rostrum.goto(f"/seminars/{held.pk}/rostrum/")
    rostrum.get_by_role("button", name="Close it").click()
    expect(stage.get_by_role("heading", name="Closed")).to_be_visible()


def second_placing(rostrum, stage, phones):
    """The same class once more, then the key."""
    rostrum.get_by_role("button", name="Place it a second time").click()
    start(rostrum, "Open dogs, again", *phones)
    for page in phones:
        tap(page, 11, 22, 33, 44)
        hand_in(page)
        is_in(page)
    rostrum.reload()
    rostrum.get_by_role("button", name="Close it").click()
    rostrum.locator("#do-show").click()
    assert_accessible(rostrum)
    rostrum.get_by_role("button", name="Show it").click()
    expect(rostrum.get_by_text("Too few to show without showing who.")).to_be_visible()
    expect(stage.get_by_text("Too few to show without showing who.")).to_be_visible()
    look(*phones)
    for page in phones:
        expect(page.get_by_text("Every pair as the mentor has it")).to_be_visible()
    assert_fits(phones[0])
    assert_accessible(phones[0])
    text = stage.locator("main").inner_text()
    assert not any(name in text for name in ("Bob", "Carla", "Gwen", "Ann Marsh"))
    first, _other, again = Sitting.objects.order_by("number")
    assert (first.handed_in, again.handed_in) == (4, 3)
    assert again.result["change"]["n"] == 3


def another_class(rostrum, phones):
    start(rostrum, "Open bitches", *phones)
    for page in phones:
        tap(page, 22, 11, 33, 44)
        hand_in(page)
        is_in(page)
    close_and_show(rostrum)
    look(*phones)
    for page in phones:
        expect(page.get_by_text("5 of 6 pairs as the mentor has them")).to_be_visible()


def everybody_leaves(phones, held):
    """Two sign out on their phones, an hour after they came; one says what it was like. The third stays to the end."""
    Presence.objects.update(in_at=F("in_at") - timedelta(hours=1))
    for page in phones[:2]:
        page.locator("summary").filter(has_text="You are").click()
        page.get_by_role("button", name="I am leaving: sign me out of the room").click()
        expect(page.get_by_text("You are signed out of the room.")).to_be_visible()
    assert Presence.objects.running().count() == 1
    phones[0].goto(f"/seminars/{held.pk}/feedback/")
    phones[0].get_by_label("What was good").fill("The second look")
    phones[0].get_by_role("button", name="Send it").click()
    expect(phones[0].get_by_text("The club reads it without your name")).to_be_visible()


def the_organiser_ends_it(visits, organiser, held):
    """Over; certificates, one of them checked by somebody who has no account; the report as page and files."""
    page = visits.open(organiser)
    page.goto(f"/seminars/{held.pk}/")
    page.get_by_role("link", name="Over, or called off").click()
    page.get_by_role("button", name="It is over").click()
    expect(page.get_by_text("It is over.")).to_be_visible()
    assert not Presence.objects.running().exists()

    page.locator("a.button", has_text="Certificates of attendance").click()
    page.get_by_role("button", name="Issue for all who were there").click()
    expect(page.get_by_text("3 certificates are issued.")).to_be_visible()
    # Ann was never signed in: there is nothing to certify.
    row = page.get_by_role("row").filter(has_text="Ann Marsh")
    expect(row.get_by_role("link")).to_have_count(0)
    row = page.get_by_role("row").filter(has_text="Bob Trainee")
    pdf = fetched(page, row.get_by_role("link", name=re.compile("Number .*, PDF")))
    assert pdf.startswith(b"%PDF-")
    assert (
        fetched(page, page.get_by_role("link", name="All as one PDF"))[:5] == b"%PDF-"
    )

    code = Certificate.objects.get(attendee__name="Bob Trainee").code
    visitor = visits.open(viewport=PHONE)
    visitor.goto(f"/seminars/certificates/{code}/")
    expect(visitor.get_by_text("issued here, and it holds.")).to_be_visible()
    expect(visitor.get_by_text("Bob Trainee")).to_be_visible()
    expect(visitor.get_by_text("no qualification to judge")).to_be_visible()
    assert_fits(visitor)

    page.goto(f"/seminars/{held.pk}/report/")
    expect(page.get_by_text("3 of 4 with a place were there.")).to_be_visible()
    expect(page.get_by_role("heading", name="Open bitches")).to_be_visible()
    said = page.get_by_role("region", name="What attendees say")
    expect(said.get_by_text("The second look")).to_be_visible()
    expect(said.get_by_text("Bob")).to_have_count(0)
    assert_accessible(page)
    pdf = fetched(page, page.get_by_role("link", name="The report as a PDF"))
    assert pdf.startswith(b"%PDF-")
    link = page.get_by_role("link", name="all tables as a spreadsheet (XLSX)")
    book = openpyxl.load_workbook(io.BytesIO(fetched(page, link)))
    names = [row[0].value for row in book["Attendance"].iter_rows(min_row=2)]
    assert names == ["Ann Marsh", "Bob Trainee", "Carla Third", "Gwen Pale"]
