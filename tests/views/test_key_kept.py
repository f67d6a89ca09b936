"""Nothing of the key and of others' answers reaches a trainee before the answer is in."""

import json
import random

import pytest
from django.utils import timezone

from quizzes.attempts import begin, hand_in
from quizzes.plates import BREEDS
from tests.factories import MembershipFactory
from tests.placing import answer, key, placing_class


def planted_key():
    """A key in which every word a mentor wrote can be told."""
    document = key("cadb", note="planted note", cuts=[3, 5, 2])
    for at, pair in enumerate(document["pairs"]):
        pair.update(reason=f"planted reason {at}", grant=f"planted grant {at}")
    return document


@pytest.fixture
def placed_class(club):
    made = placing_class(club, key=planted_key(), title="Open dogs")
    made.content["breed"] = next(iter(BREEDS))
    made.save()
    return made


@pytest.fixture
def attempt(placed_class, bob):
    return begin(placed_class, by=bob, now=timezone.now(), rng=random.Random(1))


def pages(attempt):
    """Every address a trainee reaches with an open attempt."""
    own = f"/attempts/{attempt.pk}/"
    return [
        "/",
        "/classes/",
        f"/classes/{attempt.revision.exercise_id}/",
        "/record/",
        own,
        f"{own}compare/?first=a&second=b",
        f"{own}rulings/",
        f"{own}rulings/a/",
        f"{own}plates/a.svg",
    ]


def all_text(client, attempt):
    """What comes back from all of them, headers too, and from saving."""
    answers = [client.get(url) for url in pages(attempt)]
    sent = {"answer": json.dumps(answer("abcd")), "version": "0"}
    answers.append(client.post(f"/attempts/{attempt.pk}/save/", sent))
    assert {response.status_code for response in answers} == {200}
    return "\n".join(f"{response.headers}\n{response.text}" for response in answers)


def test_key_is_in_no_response_before_the_answer_is_in(
    as_bob, attempt, settings, tmp_path
):
    settings.VAR_DIR = tmp_path
    text = all_text(as_bob, attempt)
    assert "Open dogs" in text
    assert "planted" not in text
    for order in (["c", "a", "d", "b"], ["33", "11", "44", "22"]):
        assert json.dumps(order) not in text


def test_line_up_is_mixed_and_tells_nothing_of_the_key(placed_class, club):
    """Over many attempts each dog stands in each place of the line."""
    seen = set()
    for seed in range(40):
        by = MembershipFactory(club=club).user
        made = begin(placed_class, by=by, now=timezone.now(), rng=random.Random(seed))
        seen |= {(at, dog) for at, (dog, _number) in enumerate(made.shown["line"])}
    assert seen == {(at, dog) for at in range(4) for dog in "abcd"}


def test_others_answers_are_in_no_response(as_bob, attempt, club, settings, tmp_path):
    settings.VAR_DIR = tmp_path
    other = MembershipFactory(club=club, user__name="Ann Other").user
    theirs = begin(attempt.revision, by=other, now=timezone.now(), rng=random.Random(2))
    hand_in(theirs, now=timezone.now(), answer=answer("dcba"))
    assert "Ann Other" not in all_text(as_bob, attempt)
    assert as_bob.get(f"/attempts/{theirs.pk}/result/").status_code == 404


def test_key_is_explained_once_the_answer_is_in(as_bob, attempt):
    hand_in(attempt, now=timezone.now(), answer=answer("abcd"))
    assert "planted reason" in as_bob.get(f"/attempts/{attempt.pk}/result/").text
