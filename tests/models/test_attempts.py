"""Beginning, saving, handing in and grading an attempt."""

import random
from datetime import UTC, datetime, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from quizzes import attempts
from quizzes.models import Attempt, Grade, Revision, Tally
from tests.placing import answer, key, placing_class

NOW = datetime(2026, 3, 10, 14, 30, tzinfo=UTC)
LATER = NOW + timedelta(minutes=5)


@pytest.fixture
def revision(club):
    return placing_class(club)


def begin(revision, user, seed=1, **more):
    return attempts.begin(revision, by=user, now=NOW, rng=random.Random(seed), **more)


def armbands(attempt):
    return dict(attempt.shown["line"])


def test_board_starts_empty(revision, bob):
    attempt = begin(revision, bob)
    assert attempt.answer == {}
    assert set(armbands(attempt)) == set("abcd")


def test_first_attempt_keeps_the_mentors_numbers(revision, bob):
    assert armbands(begin(revision, bob)) == {"a": 11, "b": 22, "c": 33, "d": 44}


def test_line_up_is_mixed_per_attempt(revision, bob, alice):
    lines = {
        tuple(dog for dog, _n in begin(revision, person, seed).shown["line"])
        for seed, person in enumerate([bob, alice])
    }
    assert len(lines) == 2


def test_beginning_twice_finds_the_open_attempt(revision, bob):
    assert begin(revision, bob, 1).pk == begin(revision, bob, 2).pk


def test_again_draws_new_numbers(revision, bob):
    first = begin(revision, bob)
    attempts.hand_in(first, now=NOW, answer=answer())
    again = begin(revision, bob, 2)
    assert again.number == 2
    assert not set(armbands(again).values()) & set(armbands(first).values())


def test_database_holds_one_open_attempt(revision, bob):
    begin(revision, bob)
    with pytest.raises(IntegrityError), transaction.atomic():
        Attempt.objects.create(revision=revision, trainee=bob, started_at=NOW)


def test_draft_is_kept(revision, bob):
    attempt = begin(revision, bob)
    attempts.save_draft(attempt, answer("ca"), version=0, now=LATER)
    stored = Attempt.objects.get()
    assert stored.answer["order"] == ["c", "a"]
    assert (stored.version, stored.saved_at) == (1, LATER)


def test_same_draft_sent_twice_is_stored_once(revision, bob):
    attempt = begin(revision, bob)
    for _try in range(2):
        attempts.save_draft(attempt, answer("ca"), version=0, now=LATER)
    assert Attempt.objects.get().version == 1


def test_draft_changed_elsewhere_is_refused_and_kept(revision, bob):
    attempt = begin(revision, bob)
    attempts.save_draft(attempt, answer("ca"), version=0, now=LATER)
    with pytest.raises(attempts.ChangedElsewhere):
        attempts.save_draft(attempt, answer("b"), version=0, now=LATER)
    assert Attempt.objects.get().answer["order"] == ["c", "a"]


@pytest.mark.parametrize(
    ("wrong", "code"),
    [
        ({"order": ["a", "a"], "rulings": {}}, "twice"),
        ({"order": ["x"], "rulings": {}}, "unknown-dog"),
        ({"order": ["a"], "rulings": {"a": {"ruling": "absent"}}}, "twice"),
        ({"order": [], "rulings": {"a": {"ruling": "shot"}}}, "no-ruling"),
        ({"order": [], "rulings": {"a": {"ruling": "excused"}}}, "no-reason"),
        ({"order": "abcd", "rulings": {}}, "form"),
        ({"order": [], "rulings": {"a": "absent"}}, "form"),
    ],
)
def test_answer_that_is_none_is_refused(revision, bob, wrong, code):
    with pytest.raises(ValidationError) as refusal:
        attempts.save_draft(begin(revision, bob), wrong, version=0, now=LATER)
    assert refusal.value.code == code


def test_more_dogs_than_places_are_refused(club, bob):
    revision = placing_class(club, places=2)
    with pytest.raises(ValidationError) as refusal:
        attempts.save_draft(begin(revision, bob), answer("abc"), version=0, now=LATER)
    assert refusal.value.code == "full"


def test_handing_in_grades(revision, bob):
    attempt = attempts.hand_in(begin(revision, bob), now=LATER, answer=answer("bacd"))
    grade = attempt.grades.get()
    assert (grade.pairs_agreed, grade.pairs_counted) == (5, 6)
    assert grade.chance == pytest.approx(4 / 24)
    assert grade.revision == revision


