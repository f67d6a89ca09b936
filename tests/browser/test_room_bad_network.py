"""The room where things go wrong: answers that come after the next class began, two rostrums, cards by keyboard."""

import re

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from tests.browser.axe import assert_accessible, assert_fits
from tests.browser.conftest import PHONE
from tests.examinations import examination, right_answer
from tests.factories import UserFactory
from tests.placing import placing_class
from tests.seminars import attendee, seminar, services, sitting
from tests.sheets import right, sheet
from trainer.seminars import sittings
from trainer.seminars.models import Hand, Sitting
from trainer.seminars.stage import result_told
from trainer.seminars.stage_pages import pages

pytestmark = pytest.mark.django_db(transaction=True)
SOON = 15_000
STROKES = 15
"""Five seconds at three strokes a second, which is no typist's speed."""


@pytest.fixture
def held(club, alice):
    return seminar(club, mentors=[alice])


def phone(visits, held, person, **options):
    services.check_in(attendee(held, person), now=timezone.now())
    page = visits.open(person, viewport=PHONE, **options)
    page.goto(f"/seminars/{held.pk}/room/")
    return page


def tap(page, *numbers):
    for number in numbers:
        page.locator(f'[data-number="{number}"]').click()


def test_an_answer_is_sent_though_the_room_has_gone_on(visits, held, club, bob):
    first = sitting(held, placing_class(club, title="Open dogs"), open=True)
    page = phone(visits, held, bob)
    tap(page, 22, 11, 33, 44)
    page.route("**/hand-in/", lambda route: route.abort())
    page.get_by_role("button", name="Hand in the placing").click()
    expect(page.locator("[data-state]")).to_contain_text("No connection")
    sittings.close(first, now=timezone.now() - timezone.timedelta(minutes=1))
    sitting(held, placing_class(club, title="Open bitches"), open=True)
    expect(page.get_by_role("heading", name="Open bitches")).to_be_visible(timeout=SOON)
    expect(page.locator("[data-outbox-said]")).to_contain_text("An earlier answer")
    tap(page, 44, 33)
    page.unroute("**/hand-in/")
    expect(page.locator("[data-outbox-said]")).to_contain_text(
        "It came late and is marked so.", timeout=40_000
    )
    hand = Hand.objects.handed_in().get()
    assert (hand.sitting_id, hand.is_late) == (first.pk, True)
    assert hand.answer["order"] == ["b", "a", "c", "d"]
    # What was begun in the class after it is not touched.
    expect(page.locator("[data-order]")).to_have_text("Your order: 44, 33")


def test_the_form_stays_as_it_is_while_the_room_goes_on(visits, held, club, bob):
    one = sitting(held, placing_class(club), open=True, seconds=60)
    page = phone(visits, held, bob)
    page.get_by_text("See the dogs").click()
    page.get_by_label("Your placing, best first").fill("22-11")
    page.locator("#placing").focus()
    sittings.more_time(one, 600, now=timezone.now())
    expect(page.get_by_text(re.compile("1[01] min"))).to_be_visible(timeout=SOON)
    expect(page.locator("#hand-dogs")).to_have_attribute("open", "")
    expect(page.locator("#placing")).to_have_value("22-11")
    expect(page.locator("#placing")).to_be_focused()
    sittings.pause(Sitting.objects.get(pk=one.pk), now=timezone.now())
    expect(page.get_by_text("The clock is stopped")).to_be_visible(timeout=SOON)
    tap(page, 33)
    expect(page.locator("#placing")).to_have_value("22-11-33")


def test_two_rostrums_follow_each_other(visits, held, club, alice, organiser):
    sitting(held, placing_class(club, title="Open dogs"), seconds=600)
    tablet = visits.open(alice, viewport={"width": 1024, "height": 768})
    handset = visits.open(organiser, viewport=PHONE)
    for page in (tablet, handset):
        page.goto(f"/seminars/{held.pk}/rostrum/")
    tablet.locator("#do-next").click()
    expect(handset.locator("#do-close")).to_be_visible()
    handset.locator("#do-pause").click()
    expect(tablet.locator("#do-resume")).to_be_visible()
    # A class that is added on one stands in the other's row, and what is typed there stays.
    handset.get_by_label("Armband numbers").fill("7 12")
    tablet.get_by_role("textbox", name="Class", exact=True).fill("Live bitches")
    tablet.get_by_label("Armband numbers").fill("4 7 12")
    tablet.get_by_role("button", name="Add this class").click()
    expect(handset.get_by_text("2. Live bitches")).to_be_visible()
    expect(handset.get_by_label("Armband numbers")).to_have_value("7 12")
    handset.locator("#do-close").click()
    expect(tablet.locator("#do-show")).to_be_visible()
    assert_fits(handset)
    assert_accessible(handset)
    # Who is slower is told what has happened; nothing is done twice.
    tablet.evaluate(
        "document.querySelector('[data-poll]').removeAttribute('data-poll')"
    )
    handset.get_by_role("button", name="Open it again").click()
    expect(handset.locator("#do-close")).to_be_visible()
    tablet.locator("#do-reopen").click()
    expect(tablet.get_by_text("another screen was quicker")).to_be_visible()


