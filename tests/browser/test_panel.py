"""A panel in the browser: opened, keyed with the keyboard and without scripts, read, adopted."""

import random
import re

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from quizzes.models import Panel, Revision
from quizzes.panels.services import close_panel, open_panel
from tests.browser.axe import assert_accessible, assert_fits
from tests.browser.conftest import PHONE
from tests.factories import ClubFactory, MembershipFactory
from tests.placing import key, placing_class
from trainer.clubs.models import Role

pytestmark = pytest.mark.django_db(transaction=True)

NARROW = {"width": 320, "height": 568}
OUT = {"d": {"ruling": "excused", "reason": "Lame, right fore."}}


class Cast:
    """A club of three mentors, and the draft of a class."""

    def __init__(self):
        club = ClubFactory()
        self.mentors = [
            MembershipFactory(
                club=club, role=Role.MENTOR, user__name=name, user__verified=True
            ).user
            for name in ("Alice Mentor", "Ada Mentor", "Zeno Mentor")
        ]
        self.alice, self.ada, self.zeno = self.mentors
        self.draft = placing_class(
            club, state=Revision.State.DRAFT, edited_by=self.alice
        )
        self.address = reverse("quizzes:panel", args=[self.draft.exercise_id])

    def opened(self):
        return open_panel(
            self.draft,
            mentors=self.mentors,
            message="By Sunday, please.",
            by=self.alice,
            now=timezone.now(),
            rng=random.Random(1),
        )

    def closed(self, *keys):
        """The panel with these keys, in the order of the mentors; all the same without."""
        panel = self.opened()
        keys = keys or [key("abcd")] * 3
        for made, document in zip(panel.keys.order_by("pk"), keys, strict=True):
            made.key, made.done_at = document, timezone.now()
            made.save()
        return close_panel(panel, now=timezone.now())


@pytest.fixture
def cast():
    return Cast()


def check(page):
    """Accessible in both looks, and no wider than a narrow screen."""
    page.set_viewport_size(NARROW)
    assert_fits(page)
    assert_accessible(page)
    page.emulate_media(color_scheme="dark")
    assert_accessible(page)


def test_from_the_class_to_the_key(visits, cast):
    page = visits.open(cast.alice, reduced_motion="reduce")
    page.goto(reverse("quizzes:exercise-manage", args=[cast.draft.exercise_id]))
    page.get_by_role("link", name="A key by a panel").click()
    page.get_by_label("Zeno Mentor").uncheck()
    page.get_by_label("Message").fill("By Sunday, please.")
    page.get_by_role("button", name="Ask these mentors").click()
    expect(page.get_by_text("0 of 2 keys are in.")).to_be_visible()

    hers = visits.open(cast.ada, viewport=PHONE, java_script_enabled=False)
    hers.goto("/workshop/")
    asked = hers.get_by_role("region", name="Keys asked of you")
    asked.get_by_role("link", name=cast.draft.title).click()
    for place, armband in enumerate((22, 11, 33, 44), start=1):
        ordinal = ("1st", "2nd", "3rd", "4th")[place - 1]
        line = hers.locator(".panel-line")
        name = re.compile(rf"Place {ordinal}\s*, {armband}")
        line.get_by_role("button", name=name).click()
    hers.get_by_label("22 over 11, because").fill("22 is the sounder of the two.")
    hers.get_by_role("button", name="My key is done").click()
    expect(
        hers.get_by_text("You can change it until the panel is closed.")
    ).to_be_visible()

    page.reload()
    expect(page.get_by_text("1 of 2 keys are in.")).to_be_visible()
    expect(page.get_by_text("22 is the sounder")).to_have_count(0)
    made = Panel.objects.get().keys.get(mentor=cast.ada)
    assert made.key["order"] == list("bacd")
    assert made.key["pairs"][0]["reason"] == "{b} is the sounder of the two."


def test_closing_and_adopting_with_the_keyboard(visits, cast):
    panel = cast.opened()
    panel.keys.update(key=key("dcba"), done_at=timezone.now())
    page = visits.open(cast.alice, reduced_motion="reduce")
    page.goto(cast.address)
    page.get_by_text("Close the panel", exact=True).press("Enter")
    page.get_by_role("button", name="Close it and read the keys").press("Enter")
    lead = "The three mentors agree on 6 of 6 pairs; Kendall's W is 1.00."
    expect(page.get_by_text(lead)).to_be_visible()
    page.get_by_role("link", name="Take this order into the draft").press("Enter")
    choice = page.get_by_role("radio", name="Zeno Mentor: 44 beats 33.")
    choice.press("Space")
    expect(choice).to_be_checked()
    page.get_by_role("button", name="Write it into the draft").press("Enter")
    expect(page.get_by_text("The panel's key is in the draft.")).to_be_visible()
    cast.draft.refresh_from_db()
    assert cast.draft.key["order"] == list("dcba")
    assert cast.draft.key["pairs"][0]["reason"] == "{d} beats {c}. (Zeno Mentor)"


def test_what_is_missing_takes_the_focus(visits, cast):
    panel = cast.opened()
    page = visits.open(cast.ada, reduced_motion="reduce")
    page.goto(panel.keys.get(mentor=cast.ada).get_absolute_url())
    page.get_by_role("button", name="My key is done").click()
    expect(page.get_by_role("alert")).to_be_focused()
    expect(page.get_by_role("alert")).to_contain_text("1st is free in the key.")
    check(page)


def test_asking(visits, cast):
    page = visits.open(cast.alice, reduced_motion="reduce")
    page.goto(cast.address)
    check(page)


def test_a_panel_of_one_club_without_mentors(visits, cast):
    for mentor in (cast.ada, cast.zeno):
        mentor.memberships.all().delete()
    page = visits.open(cast.alice, reduced_motion="reduce")
    page.goto(cast.address)
    expect(page.get_by_text("your club has fewer")).to_be_visible()
    check(page)


@pytest.mark.parametrize(
    "keys",
    [
        (),
        (key("abcd"), key("bacd", cuts=[3, 2, 1]), key("badc")),
        (key("abc", rulings=OUT), key("bca", rulings=OUT), key("cabd")),
    ],
    ids=["alike", "apart", "in a circle, one dog out"],
)
def test_a_closed_panel(visits, cast, keys):
    cast.closed(*keys)
    page = visits.open(cast.ada, reduced_motion="reduce")
    page.goto(cast.address)
    check(page)
    with page.expect_navigation():
        page.get_by_role("link", name="Take this order into the draft").first.click()
    check(page)


def test_a_panel_that_saw_other_dogs(visits, cast):
    cast.opened()
    cast.draft.content["dogs"][0]["ringside"] = "Longer in the back than it was."
    cast.draft.save()
    page = visits.open(cast.alice, reduced_motion="reduce")
    page.goto(cast.address)
    check(page)
    page.get_by_role("button", name="Show the dogs as they are now").click()
    text = "The panel sees the dogs as they are now."
    expect(page.get_by_text(text)).to_be_visible()


def test_keys_asked_of_one(visits, cast):
    cast.opened()
    page = visits.open(cast.ada, reduced_motion="reduce")
    page.goto("/workshop/")
    check(page)
