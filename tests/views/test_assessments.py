"""The pages of assessments: begun, answered, handed in, released; and what none of them tells too early."""

import json
import re
from datetime import timedelta

import pytest
from django.core import mail
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from quizzes import attempts, exercises
from quizzes.assessments import drafting, tries
from quizzes.models import Allowance, Assessment, AssessmentTry, Attempt, LateAnswer
from quizzes.panels.services import open_panel
from tests.assessing import AT_ONCE, assessment, at, begun
from tests.conftest import member, signed_in
from tests.critiques import critique
from tests.factories import MembershipFactory, UserFactory
from tests.pairs import pairs as pairs_of
from tests.placing import answer, placing_class
from tests.sheets import posted, right, sheet
from trainer.clubs.models import Role

pytestmark = pytest.mark.django_db


@pytest.fixture
def found(club):
    return assessment(club)


def text(response):
    return " ".join(response.text.split())


def test_begun_answered_and_handed_in_without_scripts(as_bob, bob, found):
    page = as_bob.get(f"/assessments/{found.pk}/")
    assert "20 minutes for everything" in page.text
    assert "The clock is this site" in page.text
    begun_at = as_bob.post(f"/assessments/{found.pk}/begin/")
    a_try = AssessmentTry.objects.get(person=bob)
    assert begun_at.url == f"/tries/{a_try.pk}/"
    assert "0 of 2 exercises are answered" in text(as_bob.get(begun_at.url))
    second = at(a_try, 2)
    sent = posted(second.revision, right(second.revision)) | {"version": 0}
    as_bob.post(f"/attempts/{second.pk}/sheet/", sent | {"do": "save"})
    assert "1 of 2 exercises are answered" in text(as_bob.get(begun_at.url))
    asks = as_bob.get(f"/tries/{a_try.pk}/hand-in/")
    assert "One exercise is not whole." in asks.text
    assert "graded as far as it goes" in asks.text
    as_bob.post(f"/tries/{a_try.pk}/hand-in/")
    assert "Its results are not out yet" in as_bob.get(begun_at.url).text
    tries.release(a_try, now=timezone.now())
    page = text(as_bob.get(begun_at.url))
    assert "50 per cent of the points." in page
    assert "does not reach the mark that the mentor set (60)" in page
    assert "You have no try left" in page
    assert "qualified" not in page


def test_the_page_of_an_item_has_the_bar(as_bob, bob, found):
    a_try = begun(found, bob)
    page = text(as_bob.get(f"/attempts/{at(a_try, 2).pk}/"))
    assert "Exercise 2 of 2" in page
    assert f'href="/tries/{a_try.pk}/"' in page
    assert re.search(r"(19 min 5\d|20 min 0) s<", page)
    assert 'data-left="' in page


def test_another_attempt_has_no_bar(as_bob, bob, club):
    revision = sheet(club)
    as_bob.post(f"/classes/{revision.exercise_id}/begin/")
    assert "try-bar" not in as_bob.get(f"/attempts/{Attempt.objects.get().pk}/").text


def test_the_kinds_own_clock_stands_aside(as_bob, bob, club):
    revision = placing_class(club, pace_seconds=60)
    a_try = begun(
        assessment(club, revision.exercise, module=revision.exercise.module), bob
    )
    assert "more-time" not in as_bob.get(f"/attempts/{at(a_try, 1).pk}/").text


def test_handing_in_one_item_leads_back_to_the_list(as_bob, bob, found):
    a_try = begun(found, bob)
    first = at(a_try, 1)
    sent = {"answer": json.dumps(answer())}
    done = as_bob.post(f"/attempts/{first.pk}/hand-in/", sent, follow=True)
    assert done.request["PATH_INFO"] == f"/tries/{a_try.pk}/"
    assert "Handed in." in done.text


def test_late_saves_are_said_to_be_kept(as_bob, bob, found):
    a_try = begun(found, bob, ago=30)
    first = at(a_try, 1)
    sent = {"answer": json.dumps(answer()), "version": 0}
    refused = as_bob.post(f"/attempts/{first.pk}/save/", sent)
    assert refused.status_code == 409
    assert refused.json()["handedIn"]
    assert "marked as late" in refused.json()["problem"]
    page = text(as_bob.get(f"/tries/{a_try.pk}/"))
    assert "Arrived late" in page
    assert "It does not count." in page
    assert LateAnswer.objects.get().attempt == first


