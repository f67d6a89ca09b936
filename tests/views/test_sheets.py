"""Exercises that ask several things on one sheet: answered, explained, written by a mentor."""

import random
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils.html import escape

from quizzes.kinds import kind_named
from quizzes.models import Attempt, Revision
from tests.factories import UserFactory
from tests.placing import placing_class
from tests.sheets import SHEET_KINDS, answered, opened, posted, right, sheet

pytestmark = pytest.mark.django_db
every_kind = pytest.mark.parametrize("kind", SHEET_KINDS)


def send(client, attempt, data, do="save", **more):
    data = {"version": attempt.version, "do": do, **data}
    return client.post(f"/attempts/{attempt.pk}/sheet/", data, **more)


@every_kind
def test_a_sheet_is_answered_without_scripts(client, club, bob, kind):
    attempt = opened(sheet(club, kind), bob)
    client.force_login(bob)
    assert client.get(f"/attempts/{attempt.pk}/").status_code == 200
    answer = right(attempt.revision)
    assert send(client, attempt, posted(attempt.revision, answer)).status_code == 302
    attempt.refresh_from_db()
    assert attempt.answer == answer
    told = send(client, attempt, posted(attempt.revision, answer), "hand-in")
    assert told.url == f"/attempts/{attempt.pk}/result/"
    grade = attempt.grades.get()
    assert grade.share == 1
    assert grade.pairs_counted == len(answer["items"])
    page = client.get(told.url).content.decode()
    n = len(answer["items"])
    assert f"You have {n} of {n} as the key has it." in page


@every_kind
def test_nothing_of_the_key_is_on_the_page_before(client, club, bob, kind):
    attempt = opened(sheet(club, kind), bob)
    client.force_login(bob)
    page = client.get(f"/attempts/{attempt.pk}/").content.decode()
    reasons = [one["why"] for one in attempt.revision.key["items"].values()]
    assert any(reasons)
    assert not [why for why in reasons if why and why in page]


@every_kind
def test_an_answer_that_is_not_whole_is_kept_and_not_handed_in(client, club, bob, kind):
    attempt = opened(sheet(club, kind), bob)
    answer = right(attempt.revision)
    gone = attempt.shown["order"][1]
    del answer["items"][gone]
    client.force_login(bob)
    page = send(client, attempt, posted(attempt.revision, answer), "hand-in")
    assert page.status_code == 422
    assert "One thing is not answered yet: number 2." in page.content.decode()
    attempt.refresh_from_db()
    assert attempt.answer == answer
    assert not attempt.is_handed_in


@every_kind
def test_another_window_is_not_written_over(client, club, bob, kind):
    attempt = opened(sheet(club, kind), bob)
    answer = right(attempt.revision)
    client.force_login(bob)
    send(client, attempt, posted(attempt.revision, answer))
    first = next(iter(answer["items"]))
    other = {"items": {first: answer["items"][first]}}
    page = send(client, attempt, posted(attempt.revision, other))
    assert page.status_code == 409
    attempt.refresh_from_db()
    assert attempt.answer == answer
    # The page that came back holds the fresh version, so saving again takes it.
    version = re.search(r'name="version" value="(\d+)"', page.content.decode())[1]
    again = posted(attempt.revision, other) | {"version": version}
    assert send(client, attempt, again).status_code == 302


@every_kind
def test_handing_in_twice_finds_the_first(client, club, bob, kind):
    attempt = answered(sheet(club, kind), bob)
    client.force_login(bob)
    told = send(client, attempt, posted(attempt.revision, attempt.answer), "hand-in")
    assert told.url == f"/attempts/{attempt.pk}/result/"
    assert attempt.grades.count() == 1
    assert Revision.objects.get(pk=attempt.revision_id).handed_in == 1


@every_kind
@pytest.mark.parametrize("sent", ["", "nonsense", "\x00", "x" * 9000, "-1", "1e400"])
def test_nonsense_is_no_answer_and_no_failure(client, club, bob, kind, sent):
    attempt = opened(sheet(club, kind), bob)
    client.force_login(bob)
    names = posted(attempt.revision, right(attempt.revision))
    page = send(client, attempt, dict.fromkeys(names, sent))
    assert page.status_code in (302, 422)


@every_kind
def test_a_stranger_finds_nothing(client, club, bob, kind):
    attempt = opened(sheet(club, kind), bob)
    client.force_login(UserFactory())
    assert send(client, attempt, {}).status_code == 404


@every_kind
def test_guesses_are_answers(club, kind):
    """What is drawn at random passes the same checks and gets no more than full points."""
    revision = sheet(club, kind)
    one = kind_named(kind)
    rows, rng = one.sheet(revision.content), random.Random(3)
    for _ in range(20):
        answer = {"items": {row.id: one.guess(row, rng) for row in rows}}
        checked = one.check(revision.content, {}, answer)
        graded = one.grade(revision.content, revision.key, checked)
        assert 0 <= graded.agreed <= graded.counted == len(rows)
        assert graded.chance is None or 0 < graded.chance <= 1