def test_pages_of_the_stage_are_turned_from_the_keyboard(visits, held, club, alice):
    one = sitting(held, placing_class(club), open=True)
    for order in ("abcd", "bacd", "abdc", "badc", "abcd"):
        place = attendee(held)
        sittings.take(
            sittings.hand_of(one, place),
            {"order": list(order), "rulings": {}},
            submission=None,
            now=timezone.now(),
        )
    sittings.close(one, now=timezone.now())
    sittings.show(Sitting.objects.get(pk=one.pk), now=timezone.now())
    stage = visits.open(alice, viewport={"width": 1280, "height": 720})
    stage.goto(f"/seminars/{held.pk}/stage/")
    rostrum = visits.open(alice)
    rostrum.goto(f"/seminars/{held.pk}/rostrum/")
    for heading in ("Where the room parts from the key", "How many have each pair"):
        rostrum.locator("#do-after").focus()
        rostrum.keyboard.press("Enter")
        expect(stage.get_by_role("heading", name=heading)).to_be_visible()
        assert_accessible(stage)
        assert_fits(stage)
    # A clicker at the projector's own machine does the same.
    stage.keyboard.press("PageUp")
    expect(stage.get_by_role("heading", name="Where the room parts")).to_be_visible()
    expect(rostrum.get_by_text("page 2 of")).to_be_visible()
    stage.keyboard.press("PageDown")
    expect(stage.get_by_role("heading", name="How many have each")).to_be_visible()


def test_a_card_is_typed_in_with_fifteen_strokes(visits, held, club, organiser):
    sitting(held, placing_class(club, names="abcde"), open=True)
    people = [
        attendee(held, UserFactory(), name=f"Name {n}", number=str(n))
        for n in range(31, 35)
    ]
    page = visits.open(organiser)
    page.goto(f"/seminars/{held.pk}/sittings/1/clerk/")
    for n, person in enumerate(people):
        order = [11, 22, 33, 44, 55]
        order[n : n + 2] = reversed(order[n : n + 2])
        strokes = [*person.number, "Enter", *"".join(map(str, order)), "Enter"]
        assert len(strokes) <= STROKES
        for key in strokes:
            page.keyboard.press(key)
        said = f"{person.name}: {'-'.join(map(str, order))}. Next card."
        expect(page.get_by_text(said)).to_be_visible()
    assert Hand.objects.handed_in().count() == len(people)
    assert_accessible(page)


def test_steps_and_landmarks_are_answered_on_the_phone(visits, held, club, bob):
    exam = sitting(held, examination(club, asked=("order",)), open=True)
    page = phone(visits, held, bob)
    names = {one["id"]: one["name"] for one in exam.revision.content["steps"]}
    for step in right_answer(exam.revision).order:
        page.locator(f'[data-step="{step}"] [data-move="next"]').click()
    expect(page.locator("[data-placed] [data-name]")).to_have_text(
        [names[step] for step in right_answer(exam.revision).order]
    )
    # The page goes away and comes back: the order is kept on the phone.
    page.reload()
    expect(page.locator("[data-placed] [data-step]")).to_have_count(len(names))
    assert_fits(page)
    assert_accessible(page)
    page.get_by_role("button", name="Hand in").click()
    expect(page.get_by_text("Your answer is in")).to_be_visible()
    sittings.close(exam, now=timezone.now())
    marks = sheet(club, "eye")
    row = next((one for one in marks.content["items"] if one["marks"]), None)
    one = sitting(held, marks, open=True)
    expect(page.get_by_role("heading", name=marks.title)).to_be_visible(timeout=SOON)
    values = right(marks)["items"]
    for pk, value in values.items():
        if not isinstance(value, dict):
            page.locator(f'[name="a-{pk}"]').fill(str(value))
    if row:
        for name, (x, y) in values[row["id"]].items():
            part = page.locator(f'#a-{row["id"]} [data-name="{name}"]')
            part.locator('[data-axis="x"]').fill(str(x))
            part.locator('[data-axis="y"]').fill(str(y))
    page.get_by_role("button", name="Hand in").click()
    expect(page.get_by_text("Your answer is in")).to_be_visible()
    assert one.hands.handed_in().count() == 1


