"""Classes made for one person: who sees them, what suits, how they end with the person."""

import json
import random
from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db.models import ProtectedError
from django.utils import timezone

from quizzes import attempts
from quizzes.generator import TARGETS
from quizzes.kinds.placing.content import ClassContent, ClassKey
from quizzes.kinds.placing.problems import class_problems
from quizzes.models import Attempt, Exercise, Grade, Revision
from quizzes.practice import services
from quizzes.practice.suiting import ability, suited
from tests.factories import AttemptFactory, MembershipFactory
from tests.material import drawn_module
from tests.placing import placing_class
from trainer.study import reading


@pytest.fixture
def module(club, alice):
    return drawn_module(club, alice)


def another(module, by, seed=1, **more):
    wanted = {"size": 5, "difficulty": "middling", "sex": "bitch", **more}
    return services.another_class(
        reading.document(by, module.pk),
        by=by,
        now=timezone.now(),
        rng=random.Random(seed),
        **wanted,
    )


def begun_at(revision, by):
    return attempts.begin(revision, by=by, now=timezone.now(), rng=random.Random(1))


def hand_in(attempt, order=None):
    order = order or list(ClassKey.read(attempt.revision.key).order)
    sent = {"order": order, "rulings": {}}
    return attempts.hand_in(attempt, now=timezone.now(), answer=sent)


def test_made_class_is_an_ordinary_revision_in_force(module, bob):
    attempt = another(module, bob)
    revision = attempt.revision
    content, key = ClassContent.read(revision.content), ClassKey.read(revision.key)
    assert revision.state == Revision.State.PUBLISHED
    assert class_problems(content, key) == []
    assert len(content) == revision.size == 5
    assert content.breed == "marlefell-drover"
    assert content.sex == "bitch"
    assert revision.title == "Made class 1: Open bitches, five"
    assert hand_in(attempt).own_grade.share == 1


def test_same_seed_makes_the_same_class(module, bob, alice):
    one, two = (another(module, by, seed=7).revision for by in (bob, alice))
    assert (one.content, one.key) == (two.content, two.key)
    assert another(module, bob, seed=8).revision.content != one.content


def test_nobody_else_sees_it(module, bob, alice, organiser):
    attempt = another(module, bob)
    hand_in(attempt)
    exercise = attempt.revision.exercise_id
    staff = MembershipFactory(user__is_staff=True).user
    for other in (alice, organiser, staff):
        assert not Exercise.objects.visible_to(other).filter(pk=exercise).exists()
        assert not Exercise.objects.editable_by(other).filter(pk=exercise).exists()
        assert not Revision.objects.visible_to(other).filter(exercise=exercise).exists()
        assert (
            not Revision.objects.editable_by(other).filter(exercise=exercise).exists()
        )
        assert not Attempt.objects.visible_to(other).filter(pk=attempt.pk).exists()
    assert Exercise.objects.visible_to(bob).filter(pk=exercise).exists()
    assert not Exercise.objects.editable_by(bob).filter(pk=exercise).exists()


def test_a_mentor_practises_too_and_it_is_in_no_workshop(module, alice):
    attempt = another(module, alice)
    exercise = attempt.revision.exercise_id
    assert Exercise.objects.visible_to(alice).filter(pk=exercise).exists()
    assert not Exercise.objects.editable_by(alice).filter(pk=exercise).exists()


def test_a_person_who_goes_takes_their_practice_along(module, bob, club):
    shared = placing_class(club, module=module)
    kept = begun_at(shared, bob)
    hand_in(kept, list("abcd"))
    handed_in, begun = another(module, bob), another(module, bob, seed=2)
    hand_in(handed_in)
    bob.delete()
    assert not Exercise.objects.exclude(practice_for=None).exists()
    assert list(Attempt.objects.all()) == [kept]
    assert Attempt.objects.get().trainee is None
    assert Grade.objects.get().attempt_id == kept.pk
    assert begun.pk != handed_in.pk


def test_what_was_answered_keeps_a_shared_revision(club, bob):
    attempt = AttemptFactory(revision=placing_class(club), trainee=bob)
    with pytest.raises(ProtectedError):
        attempt.revision.delete()
    with pytest.raises(ProtectedError):
        attempt.revision.exercise.delete()


