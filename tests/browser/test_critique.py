"""Critiques in a browser: no word is lost, words are counted alike, and a second marker reads blind."""

import re

import pytest
from playwright.sync_api import expect

from quizzes.kinds.critique.content import count_words
from quizzes.models import Mark
from tests.browser.conftest import PHONE
from tests.browser.pages import Cast
from tests.critiques import TEXT

pytestmark = pytest.mark.django_db(transaction=True)

SAVED = re.compile(r"^Saved \d\d:\d\d$")
TEXTS = (
    "A well-laid blade, the dog's own.",
    "Ribs \u2013 well sprung; 24 months, the judge\u2019s eye",
    "\u0401\u043b\u043a\u0430 und Gr\u00f6\u00dfe, na\u00efve_ -- '",
    "- - \n\n",
)


@pytest.fixture
def cast():
    return Cast()


def sheet(cast):
    return f"/attempts/{cast.open_critique.pk}/"


def test_words_are_counted_as_the_server_counts_them(visits, cast):
    page = visits.open(cast.trainee)
    page.goto(sheet(cast))
    for text in TEXTS:
        page.get_by_label("Your critique").fill(text)
        n = count_words(text)
        said = page.locator("[data-count]").inner_text()
        assert said.startswith(str(n)) or (n == 1 and said == "One word")


def test_sheet_says_how_many_words_are_still_asked_for(visits, cast):
    page = visits.open(cast.trainee)
    page.goto(sheet(cast))
    line = page.locator("[data-count]")
    expect(line).to_have_text("0 words; 5 more are asked for")
    page.get_by_label("Your critique").fill("one two three four five six")
    expect(line).to_have_text("6 words")
    page.get_by_label("Your critique").fill("word " * 43)
    expect(line).to_have_text("43 words; 3 too many")


def test_typing_and_ticking_are_saved_by_themselves(visits, cast):
    page = visits.open(cast.trainee, viewport=PHONE)
    page.goto(sheet(cast))
    page.get_by_label("Your critique").fill(TEXT)
    state = page.locator("[data-saved]")
    expect(state).to_have_text("Not saved yet")
    expect(state).to_have_text(SAVED)
    page.get_by_label("Coat").check()
    expect(state).to_have_text("Not saved yet")
    expect(state).to_have_text(SAVED)
    page.reload()
    expect(page.get_by_label("Your critique")).to_have_value(TEXT)
    expect(page.get_by_label("Coat")).to_be_checked()


def test_lost_connection_is_made_good(visits, cast):
    page = visits.open(cast.trainee)
    page.goto(sheet(cast))
    page.context.set_offline(True)
    page.get_by_label("Your critique").fill(TEXT)
    state = page.locator("[data-saved]")
    expect(state).to_contain_text("No connection")
    page.context.set_offline(False)
    expect(state).to_have_text(SAVED)
    page.get_by_role("button", name="Hand in the critique").click()
    expect(
        page.get_by_role("heading", name="The mentor's own critique")
    ).to_be_visible()


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "no scripts"])
def test_from_the_sheet_to_the_returned_mark(visits, cast, scripts):
    """One trainee, two mentors, and back to the trainee, with the keyboard where it matters."""
    first_mentor, second_mentor = cast.mentor, cast.second_mentor
    page = visits.open(cast.trainee, java_script_enabled=scripts)
    page.goto(sheet(cast))
    page.get_by_label("Your critique").fill("Too short.")
    page.get_by_role("button", name="Hand in the critique").click()
    expect(page.get_by_role("alert")).to_contain_text("at least 5 are asked for")
    page.get_by_label("Your critique").fill(TEXT)
    page.get_by_role("button", name="Hand in the critique").click()
    expect(page.get_by_text("Not marked yet.")).to_be_visible()
    result = page.url

    first = visits.open(first_mentor, java_script_enabled=scripts)
    first.goto("/workshop/marking/")
    first.get_by_role("link", name=re.compile("Robin trainee")).click()
    give(first, 16, 7, "Croup and movement are true.")
    first.get_by_role("button", name="Ask for a second mark").press("Enter")
    expect(first.get_by_text("no mentor has taken it yet")).to_be_visible()

    second = visits.open(second_mentor, java_script_enabled=scripts)
    second.goto("/workshop/marking/?list=second")
    second.get_by_role("link", name=re.compile("Robin trainee")).click()
    expect(second.get_by_text("Croup and movement are true.")).to_have_count(0)
    give(second, 12, 7, "The coat is not soft.")
    second.get_by_role("button", name="Finish your mark").press("Enter")
    expect(second.get_by_text("Croup and movement are true.")).to_be_visible()
    expect(second.get_by_text("Weighted kappa, linear")).to_be_visible()

    first.reload()
    expect(first.get_by_text("The coat is not soft.")).to_be_visible()
    expect(first.get_by_label("Points, of 10")).to_have_value("7")
    first.get_by_label("Points, of 20").fill("14")
    first.get_by_role("button", name="Return to the writer").press("Enter")
    expect(first.get_by_text("Returned to the writer on")).to_be_visible()

    page.goto(result)
    expect(page.get_by_role("heading", name="Marked: 21 of 30 points")).to_be_visible()
    expect(page.get_by_text("Croup and movement are true.")).to_have_count(0)


def give(page, first, second, comment):
    page.get_by_label("Points, of 20").fill(str(first))
    page.get_by_label("Points, of 10").fill(str(second))
    page.get_by_label("Comment").first.fill(comment)


def test_mark_saves_itself_and_adds_up(visits, cast):
    page = visits.open(cast.mentor)
    page.goto(f"/workshop/marking/{cast.written.pk}/")
    give(page, 16, 7, "True.")
    expect(page.locator("[data-sum]")).to_have_text("Together 23 of 30")
    expect(page.locator("[data-saved]")).to_have_text(SAVED)
    assert Mark.objects.get().points == [16, 7]
    page.get_by_label("Points, of 20").fill("21")
    expect(page.locator("[data-saved]")).to_contain_text("not possible")
    page.get_by_label("Points, of 20").fill("20")
    expect(page.locator("[data-saved]")).to_have_text(SAVED)


def test_term_in_a_critique_opens_its_meaning(visits, cast):
    page = visits.open(cast.trainee, viewport=PHONE)
    page.goto(f"/attempts/{cast.written.pk}/result/")
    page.get_by_role("button", name="croup").click()
    expect(page.locator("#term-croup")).to_be_visible()


@pytest.mark.parametrize(
    ("name", "field"),
    [("key", "textarea[name=critique]"), ("task", "textarea[name=checklist]")],
)
def test_unsaved_text_of_a_mentor_is_said_and_warned_of(visits, cast, name, field):
    page = visits.open(cast.mentor)
    asked = []
    page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.dismiss()))
    page.goto(f"/workshop/critiques/{cast.critique.exercise_id}/{name}/")
    state = page.locator("[data-unsaved-state] > :visible")
    expect(state).to_have_text("No change yet")
    if name == "task":
        page.get_by_label("Fewest words").fill("20")
    page.locator(field).fill("Say the feet first.")
    expect(state).to_have_text("Not saved yet.")
    page.get_by_role("link", name="My record", exact=True).click()
    page.wait_for_function("document.activeElement")
    assert asked == ["beforeunload"]
    page.get_by_role("button", name="Save", exact=True).last.click()
    expect(state).to_contain_text("Last saved")
    expect(page.locator(field)).to_have_value("Say the feet first.")
