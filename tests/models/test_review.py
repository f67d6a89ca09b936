"""What comes back and when, what placings reward, and classes that are aimed."""

import random
from datetime import timedelta
from types import SimpleNamespace

import numpy as np
import pytest
from django.utils import timezone

from quizzes import attempts
from quizzes.generator import Wish, levels_of
from quizzes.kinds.placing.content import ClassContent, ClassKey
from quizzes.models import Review, Rewarded
from quizzes.practice import material
from quizzes.practice import services as practice
from quizzes.practice.aimed import aimed_at
from quizzes.review import aiming, telling
from quizzes.review.practised import turned_on
from quizzes.review.scheduling import seen_again
from tests.factories import UserFactory
from tests.material import drawn_module
from tests.placing import answer, placing_class
from tests.sheets import answered, document_of, right, sheet
from trainer.study import reading

NOW = timezone.now()


def hand_in(revision, by, sent, now=NOW, **more):
    attempt = attempts.begin(revision, by=by, now=now, rng=random.Random(1), **more)
    return attempts.hand_in(attempt, now=now, answer=sent)


# scheduling


def days(share, times):
    """The days between answers that all went so well."""
    card, now, gaps = None, NOW, []
    for _ in range(times):
        card, due = seen_again(card, share, now=now)
        gaps.append((due - now).total_seconds() / 86400)
        now = due
    return gaps


def test_what_goes_well_comes_back_ever_later():
    gaps = days(0.9, 5)
    assert gaps == sorted(gaps)
    assert gaps[0] >= 1
    assert gaps[-1] > 10 * gaps[0]
    assert max(days(1.0, 12)) <= 365


def test_what_goes_badly_comes_back_sooner():
    first = [days(share, 1)[0] for share in (0.2, 0.6, 0.9, 1.0)]
    assert first == sorted(first)
    assert first[0] < first[-1]
    card, due = seen_again(None, 1.0, now=NOW)
    _card, again = seen_again(card, 0.1, now=due)
    assert again - due < due - NOW


def test_the_first_intervals_are_the_published_ones():
    """The first stability of the model is its parameter for the rating, in days.

    Default parameters of FSRS-6 as the library has them: 0.212, 1.2931, 2.3065, 8.2956. With a
    retention of nine in ten an interval is the stability, rounded to whole days, one at least.
    """
    assert [round(days(share, 1)[0]) for share in (0.2, 0.6, 0.9, 1.0)] == [1, 1, 2, 8]


# what an answer says


@pytest.mark.django_db
def test_a_class_says_how_it_went_by_priority(club, bob):
    by_dog = {
        name: {"levels": {"priority-1": 4 - at, "priority-2": at}}
        for at, name in enumerate("abcd")
    }
    revision = placing_class(club, by_dog=by_dog)
    hand_in(revision, bob, answer("bacd"))
    row = Review.objects.get(person=bob, subject="priority:priority-1")
    assert row.times == 1
    assert row.share == pytest.approx(5 / 6)
    assert row.due_at > NOW


@pytest.mark.django_db
def test_a_sheet_says_how_it_went_as_a_whole(club, bob):
    revision = sheet(club)
    attempt = answered(revision, bob)
    row = Review.objects.get()
    assert row.subject == f"exercise:{revision.exercise_id}"
    assert row.share == 1
    assert row.module_id == attempt.revision.exercise.module_id


@pytest.mark.django_db
def test_a_trial_says_nothing(club, alice):
    revision = sheet(club)
    hand_in(revision, alice, right(revision), preview=True)
    assert not Review.objects.exists()


@pytest.mark.django_db
def test_answering_again_moves_the_same_row_on(club, bob):
    revision = sheet(club)
    hand_in(revision, bob, right(revision))
    first = Review.objects.get().due_at
    hand_in(revision, bob, right(revision), now=first)
    row = Review.objects.get()
    assert row.times == 2
    assert row.due_at - first > first - NOW


# what is due


@pytest.mark.django_db
def test_due_things_are_told_with_where_they_are_practised(
    club, bob, django_assert_max_num_queries
):
    for n in range(4):
        hand_in(sheet(club, title=f"Sheet {n}"), bob, all_wrong())
    later = NOW + timedelta(days=30)
    told = telling.what_is_due(bob, later)
    assert [one.title for one in told] == [f"Sheet {n}" for n in range(4)]
    assert all("/classes/" in one.url for one in told)
    assert telling.what_is_due(bob, NOW - timedelta(days=1)) == []
    with django_assert_max_num_queries(8):
        telling.what_is_due(bob, later)


