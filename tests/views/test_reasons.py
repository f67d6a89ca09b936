"""Reasons for each pair of neighbours: asked before handing in, kept, and told beside the key."""

import json
from itertools import pairwise

import pytest
from django.utils import timezone

from quizzes.attempts import begin, hand_in
from quizzes.models import Attempt, Revision
from tests.placing import answer, placing_class
from tests.views.test_class_library import Shuffle

pytestmark = pytest.mark.django_db

LEVELS = {
    "a": {"priority-1": 4, "priority-2": 1},
    "b": {"priority-1": 2, "priority-2": 3},
    "c": {"priority-1": 1, "priority-2": 1},
    "d": {"priority-1": 0, "priority-2": 0},
}


@pytest.fixture
def attempt(club, bob):
    by_dog = {name: {"levels": levels} for name, levels in LEVELS.items()}
    revision = placing_class(club, by_dog=by_dog)
    revision.content |= {"ask_reasons": True}
    revision.save()
    return begin(revision, by=bob, now=timezone.now(), rng=Shuffle())


def placed(attempt, order="abcd"):
    attempt.answer = answer(order)
    attempt.version += 1
    attempt.save()
    return attempt


def reasons(order="abcd", named=("priority-1",), grant="priority-2"):
    pairs = pairwise(order)
    return {
        name: value
        for one, other in pairs
        for name, value in {
            f"a-{one}-{other}": list(named),
            f"a-{one}-{other}-grant": grant,
        }.items()
    }


def send(client, attempt, data, do="save", **more):
    return client.post(f"/attempts/{attempt.pk}/reasons/", {"do": do, **data}, **more)


def test_it_is_said_what_handing_in_leads_to(as_bob, attempt, club, bob):
    """The key comes after the reasons, where a class asks for them."""
    placed(attempt)
    assert "You give your reasons next" in as_bob.get(f"/attempts/{attempt.pk}/").text
    plain = begin(placing_class(club), by=bob, now=timezone.now(), rng=Shuffle())
    page = as_bob.get(f"/attempts/{placed(plain).pk}/").text
    assert "After this you see the mentor&#x27;s key" in page


def test_handing_in_leads_to_the_reasons_first(as_bob, attempt):
    placed(attempt)
    told = as_bob.post(f"/attempts/{attempt.pk}/hand-in/", {})
    assert told.url == f"/attempts/{attempt.pk}/reasons/"
    page = as_bob.get(told.url).text
    assert "What puts 11 over 22" in page
    attempt.refresh_from_db()
    assert not attempt.is_handed_in


def test_reasons_are_kept_and_handed_in_with_the_placing(as_bob, attempt):
    placed(attempt)
    assert send(as_bob, attempt, reasons()).status_code == 302
    told = send(as_bob, attempt, reasons(), "hand-in")
    assert told.url == f"/attempts/{attempt.pk}/result/"
    attempt.refresh_from_db()
    assert attempt.answer["reasons"]["a>b"] == {
        "for": ["priority-1"],
        "grant": "priority-2",
    }
    page = as_bob.get(told.url).text
    assert "Your reasons hold for 3 of 3 pairs." in page
    assert "this decides" in page


def test_a_reason_that_is_untrue_is_said_to_be(as_bob, attempt):
    placed(attempt)
    data = reasons() | {"a-a-b": ["priority-2"], "a-a-b-grant": "priority-1"}
    page = as_bob.get(send(as_bob, attempt, data, "hand-in").url).text
    assert "the other dog is the better one on it" in page
    assert "Your reasons hold for 2 of 3 pairs." in page
    assert "The lower dog is the better one in" in page


def test_a_pair_without_a_reason_is_named_and_the_others_are_kept(as_bob, attempt):
    placed(attempt)
    data = reasons() | {"a-b-c": []}
    page = send(as_bob, attempt, data, "hand-in")
    assert page.status_code == 422
    assert "Say what puts 22 over 33." in page.text
    attempt.refresh_from_db()
    assert attempt.answer["reasons"]["a>b"]["for"] == ["priority-1"]


@pytest.mark.parametrize(
    "named", [["p1", "p2", "p3", "p4"], ["x" * 51]], ids=["too many", "too long"]
)
def test_what_is_no_reason_is_refused_and_shown_again(as_bob, attempt, named):
    placed(attempt)
    page = send(as_bob, attempt, reasons(named=named))
    assert page.status_code == 422
    attempt.refresh_from_db()
    assert "reasons" not in attempt.answer


def test_the_placing_page_does_not_lose_them(as_bob, attempt):
    placed(attempt)
    send(as_bob, attempt, reasons())
    attempt.refresh_from_db()
    data = {"answer": json.dumps(answer("bacd")), "version": attempt.version}
    assert as_bob.post(f"/attempts/{attempt.pk}/save/", data).status_code == 200
    attempt.refresh_from_db()
    assert attempt.answer["order"] == list("bacd")
    assert attempt.answer["reasons"]["c>d"]["for"] == ["priority-1"]
    # A pair that is new has none yet; the others are as they were.
    page = as_bob.get(f"/attempts/{attempt.pk}/reasons/").text
    assert "What puts 22 over 11" in page


def test_moves_without_scripts_keep_them(as_bob, attempt):
    placed(attempt)
    send(as_bob, attempt, reasons())
    as_bob.post(f"/attempts/{attempt.pk}/board/", {"move": "down:a"})
    attempt.refresh_from_db()
    assert attempt.answer["order"] == list("bacd")
    assert "a>b" in attempt.answer["reasons"]


def test_scripts_are_answered_in_json(as_bob, attempt):
    placed(attempt)
    json_too = {"headers": {"Accept": "application/json"}}
    assert "said" in send(as_bob, attempt, reasons(), **json_too).json()
    told = send(as_bob, attempt, reasons(), "hand-in", **json_too).json()
    assert told == {"url": f"/attempts/{attempt.pk}/result/"}
    again = send(as_bob, attempt, reasons(), "hand-in", **json_too).json()
    assert again == told
    assert Attempt.objects.get().grades.count() == 1


def test_another_persons_reasons_are_not_found(as_alice, attempt):
    assert send(as_alice, attempt, reasons()).status_code == 404


def test_a_class_that_asks_none_says_nothing_of_reasons(as_bob, bob, club):
    revision = placing_class(club)
    open_one = begin(revision, by=bob, now=timezone.now(), rng=Shuffle())
    hand_in(open_one, now=timezone.now(), answer=answer())
    page = as_bob.get(f"/attempts/{open_one.pk}/result/").text
    assert "Your reasons hold" not in page


def test_trainees_are_told_before_they_begin(as_bob, attempt):
    page = as_bob.get(f"/classes/{attempt.revision.exercise_id}/").text
    assert "Before you hand in you give the reasons of each pair" in page


def test_the_mentor_ticks_it_on_the_page_of_the_dogs(as_alice, attempt):
    pk = attempt.revision.exercise_id
    page = as_alice.get(f"/workshop/classes/{pk}/dogs/").text
    assert "Ask for the reasons of each pair" in page
    assert Revision.objects.get().content["ask_reasons"] is True