def test_a_late_choice_of_two_dogs_is_refused_and_kept_beside(
    as_bob, bob, club, settings, tmp_path
):
    settings.VAR_DIR = tmp_path
    revision = pairs_of(club)
    module = revision.exercise.module
    a_try = begun(assessment(club, revision.exercise, module=module), bob)
    asked = at(a_try, 1)
    path = f"/attempts/{asked.pk}/pairs/"
    as_bob.post(path, {"pair": 1, "chosen": 0})
    long_ago = timezone.now() - timedelta(minutes=5)
    AssessmentTry.objects.filter(pk=a_try.pk).update(deadline=long_ago)
    late = as_bob.post(path, {"pair": 2, "chosen": 1}, follow=True)
    assert late.request["PATH_INFO"] == f"/tries/{a_try.pk}/"
    assert "Arrived late" in late.text
    asked.refresh_from_db()
    assert [one["chosen"] for one in asked.answer["trials"]] == [0]
    kept = LateAnswer.objects.get(attempt=asked)
    assert [one["chosen"] for one in kept.answer["trials"]] == [0, 1]
    as_bob.post(path, {"pair": 3, "chosen": 1})
    kept.refresh_from_db()
    assert [one["chosen"] for one in kept.answer["trials"]] == [0, 1, 1]
    as_bob.post(path, {"pair": 3, "chosen": 0})
    kept.refresh_from_db()
    assert [one["chosen"] for one in kept.answer["trials"]] == [0, 1, 1]


def test_after_the_time_the_page_of_an_item_leads_to_the_try(as_bob, bob, found):
    a_try = begun(found, bob, now=timezone.now() - timedelta(minutes=20, seconds=5))
    gone = as_bob.get(f"/attempts/{at(a_try, 1).pk}/")
    assert gone.url == f"/tries/{a_try.pk}/"
    assert "The time is up" in as_bob.get(gone.url).text
    assert AssessmentTry.objects.get().is_open


def test_the_next_request_of_anybody_closes_it(as_alice, bob, found):
    a_try = begun(found, bob, ago=30)
    as_alice.get(f"/workshop/assessments/{found.pk}/tries/")
    a_try.refresh_from_db()
    assert a_try.by_time


# what nobody sees before its time


@pytest.fixture
def waiting(club, bob):
    """A try that is handed in and not released, at a class that was practised before."""
    revision = placing_class(club)
    practised = attempts.begin(revision, by=bob, now=timezone.now(), rng=_rng())
    attempts.hand_in(practised, now=timezone.now(), answer=answer())
    found = assessment(club, revision.exercise, module=revision.exercise.module)
    a_try = begun(found, bob)
    attempts.hand_in(at(a_try, 1), now=timezone.now(), answer=answer("dcba"))
    tries.hand_in(a_try, now=timezone.now())
    return practised, at(a_try, 1)


def _rng():
    import random

    return random.Random(1)


def test_no_result_of_the_items_is_shown(as_bob, waiting):
    practised, asked = waiting
    there = as_bob.get(f"/attempts/{asked.pk}/result/")
    assert there.url == f"/tries/{asked.assessment_try_id}/"
    assert as_bob.get(f"/attempts/{practised.pk}/result/").status_code == 302
    page = as_bob.get(f"/classes/{asked.revision.exercise_id}/").text
    assert "as soon as the results are out" in page
    assert 'action="/classes' not in page
    assert as_bob.post(f"/attempts/{practised.pk}/twin/").status_code == 404
    begin = as_bob.post(f"/classes/{asked.revision.exercise_id}/begin/")
    assert begin.url == f"/classes/{asked.revision.exercise_id}/"


def test_no_file_of_the_record_tells_the_key_or_the_result(as_bob, waiting):
    _practised, asked = waiting
    whole = as_bob.get("/record/files/record.json")
    document = json.loads(whole.getvalue())
    assert all(one["key"] is None for one in document["revisions"])
    assert all(one["grade"] is None for one in document["attempts"])
    for name in ("attempts.csv", "statements.json"):
        response = as_bob.get(f"/record/files/{name}")
        assert response.status_code == 200
        sent = response.getvalue().decode()
        assert str(asked.submission) not in sent