@pytest.mark.parametrize("kind", ["placing", "severity"])
def test_without_scripts_hand_and_rostrum_work(
    visits, held, club, bob, alice, organiser, kind
):
    made = placing_class(club) if kind == "placing" else sheet(club, kind)
    one = sitting(held, made)
    plain = {"java_script_enabled": False}
    rostrum = visits.open(alice, **plain)
    rostrum.goto(f"/seminars/{held.pk}/rostrum/")
    rostrum.locator("#do-next").click()
    page = phone(visits, held, bob, **plain)
    if kind == "placing":
        page.get_by_label("Your placing, best first").fill("11 22 33 44")
    else:
        for pk, value in right(made)["items"].items():
            page.locator(f'[name="a-{pk}"][value="{value}"]').check()
    page.get_by_role("button", name=re.compile("Hand in")).click()
    expect(page.get_by_text(re.compile("is in$")).first).to_be_visible()
    attendee(held, UserFactory(), name="Ann Marsh", number="17")
    clerk = visits.open(organiser, **plain)
    clerk.goto(f"/seminars/{held.pk}/sittings/1/clerk/")
    clerk.get_by_label("Whose card").fill("17")
    if kind == "placing":
        clerk.get_by_label("The placing, best first").fill("44-33-22-11")
    else:
        for pk, value in right(made)["items"].items():
            clerk.locator(f'[name="a-{pk}"][value="{value}"]').check()
    clerk.get_by_role("button", name="Keep it").click()
    expect(clerk.get_by_text(re.compile("Ann Marsh.*Next card"))).to_be_visible()
    rostrum.get_by_role("link", name="Look again").click()
    expect(rostrum.locator(".rostrum-count")).to_contain_text("2")
    rostrum.locator("#do-close").click()
    rostrum.locator("#do-show").click()
    rostrum.get_by_role("button", name="Show it").click()
    expect(rostrum.get_by_text("Result shown").first).to_be_visible()
    page.get_by_role("link", name="Look again").click()
    expect(page.get_by_role("link", name="In your record")).to_be_visible()
    assert one.hands.counted().count() == 2


SMALLEST = """() => {
  const walk = document.createTreeWalker(document.querySelector("main"), NodeFilter.SHOW_TEXT);
  const sizes = [];
  while (walk.nextNode()) {
    const { textContent, parentElement } = walk.currentNode;
    if (!textContent.trim() || parentElement.closest(".visually-hidden, noscript")) continue;
    sizes.push(parseFloat(getComputedStyle(parentElement).fontSize));
  }
  return Math.min(...sizes) / innerHeight;
}"""
LONG = (
    "Best of breed of the spring championship, twelve dogs, and all of them from abroad"
)


def is_read_from_the_back(page):
    """No letters under a thirtieth of the height, and nothing below the edge of the screen."""
    assert page.evaluate(SMALLEST) > 1 / 30
    assert page.evaluate("document.documentElement.scrollHeight <= innerHeight")
    assert_fits(page)


@pytest.mark.parametrize("size", [(1920, 1080), (1280, 720)])
def test_the_stage_is_read_from_the_back(visits, held, club, alice, size):
    names = "abcdefghijkl"
    width, height = size
    stage = visits.open(alice, viewport={"width": width, "height": height})
    stage.goto(f"/seminars/{held.pk}/stage/")
    is_read_from_the_back(stage)
    klass = placing_class(club, names=names, title=LONG)
    exam = examination(club)
    for revision in (klass, exam):
        one = sitting(held, revision, open=True)
        for n in range(5):
            answer = right_answer(exam).document()
            if revision == klass:
                order = [*names[n:], *names[:n]]
                answer = {"order": order, "rulings": {}}
            else:
                answer["order"] = [*answer["order"][n:], *answer["order"][:n]]
            sittings.take(
                sittings.hand_of(one, attendee(held)),
                {**answer, "gap": "", "after": -1} if "gap" in answer else answer,
                submission=None,
                now=timezone.now(),
            )
        stage.goto(f"/seminars/{held.pk}/stage/")
        is_read_from_the_back(stage)
        sittings.close(one, now=timezone.now())
        done = sittings.show(Sitting.objects.get(pk=one.pk), now=timezone.now())
        done = sittings.say(done, "Sort them into three heaps. " * 8)
        every = len(pages(done, result_told(done)))
        for page in range(every):
            sittings.turn(done, page)
            stage.goto(f"/seminars/{held.pk}/stage/")
            is_read_from_the_back(stage)