@every_kind
def test_the_mentors_page_stores_what_it_shows(client, club, alice, kind):
    revision = sheet(club, kind)
    client.force_login(alice)
    url = f"/workshop/sheets/{revision.exercise_id}/"
    page = client.get(url)
    data = form_values(page.context) | {"do": "save"}
    assert client.post(url, data).status_code == 302
    draft = revision.exercise.revisions.get(state="draft")
    assert draft.content == revision.content
    assert draft.key == revision.key


def form_values(context) -> dict:
    """What the browser would send of the mentor's page as it stands."""
    data = {"version": context["version"], "row": []}
    forms = [context["form"], *context["rows"]]
    for form in forms:
        for field in form:
            value = field.value()
            if value is True:
                data[field.html_name] = "on"
            elif value not in (None, False):
                data[field.html_name] = value
    data["row"] = [form.row.id for form in context["rows"]]
    return data


@every_kind
def test_rows_are_added_moved_and_taken_out(client, club, alice, kind):
    revision = sheet(club, kind)
    client.force_login(alice)
    url = f"/workshop/sheets/{revision.exercise_id}/"
    before = [row["id"] for row in revision.content["items"]]

    def press(do):
        data = form_values(client.get(url).context) | {"do": do}
        assert client.post(url, data).status_code == 302
        draft = Revision.objects.get(exercise=revision.exercise, state="draft")
        return [row["id"] for row in draft.content["items"]], draft

    first, second, *rest = before
    assert press(f"down:{first}")[0] == [second, first, *rest]
    assert press(f"up:{first}")[0] == before
    rows, draft = press(f"out:{first}")
    assert rows == [second, *rest]
    assert first not in draft.key["items"]
    rows, draft = press("add")
    assert rows[:-1] == [second, *rest]
    problems = kind_named(kind).problems(draft.content, draft.key)
    assert {one.anchor for one in problems} == {f"row-{rows[-1]}"}


@every_kind
def test_a_new_sheet_is_begun_and_says_what_it_lacks(client, club, alice, kind):
    module = sheet(club, kind).exercise.module
    client.force_login(alice)
    data = {"module": module.pk, "title": "Mine", "note": ""}
    told = client.post(f"/workshop/sheets/new/{kind}/", data)
    assert told.status_code == 302
    assert client.get(told.url).status_code == 200
    draft = Revision.objects.get(title="Mine")
    assert draft.state == "draft"
    assert kind_named(kind).problems({"items": []}, {})


@every_kind
def test_two_mentors_do_not_write_over_each_other(client, club, alice, kind):
    revision = sheet(club, kind)
    client.force_login(alice)
    url = f"/workshop/sheets/{revision.exercise_id}/"
    old = form_values(client.get(url).context)
    assert client.post(url, old | {"title": "First", "do": "save"}).status_code == 302
    page = client.post(url, old | {"title": "Second", "do": "save"})
    assert page.status_code == 422
    assert "Second" in page.content.decode()
    draft = Revision.objects.get(exercise=revision.exercise, state="draft")
    assert draft.title == "First"


@every_kind
def test_everybodys_answers_are_counted(client, club, alice, bob, kind):
    revision = sheet(club, kind)
    answered(revision, bob)
    client.force_login(alice)
    page = client.get(f"/workshop/classes/{revision.exercise_id}/attempts/")
    text = page.content.decode()
    assert text.count("1 of 1") >= len(revision.content["items"])
    assert Attempt.objects.count() == 1


@every_kind
def test_the_room_costs_the_same_for_many(
    client, club, alice, kind, django_assert_num_queries
):
    revision = sheet(club, kind)
    client.force_login(alice)
    url = f"/workshop/classes/{revision.exercise_id}/attempts/"

    answered(revision, UserFactory())
    client.get(url)
    with CaptureQueriesContext(connection) as few:
        client.get(url)
    for _ in range(5):
        answered(revision, UserFactory())
    with django_assert_num_queries(len(few)):
        client.get(url)


@every_kind
def test_paper_has_the_key_on_a_page_of_its_own(client, club, alice, kind):
    revision = sheet(club, kind)
    client.force_login(alice)
    page = client.get(f"/workshop/sheets/{revision.exercise_id}/print/")
    text = page.content.decode()
    sheet_part, key_part = text.split('class="reading sheet-key-page"')
    reasons = [one["why"] for one in revision.key["items"].values() if one["why"]]
    assert all(escape(why) in key_part for why in reasons)
    assert not any(escape(why) in sheet_part for why in reasons)


def test_exercises_of_one_kind_are_found_without_paging(club, as_bob):
    one, other = sheet(club, title="Six faults"), placing_class(club, title="Open dogs")
    page = as_bob.get("/classes/").text
    assert "?kind=severity" in page
    assert one.title in page
    assert other.title in page
    page = as_bob.get("/classes/?kind=severity").text
    assert one.title in page
    assert other.title not in page
    assert other.title in as_bob.get("/classes/?kind=nothing").text
