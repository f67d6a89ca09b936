"""A closed lid, a cut connection and the server's time in the middle of an assessment."""

import re
from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from quizzes.models import AssessmentTry, Attempt, LateAnswer
from tests.assessing import assessment, at, begun
from tests.browser.conftest import PHONE
from tests.placing import placing_class
from tests.sheets import sheet

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def a_try(club, bob):
    first = placing_class(club).exercise
    second = sheet(club, module=first.module).exercise
    return begun(assessment(club, first, second, module=first.module), bob)


def answer_row(page, n):
    page.locator(".sheet-one").nth(n).get_by_role("radio").first.check()


def saved(page):
    return page.locator("[data-saved]")


def stored(attempt):
    return Attempt.objects.get(pk=attempt.pk).answer.get("items", {})


def ends_in(a_try, seconds):
    end = timezone.now() + timedelta(seconds=seconds)
    AssessmentTry.objects.filter(pk=a_try.pk).update(deadline=end)


def test_a_closed_lid_without_a_connection_loses_nothing(visits, bob, a_try):
    sheet_of = at(a_try, 2)
    page = visits.open(bob, viewport=PHONE)
    page.goto(f"/tries/{a_try.pk}/")
    page.get_by_role("link", name=sheet_of.revision.title).click()
    expect(page.get_by_text("Exercise 2 of 2")).to_be_visible()
    answer_row(page, 0)
    expect(saved(page)).to_have_text(re.compile("^Saved"))
    page.context.set_offline(True)
    answer_row(page, 1)
    expect(saved(page)).to_contain_text("No connection")
    page.close()  # the lid
    assert len(stored(sheet_of)) == 1
    context = visits.contexts[-1]
    context.set_offline(False)
    page = context.new_page()
    page.goto(f"/attempts/{sheet_of.pk}/")
    expect(saved(page)).to_have_text(re.compile("^Saved"))
    assert len(stored(sheet_of)) == 2
    page.get_by_role("link", name="All exercises").click()
    expect(page.get_by_text("Begun, not whole yet.")).to_be_visible()
    a_try.refresh_from_db()
    assert a_try.deadline == a_try.started_at + timedelta(minutes=20)


def test_what_a_lost_connection_delays_past_the_end_is_kept_as_late(visits, bob, a_try):
    sheet_of = at(a_try, 2)
    page = visits.open(bob)
    page.goto(f"/attempts/{sheet_of.pk}/")
    page.context.set_offline(True)
    answer_row(page, 0)
    expect(saved(page)).to_contain_text("No connection")
    ends_in(a_try, -120)
    page.context.set_offline(False)
    expect(saved(page)).to_contain_text("marked as late")
    assert LateAnswer.objects.get().attempt == sheet_of
    page.goto(f"/tries/{a_try.pk}/")
    expect(page.get_by_role("heading", name="Arrived late")).to_be_visible()


def test_the_page_leads_on_when_the_time_is_up(visits, bob, a_try):
    ends_in(a_try, 6)
    page = visits.open(bob)
    page.goto(f"/attempts/{at(a_try, 2).pk}/")
    answer_row(page, 0)
    page.wait_for_url(f"**/tries/{a_try.pk}/", timeout=30_000)
    expect(page.get_by_role("heading", name="The time is up")).to_be_visible()
    assert len(stored(at(a_try, 2))) == 1


def test_the_time_can_be_hidden_and_stays_so(visits, bob, a_try):
    page = visits.open(bob, viewport=PHONE)
    page.goto(f"/attempts/{at(a_try, 2).pk}/")
    left = page.locator("[data-try-left]")
    expect(left).to_be_visible()
    page.get_by_label("Time left, shown").focus()
    page.keyboard.press("Space")
    expect(left).to_be_hidden()
    page.reload()
    expect(left).to_be_hidden()


def test_a_class_handed_in_by_script_leads_back_to_the_items(visits, bob, a_try):
    first = at(a_try, 1)
    page = visits.open(bob)
    page.goto(f"/attempts/{first.pk}/")
    for _dog in range(4):
        page.get_by_role("button", name=re.compile("^Place ")).first.click()
    page.get_by_role("button", name="Hand in", exact=False).first.click()
    page.wait_for_url(f"**/tries/{a_try.pk}/")
    expect(page.get_by_text("Handed in.")).to_be_visible()