def test_at_most_so_many_unfinished(module, bob, monkeypatch):
    monkeypatch.setattr(services, "MOST_UNFINISHED", 2)
    first = another(module, bob, seed=1)
    another(module, bob, seed=2)
    with pytest.raises(ValidationError, match="You have begun 2 classes"):
        another(module, bob, seed=3)
    hand_in(first)
    assert another(module, bob, seed=3).pk


def test_refusal_stores_nothing(module, bob):
    document = reading.document(bob, module.pk)
    with pytest.raises(ValidationError):
        services.another_class(
            document,
            by=bob,
            size=40,
            difficulty="plain",
            sex="dog",
            now=timezone.now(),
            rng=random.Random(1),
        )
    assert not Exercise.objects.exists()


def test_twin_is_the_same_class_in_another_coat(module, bob):
    attempt = hand_in(another(module, bob))
    mirrored = services.twin_of(
        attempt, by=bob, now=timezone.now(), rng=random.Random(5)
    )
    one, two = attempt.revision, mirrored.revision
    assert two.exercise.twin_of == one
    assert two.exercise.practice_for == bob
    assert two.title == "Made class 2: Open bitches, five, mirrored"

    def told(revision):
        dogs = ClassContent.read(revision.content).by_id
        return [
            (dogs[dog].levels, dogs[dog].faults)
            for dog in ClassKey.read(revision.key).order
        ]

    assert told(two) == told(one)
    dogs = ClassContent.read(two.content)
    assert all(dog.mirror for dog in dogs)
    before = ClassContent.read(one.content)
    assert not {dog.id for dog in dogs} & {dog.id for dog in before}
    assert not {dog.armband for dog in dogs} & {dog.armband for dog in before}
    assert hand_in(mirrored).own_grade.share == 1


def test_twin_of_a_twin_keeps_its_words_under_a_new_number(module, bob):
    rng, now = random.Random(5), timezone.now()
    first = hand_in(another(module, bob))
    second = hand_in(services.twin_of(first, by=bob, now=now, rng=rng))
    third = services.twin_of(second, by=bob, now=now, rng=rng)
    assert third.revision.title == "Made class 3: Open bitches, five, mirrored"
    assert not any(dog.mirror for dog in ClassContent.read(third.revision.content))


def test_class_of_descriptions_has_no_twin(club, bob):
    attempt = hand_in(begun_at(placing_class(club), bob))
    now = timezone.now()
    assert services.twin_of(attempt, by=bob, now=now, rng=random.Random(1)) is None


def test_latest_results_count_and_no_others(module, bob, alice):
    for seed in range(8):
        made = hand_in(another(module, bob, seed=seed))
        Attempt.objects.filter(pk=made.pk).update(
            handed_in_at=timezone.now() + timedelta(minutes=seed)
        )
    results = services.latest_results(bob, module.pk)
    assert len(results) == 6
    assert all(agreed == counted > 0 for _difficulty, agreed, counted in results)
    assert services.latest_results(alice, module.pk) == []
    assert services.latest_results(bob, module.pk + 1) == []


@pytest.mark.parametrize(
    ("results", "expected"),
    [
        ([], "middling"),
        ([("plain", 5, 10), ("plain", 6, 10)], "plain"),
        ([("middling", 8, 10), ("middling", 8, 10)], "middling"),
        ([("middling", 10, 10)] * 4, "close"),
        ([("close", 10, 10)] * 6, "close"),
        ([("close", 4, 10)] * 3, "plain"),
    ],
)
def test_what_suits(results, expected):
    assert suited(results) == expected


def test_a_few_pairs_move_the_ability_less_than_many():
    few, many = ability([("plain", 3, 3)]), ability([("plain", 60, 60)])
    assert 0 < few < many < 1 - TARGETS["plain"]


def test_difficulty_follows_the_results(module, bob):
    for seed in range(4):
        made = another(module, bob, seed=seed, difficulty="plain")
        order = list(ClassKey.read(made.revision.key).order)
        hand_in(made, order[::-1])
    assert another(module, bob, seed=9, difficulty=services.SUITS).revision.difficulty == "plain"  # fmt: skip


def test_documents_are_in_their_stored_form(module, bob):
    revision = another(module, bob).revision
    assert ClassContent.read(revision.content).document() == revision.content
    assert ClassKey.read(revision.key).document() == revision.key
    json.dumps([revision.content, revision.key])