def test_handing_in_twice_stores_once(revision, bob):
    attempt = begin(revision, bob)
    attempts.hand_in(attempt, now=LATER, answer=answer("bacd"))
    again = attempts.hand_in(attempt, now=LATER, answer=answer("abcd"))
    assert again.answer["order"] == list("bacd")
    assert Grade.objects.count() == 1
    assert Revision.objects.get().handed_in == 1


def test_incomplete_is_refused_and_stays_a_draft(revision, bob):
    attempt = begin(revision, bob)
    with pytest.raises(ValidationError) as refusal:
        attempts.hand_in(attempt, now=LATER, answer=answer("ab"))
    assert refusal.value.messages[0].startswith("3rd is free. Place ")
    assert Attempt.objects.get().state == Attempt.State.OPEN


def test_what_is_handed_in_stays(revision, bob):
    attempt = attempts.hand_in(begin(revision, bob), now=LATER, answer=answer())
    with pytest.raises(attempts.HandedInAlready):
        attempts.save_draft(attempt, answer("ba"), version=9, now=LATER)
    with pytest.raises(attempts.HandedInAlready):
        attempts.more_time(attempt, now=LATER)


def test_rulings_count_and_leave_fewer_places(club, bob):
    excused = {"d": {"ruling": "excused", "reason": "lame"}}
    revision = placing_class(club, key=key("abc", rulings=excused))
    attempt = attempts.hand_in(
        begin(revision, bob), now=LATER, answer=answer("abc", d="excused")
    )
    grade = attempt.grades.get()
    assert (grade.pairs_agreed, grade.pairs_counted) == (3, 3)
    assert grade.result["rulings"]["right"] == ["d"]


def test_tallies_follow_every_attempt(revision, bob, alice):
    for person, order in ((bob, "abcd"), (alice, "bacd")):
        attempts.hand_in(begin(revision, person), now=LATER, answer=answer(order))
    counts = {(t.item, t.value): t.count for t in Tally.objects.all()}
    assert counts["a", "1"] == counts["b", "1"] == 1
    assert counts["d", "4"] == 2
    assert Revision.objects.get().mean_share == pytest.approx((1 + 5 / 6) / 2)


def test_preview_counts_nowhere(revision, alice):
    attempts.hand_in(begin(revision, alice, preview=True), now=LATER, answer=answer())
    assert not Tally.objects.exists()
    assert Revision.objects.get().handed_in == 0
    assert not Attempt.objects.owned_by(alice).exists()


def test_undefined_share_is_no_number(club, bob):
    level = key("ab", level=[0])
    revision = placing_class(club, names="ab", key=level)
    grade = attempts.hand_in(
        begin(revision, bob), now=LATER, answer=answer("ab")
    ).grades.get()
    assert grade.share is None
    assert grade.chance is None
    assert Revision.objects.get().mean_share is None


def test_clock_counts_the_pace_of_each_dog(club, bob):
    attempt = begin(placing_class(club, pace_seconds=150), bob)
    assert attempt.seconds_left(NOW) == 600
    assert attempt.seconds_left(NOW + timedelta(minutes=11)) == -60


def test_more_time_runs_from_now_once_it_is_up(club, bob):
    attempt = begin(placing_class(club, pace_seconds=20), bob)
    late = NOW + timedelta(minutes=10)
    assert attempts.more_time(attempt, now=late).seconds_left(late) == 120


def test_no_clock_without_a_pace(revision, bob):
    attempt = begin(revision, bob)
    assert attempt.seconds_left(NOW) is None
    assert attempts.more_time(attempt, now=LATER).extra_seconds == 0


def test_time_that_is_up_takes_nothing_away(club, bob):
    attempt = begin(placing_class(club, pace_seconds=20), bob)
    late = NOW + timedelta(hours=2)
    attempts.save_draft(attempt, answer("abcd"), version=0, now=late)
    assert attempts.hand_in(attempt, now=late).is_handed_in


def test_attempts_outlive_the_person(revision, bob):
    attempts.hand_in(begin(revision, bob), now=LATER, answer=answer())
    bob.delete()
    kept = Attempt.objects.get()
    assert kept.trainee is None
    assert kept.grades.exists()


def test_own_attempts_and_those_of_taught_classes(revision, bob, alice, charlie):
    attempt = begin(revision, bob)
    seen_by = Attempt.objects.visible_to
    assert seen_by(bob).get() == attempt
    assert not seen_by(alice).exists(), "an open attempt is the trainee's alone"
    attempts.hand_in(attempt, now=LATER, answer=answer())
    assert seen_by(alice).get() == attempt
    assert not seen_by(charlie).exists()