def test_the_start_page_and_lists_leave_the_attempt_out(as_bob, waiting):
    _practised, asked = waiting
    for path in ("/", "/record/", "/classes/", "/record/progress/"):
        assert f"/attempts/{asked.pk}/" not in as_bob.get(path).text


def test_after_the_release_all_of_it_is_shown(as_bob, waiting):
    practised, asked = waiting
    tries.release(asked.assessment_try, now=timezone.now())
    for one in waiting:
        assert as_bob.get(f"/attempts/{one.pk}/result/").status_code == 200
    assert f"/attempts/{asked.pk}/result/" in as_bob.get("/record/").text
    assert practised


def test_a_mentor_sees_the_result_before_the_release(as_alice, waiting):
    _practised, asked = waiting
    assert as_alice.get(f"/attempts/{asked.pk}/result/").status_code == 200
    page = as_alice.get(f"/workshop/assessments/tries/{asked.assessment_try_id}/").text
    assert "the trainee sees none of them" in page


def test_extra_time_is_private(as_bob, as_alice, bob, club, found):
    other = UserFactory()
    MembershipFactory(club=club, user=other)
    as_alice.post(
        f"/workshop/assessments/{found.pk}/people/",
        {"person": bob.pk, "minutes": 10, "tries": 0},
    )
    assert Allowance.objects.get().minutes == 10
    own = text(as_bob.get(f"/assessments/{found.pk}/"))
    assert "30 minutes for everything, with the 10 minutes more that are yours" in own
    theirs = text(signed_in(other).get(f"/assessments/{found.pk}/"))
    assert "20 minutes for everything" in theirs
    assert "more that are yours" not in theirs


# results


@pytest.mark.parametrize("given", ["", "abcd", "ab"])
def test_results_of_every_item_open_after_an_early_end(as_bob, bob, found, given):
    """A class of which two dogs are placed has a result page like any other."""
    a_try = begun(found, bob)
    if given:
        sent = {"answer": json.dumps(answer(given)), "version": 0}
        as_bob.post(f"/attempts/{at(a_try, 1).pk}/save/", sent)
    tries.hand_in(a_try, now=timezone.now())
    tries.release(a_try, now=timezone.now())
    page = as_bob.get(f"/attempts/{at(a_try, 1).pk}/result/", follow=True)
    assert page.status_code == 200
    if not given:
        assert page.request["PATH_INFO"] == f"/tries/{a_try.pk}/"
        assert "counts nothing" in page.text


@pytest.mark.parametrize("kind", ["severity", "question", "ruling"])
def test_a_sheet_answered_in_part_has_its_result(as_bob, bob, club, kind):
    revision = sheet(club, kind)
    found = assessment(
        club, revision.exercise, module=revision.exercise.module, release=AT_ONCE
    )
    a_try = begun(found, bob)
    first = at(a_try, 1)
    rows = right(revision)["items"]
    some = {"items": dict(list(rows.items())[:1])}
    attempts.save_draft(first, some, version=0, now=timezone.now())
    tries.hand_in(a_try, now=timezone.now())
    page = as_bob.get(f"/attempts/{first.pk}/result/")
    assert page.status_code == 200
    assert f"1 of {len(rows)}" in text(page)


def test_a_critique_waits_for_its_mark(as_bob, bob, club):
    revision = critique(club)
    found = assessment(
        club, revision.exercise, module=revision.exercise.module, release=AT_ONCE
    )
    a_try = begun(found, bob)
    first = at(a_try, 1)
    attempts.save_draft(
        first, {"text": "Short.", "covered": []}, version=0, now=timezone.now()
    )
    tries.hand_in(a_try, now=timezone.now())
    page = text(as_bob.get(f"/tries/{a_try.pk}/"))
    assert "One item is still to be marked by a mentor." in page


