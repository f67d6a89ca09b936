"""An exercise's revisions: offered for review, published by a second mentor, withdrawn."""

import random
from datetime import UTC, datetime

import pytest
from django.core.exceptions import ValidationError

from quizzes import attempts, exercises
from quizzes.models import Attempt, Exercise, Revision
from tests.conftest import member
from tests.factories import ModuleFactory
from tests.placing import answer, key, placing_class
from trainer.clubs.models import Role
from trainer.study.models import ModuleRevision

NOW = datetime(2026, 3, 10, 14, 30, tzinfo=UTC)
DRAFT, PUBLISHED, SUPERSEDED, WITHDRAWN = Revision.State.values


@pytest.fixture
def published(club):
    return placing_class(club)


@pytest.fixture
def draft(club):
    return placing_class(club, state=DRAFT)


@pytest.fixture
def second(club):
    return member(club, Role.MENTOR, "Sam Second")


def test_offer_is_dated_and_a_later_save_ends_it(draft, alice):
    exercises.offer(draft, by=alice, now=NOW)
    offered = Revision.objects.get()
    assert (offered.offered_by, offered.offered_at) == (alice, NOW)
    exercises.save_revision(draft, by=alice, version=draft.version, title="Else")
    saved = Revision.objects.get()
    assert (saved.offered_by, saved.offered_at) == (None, None)


def test_offer_is_taken_back(draft, alice):
    exercises.offer(draft, by=alice, now=NOW)
    exercises.take_back(draft)
    assert Revision.objects.get().offered_at is None


def test_unfinished_is_not_offered(club, alice):
    draft = placing_class(club, state=DRAFT, key=key("ab"))
    with pytest.raises(ValidationError, match="3rd is free in the key"):
        exercises.offer(draft, by=alice, now=NOW)


@pytest.mark.parametrize("change", [exercises.take_back, exercises.discard])
def test_published_is_neither_offered_nor_discarded(published, change):
    with pytest.raises(ValidationError) as refusal:
        change(published)
    assert refusal.value.code == "published"


def test_club_that_asks_for_a_second_mentor_gets_one(club, draft, alice, second):
    club.second_mentor = True
    club.save()
    for offered in (False, True):
        if offered:
            exercises.offer(draft, by=alice, now=NOW)
        with pytest.raises(ValidationError) as refusal:
            exercises.publish(draft, now=NOW, regrade=False, by=alice)
        assert refusal.value.code == "second-mentor"
    published = exercises.publish(draft, now=NOW, regrade=False, by=second)
    assert published.state == PUBLISHED


def test_change_after_the_offer_needs_another_offer(club, draft, alice, second):
    club.second_mentor = True
    club.save()
    exercises.offer(draft, by=alice, now=NOW)
    exercises.save_revision(draft, by=alice, version=draft.version, title="Else")
    with pytest.raises(ValidationError, match="another mentor"):
        exercises.publish(draft, now=NOW, regrade=False, by=second)


def test_club_that_asks_for_none_publishes_at_once(draft, alice):
    assert exercises.publish(draft, now=NOW, regrade=False, by=alice).published_at


def test_withdrawn_is_seen_and_begun_by_no_trainee(published, bob, alice):
    exercises.withdraw(published)
    assert Revision.objects.get().state == WITHDRAWN
    assert not Revision.objects.visible_to(bob).exists()
    assert not Exercise.objects.visible_to(bob).exists()
    assert Exercise.objects.visible_to(alice).exists()


def test_begun_before_it_was_withdrawn_is_finished_and_graded(published, bob):
    begun = attempts.begin(published, by=bob, now=NOW, rng=random.Random(1))
    exercises.withdraw(published)
    done = attempts.hand_in(begun, now=NOW, answer=answer("abcd"))
    assert done.own_grade.pairs_agreed == 6
    assert Attempt.objects.owned_by(bob).finished().exists()


def test_draft_is_not_withdrawn(draft):
    exercises.withdraw(draft)
    assert Revision.objects.get().state == DRAFT


def test_next_revision_brings_a_withdrawn_class_back(published, alice, bob):
    exercises.withdraw(published)
    draft = exercises.draft_of(published.exercise, by=alice)
    exercises.publish(draft, now=NOW, regrade=False, by=alice)
    states = dict(Revision.objects.values_list("number", "state"))
    assert states == {1: WITHDRAWN, 2: PUBLISHED}
    assert Revision.objects.visible_to(bob).get() == draft


def test_what_was_withdrawn_is_known_to_those_who_began_it(published, bob, alice):
    attempts.begin(published, by=bob, now=NOW, rng=random.Random(1))
    exercises.withdraw(published)
    assert Revision.objects.known_to(bob).get() == published
    assert not Revision.objects.known_to(alice).exists()


def withdraw_module(module):
    module.revisions.update(state=ModuleRevision.State.WITHDRAWN)


def test_class_of_a_withdrawn_module_goes_on_with_its_last_revision(published, alice):
    withdraw_module(published.exercise.module)
    draft = exercises.draft_of(published.exercise, by=alice)
    assert draft.module_revision == published.module_revision


def test_no_class_is_begun_from_a_withdrawn_module(club, alice):
    module = ModuleFactory(club=club)
    withdraw_module(module)
    fields = {"title": "Limit dogs", "note": "", "difficulty": "plain"}
    with pytest.raises(exercises.NothingTaught, match="has no revision in force"):
        exercises.new_exercise(
            module, kind="placing", by=alice, fields=fields, size=3, places=None
        )
    assert not Exercise.objects.exists()