def all_wrong():
    """No row of the demo's first sheet of faults as the key has it."""
    wrong = {"minor": "serious", "serious": "disqualifying", "disqualifying": "minor"}
    rows = document_of("severity")["rows"]
    return {
        "items": {
            f"r{n}": wrong[one["key"]["severity"]] for n, one in enumerate(rows, 1)
        }
    }


@pytest.mark.django_db
def test_what_is_out_of_reach_is_not_told(club, bob):
    hand_in(sheet(club), bob, all_wrong())
    bob.memberships.all().delete()
    assert telling.what_is_due(bob, NOW + timedelta(days=30)) == []
    assert telling.what_is_due(UserFactory(), NOW + timedelta(days=30)) == []


# what placings reward, and what is aimed at it


def places_by(bob, module, weights, count, seed=0):
    """Practice classes placed by somebody who rewards just those weights."""
    rng = random.Random(seed)
    document = reading.document(bob, module.pk)
    for _ in range(count):
        attempt = practice.another_class(
            document, by=bob, size=6, difficulty="middling", sex="dog", now=NOW, rng=rng
        )
        dogs = ClassContent.read(attempt.revision.content).by_id
        worth = {
            pk: sum(weights.get(slug, 0) * level for slug, level in dog.levels.items())
            + rng.gauss(0, 0.4)
            for pk, dog in dogs.items()
        }
        order = sorted(worth, key=worth.get, reverse=True)
        attempts.hand_in(attempt, now=NOW, answer={"order": order, "rulings": {}})


@pytest.mark.django_db
def test_a_priority_that_is_overrated_is_found_and_classes_turn_on_it(club, alice, bob):
    module = drawn_module(club, alice)
    document = reading.document(bob, module.pk)
    coat = "coat"
    places_by(bob, module, {coat: 3.0, "outline": 0.2}, 10)
    told = telling.what_is_rewarded(bob)[0]
    assert told.farthest.priority.slug == coat
    assert told.farthest.departs == 1
    assert any("more than the mentor" in sentence for sentence in told.said)
    assert told.farthest.own.low > told.farthest.mentor
    # An aimed class has more pairs turned than the one that would have been made.
    mentor = [one.mentor for one in told.rows]
    own = [one.own.share for one in told.rows]
    priorities = material.priorities_of(document.priorities)
    wish = Wish(6, "middling", "dog", "Open dogs", "marlefell-drover", 7)
    aimed = aimed_at(bob, document, wish, random.Random(5))
    before, after = (
        aiming.turned(levels_of(priorities, one).levels, mentor, own)
        for one in (wish, aimed)
    )
    assert after >= before
    assert after >= 3


@pytest.mark.django_db
def test_too_few_placings_are_said_to_be_too_few(club, alice, bob):
    module = drawn_module(club, alice)
    places_by(bob, module, {"coat": 1.0}, 2)
    told = telling.what_is_rewarded(bob)[0]
    assert told.rows == []
    assert told.needed == 14
    wish = object()
    document = reading.document(bob, module.pk)
    assert aimed_at(bob, document, wish, random.Random(1)) is wish


@pytest.mark.django_db
def test_dogs_without_levels_say_nothing_of_weights(club, bob):
    hand_in(placing_class(club), bob, answer())
    assert Rewarded.objects.get().choices == 0


def test_the_class_that_turns_most_is_taken():
    mentor, own = [60, 40], [20, 80]
    same = np.array([[4, 4], [3, 3], [2, 2], [0, 1]])
    turns = np.array([[4, 1], [3, 2], [2, 3], [1, 4]])
    assert aiming.turned(same, mentor, own) == 0
    assert aiming.turned(turns, mentor, own) == 6
    assert aiming.best([same, turns, same], mentor, own) == 1
    with pytest.raises(ValueError, match="no class"):
        aiming.best([], mentor, own)


def test_own_errors_lower_what_is_likely_right():
    levels = np.array([[4, 3], [3, 3], [2, 1]])
    alike = aiming.likely_right(levels, [50, 50], [50, 50])
    assert 0.5 < alike < 1
    other = aiming.likely_right(np.array([[4, 0], [0, 3]]), [60, 40], [10, 90])
    assert other < 0.5


def test_key_reasons_come_before_levels():
    """The priority that the mentor names for a pair is the one it turned on."""
    key = ClassKey.read(
        {
            "order": ["a", "b"],
            "cuts": [None],
            "pairs": [{"upper": "a", "lower": "b", "priority": "head"}],
        }
    )
    one, other = (
        SimpleNamespace(id=name, levels={"coat": n}) for name, n in (("a", 4), ("b", 0))
    )
    coat = SimpleNamespace(slug="coat", weight=10)
    assert turned_on(key, one, other, [coat]) == "head"
    assert turned_on(key, other, one, [coat]) == ""
    assert turned_on(ClassKey(), one, other, [coat]) == "coat"