@pytest.mark.parametrize("all_of_them", [False, True])
def test_a_mark_is_told_of_once_the_results_are_released(
    as_bob, as_alice, bob, club, all_of_them, django_capture_on_commit_callbacks
):
    revision = critique(club)
    found = assessment(club, revision.exercise, module=revision.exercise.module)
    a_try = begun(found, bob)
    sent = {"text": "Short.", "covered": []}
    attempts.save_draft(at(a_try, 1), sent, version=0, now=timezone.now())
    tries.hand_in(a_try, now=timezone.now())
    marks = {"points-0": 16, "comment-0": "", "points-1": 5, "comment-1": ""}
    page = f"/workshop/marking/{at(a_try, 1).pk}/"
    with django_capture_on_commit_callbacks(execute=True):
        data = {"do": "return", "version": 0, "overall": "", **marks}
        told = as_alice.post(page, data, follow=True)
    assert "once the results of the assessment are released" in told.text
    assert mail.outbox == []
    revision.refresh_from_db()
    assert (revision.handed_in, revision.graded) == (0, 0)
    base = f"/workshop/assessments/{found.pk}/"
    path = f"{base}release/" if all_of_them else f"{_try_page(a_try)}release/"
    for _twice in range(2):
        with django_capture_on_commit_callbacks(execute=True):
            assert as_alice.post(path).status_code == 302
    (only,) = mail.outbox
    assert only.to == [bob.email]
    assert f"http://testserver/attempts/{at(a_try, 1).pk}/result/" in only.body
    revision.refresh_from_db()
    assert (revision.handed_in, revision.graded) == (1, 1)
    assert as_bob.get(f"/attempts/{at(a_try, 1).pk}/result/").status_code == 200


def _try_page(a_try):
    return f"/workshop/assessments/tries/{a_try.pk}/"


# the mentor's pages


def test_put_together_opened_and_copied(as_alice, alice, club):
    revision = placing_class(club)
    module = revision.exercise.module
    form = {"module": module.pk, "title": "Autumn", "tries": 2, "release": "at_once"}
    made = as_alice.post("/workshop/assessments/new/", form)
    found = Assessment.objects.get()
    assert made.url == f"/workshop/assessments/{found.pk}/"
    base = f"/workshop/assessments/{found.pk}/"
    assert "It has no items yet." in as_alice.get(base).text
    assert revision.title in as_alice.get(f"{base}add/?q=class").text
    assert revision.title not in as_alice.get(f"{base}add/?q=nothing").text
    as_alice.post(f"{base}add/exercise/", {"exercise": revision.exercise_id})
    wish = {"size": 4, "sex": "dog", "difficulty": "plain", "counts": 2}
    as_alice.post(f"{base}add/class/", wish)
    first, second = found.items.all()
    as_alice.post(f"{base}items/{second.pk}/change/", {"do": "up"})
    as_alice.post(f"{base}items/{first.pk}/change/", {"do": "keep-back"})
    assert list(found.items.all()) == [second, first]
    revision.exercise.refresh_from_db()
    assert revision.exercise.kept_back
    as_alice.post(f"{base}state/", {"do": "open"})
    assert as_alice.get(f"{base}edit/").status_code == 404
    as_alice.post(f"{base}state/", {"do": "copy"})
    assert Assessment.objects.count() == 2


@pytest.mark.parametrize("opened", [True, False])
def test_a_mentor_sees_it_as_a_trainee_and_nothing_counts(as_alice, club, opened):
    found = assessment(club, opened=opened)
    base = f"/workshop/assessments/{found.pk}/"
    assert f"{base}preview/" in as_alice.get(base).text
    page = text(as_alice.get(f"{base}preview/"))
    assert "20 minutes for everything" in page
    assert "No clock runs here" in page
    asked = found.items.first()
    there = as_alice.post(f"{base}preview/{asked.pk}/", follow=True)
    assert "counts nowhere" in there.text
    trial = Attempt.objects.get()
    assert (trial.preview, trial.assessment_try) == (True, None)
    assert not AssessmentTry.objects.exists()


def test_a_preview_asks_what_is_published_and_no_more_than_a_panel_allows(
    as_alice, alice, club
):
    revision = placing_class(club)
    found = assessment(club, revision.exercise, module=revision.exercise.module)
    exercises.draft_of(revision.exercise, by=alice)
    path = f"/workshop/assessments/{found.pk}/preview/{found.items.get().pk}/"
    as_alice.post(path)
    assert Attempt.objects.get().revision == revision
    Attempt.objects.all().delete()
    ada = member(club, Role.MENTOR, "Ada Second")
    open_panel(
        revision,
        mentors=[alice, ada],
        message="",
        by=alice,
        now=timezone.now(),
        rng=_rng(),
    )
    assert "A panel asks you" in signed_in(ada).post(path, follow=True).text
    assert not Attempt.objects.exists()


def test_an_exercise_is_kept_out_of_practice_before_it_is_published(
    as_alice, as_bob, club
):
    revision = placing_class(club, state="draft")
    page = f"/workshop/classes/{revision.exercise_id}/"
    assert "Keep it out of practice" in as_alice.get(page).text
    as_alice.post(f"{page}keep-back/", {"do": "keep-back"})
    assert "asked in assessments only" in as_alice.get(page).text
    as_alice.post(f"{page}publish/")
    revision.refresh_from_db()
    assert revision.state == "published"
    assert as_bob.get(f"/classes/{revision.exercise_id}/").status_code == 404
    as_alice.post(f"{page}keep-back/", {"do": "give-back"})
    assert as_bob.get(f"/classes/{revision.exercise_id}/").status_code == 200


def test_a_draft_that_was_saved_elsewhere_keeps_what_was_typed(as_alice, club):
    found = assessment(club, opened=False)
    drafting.save(found, version=1, title="Theirs")
    form = {"title": "Mine", "tries": 1, "release": "at_once", "version": 1}
    page = as_alice.post(f"/workshop/assessments/{found.pk}/edit/", form)
    assert page.status_code == 422
    assert "saved in another window" in page.text
    assert 'value="Mine"' in page.text
    assert 'name="version" value="2"' in page.text


def test_one_and_all_are_released(as_alice, as_bob, bob, found):
    a_try = begun(found, bob)
    tries.hand_in(a_try, now=timezone.now())
    as_alice.post(f"/workshop/assessments/tries/{a_try.pk}/release/")
    a_try.refresh_from_db()
    assert a_try.released_at
    page = as_alice.post(f"/workshop/assessments/{found.pk}/release/", follow=True)
    assert "0 tries are released." in page.text


# lists ask as often for many rows as for few


def queries(client, path):
    client.get(path)
    with CaptureQueriesContext(connection) as asked:
        assert client.get(path).status_code == 200
    return len(asked)


def test_lists_ask_no_more_for_more(as_alice, as_bob, bob, club, found):
    def one_more():
        other = UserFactory()
        MembershipFactory(club=club, user=other)
        tries.hand_in(begun(found, other), now=timezone.now())

    def one_more_assessment():
        a_try = begun(assessment(club), bob)
        tries.hand_in(a_try, now=timezone.now())

    one_more()
    one_more_assessment()
    pages = [
        (as_alice, f"/workshop/assessments/{found.pk}/tries/"),
        (as_alice, "/workshop/assessments/"),
        (as_bob, "/assessments/"),
    ]
    few = [queries(*page) for page in pages]
    for _ in range(4):
        one_more()
        one_more_assessment()
    assert [queries(*page) for page in pages] == few


def test_the_start_page_leads_to_what_is_open(as_bob, bob, found):
    assert f"/assessments/{found.pk}/" in as_bob.get("/").text
    a_try = begun(found, bob)
    page = text(as_bob.get("/"))
    assert f"/tries/{a_try.pk}/" in page
    tries.hand_in(a_try, now=timezone.now())
    assert "An assessment that" not in as_bob.get("/").text


def test_pairs_end_in_the_list_of_items_and_count_nothing(as_bob, bob, club):
    """Which of two: no share of anything, so the rest of the assessment is all that counts."""
    pairs = pairs_of(club)
    module = pairs.exercise.module
    second = placing_class(club, module=module)
    found = assessment(
        club, pairs.exercise, second.exercise, module=module, release=AT_ONCE
    )
    assert "no points, so it does not count" in text(
        as_bob.get(f"/assessments/{found.pk}/")
    )
    a_try = begun(found, bob)
    attempts.hand_in(at(a_try, 2), now=timezone.now(), answer=answer())
    as_bob.post(f"/attempts/{at(a_try, 1).pk}/pairs/", {"pair": 1, "chosen": "0"})
    tries.hand_in(a_try, now=timezone.now())
    page = text(as_bob.get(f"/tries/{a_try.pk}/"))
    assert "reaches the mark" in page
