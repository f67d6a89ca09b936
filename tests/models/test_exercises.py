"""Drafts, publishing and grading again."""

import random
from datetime import UTC, datetime

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from quizzes import attempts, exercises
from quizzes.models import Attempt, Grade, Revision
from tests.factories import RevisionFactory
from tests.placing import answer, content, key, placing_class

NOW = datetime(2026, 3, 10, 14, 30, tzinfo=UTC)
DRAFT, PUBLISHED, SUPERSEDED, WITHDRAWN = Revision.State.values


@pytest.fixture
def published(club):
    return placing_class(club)


def draft(club, **more):
    return placing_class(club, state=DRAFT, **more)


def handed_in(revision, user, order="abcd"):
    attempt = attempts.begin(revision, by=user, now=NOW, rng=random.Random(1))
    return attempts.hand_in(attempt, now=NOW, answer=answer(order))


def test_new_exercise_is_an_empty_draft_of_the_modules_club(published, alice):
    module = published.exercise.module
    fields = {"title": "Limit dogs", "note": "", "difficulty": "plain"}
    made = exercises.new_exercise(
        module, kind="placing", by=alice, fields=fields, size=3, places=None
    )
    assert (made.state, made.size) == (DRAFT, 3)
    assert made.exercise.club == module.club
    worn = [dog["armband"] for dog in made.content["dogs"]]
    assert len(set(worn)) == 3


def test_changing_what_is_in_force_begins_a_copy(published, alice):
    copy = exercises.draft_of(published.exercise, by=alice)
    assert (copy.state, copy.number) == (DRAFT, published.number + 1)
    assert (copy.content, copy.key) == (published.content, published.key)
    assert exercises.draft_of(published.exercise, by=alice) == copy


def test_published_is_never_edited(published, alice):
    with pytest.raises(ValidationError) as refusal:
        exercises.save_revision(
            published, by=alice, version=published.version, title="Else"
        )
    assert refusal.value.code == "published"


def test_two_mentors_do_not_overwrite_each_other(club, alice, organiser):
    made = draft(club)
    exercises.save_revision(made, by=alice, version=1, title="Alice's")
    with pytest.raises(exercises.EditedElsewhere) as refusal:
        exercises.save_revision(made, by=organiser, version=1, title="Olive's")
    assert "Alice Mentor" in refusal.value.messages[0]
    assert Revision.objects.get(pk=made.pk).title == "Alice's"


def test_publishing_supersedes(published, alice):
    copy = exercises.draft_of(published.exercise, by=alice)
    exercises.publish(copy, now=NOW, regrade=False)
    states = dict(Revision.objects.values_list("number", "state"))
    assert states == {1: SUPERSEDED, 2: PUBLISHED}


def test_unfinished_is_not_published(club):
    made = draft(club, key=key("ab"))
    with pytest.raises(ValidationError) as refusal:
        exercises.publish(made, now=NOW, regrade=False)
    assert refusal.value.messages == [
        "3rd is free in the key. Place 33, 44 or record a ruling."
    ]
    assert Revision.objects.get().state == DRAFT


def test_attempts_stay_with_their_revision(published, bob, alice):
    attempt = handed_in(published, bob)
    exercises.publish(
        exercises.draft_of(published.exercise, by=alice), now=NOW, regrade=False
    )
    attempt.refresh_from_db()
    assert attempt.revision == published
    assert Grade.objects.count() == 1


def test_regrade_keeps_the_old_grade(published, bob, alice):
    attempt = handed_in(published, bob, "abcd")
    copy = exercises.draft_of(published.exercise, by=alice)
    exercises.save_revision(copy, by=alice, version=copy.version, key=key("bacd"))
    exercises.publish(copy, now=NOW, regrade=True)
    agreed = {g.revision.number: g.pairs_agreed for g in attempt.grades.all()}
    assert agreed == {1: 6, 2: 5}


def test_regrade_leaves_attempts_at_other_dogs(published, bob, alice):
    handed_in(published, bob)
    copy = exercises.draft_of(published.exercise, by=alice)
    exercises.save_revision(
        copy,
        by=alice,
        version=copy.version,
        content=content("abce"),
        key=key("abce"),
    )
    exercises.publish(copy, now=NOW, regrade=True)
    assert Grade.objects.count() == 1


def test_saving_a_draft_ends_its_previews(club, alice):
    made = draft(club)
    attempts.begin(made, by=alice, now=NOW, rng=random.Random(1), preview=True)
    exercises.save_revision(made, by=alice, version=1, title="New")
    assert not Attempt.objects.exists()


def test_database_holds_one_in_force_and_one_draft(published):
    for state in (PUBLISHED, DRAFT):
        if state == DRAFT:
            RevisionFactory(exercise=published.exercise, state=state)
        with pytest.raises(IntegrityError), transaction.atomic():
            RevisionFactory(exercise=published.exercise, state=state)


def test_trainees_see_what_is_in_force_only(club, bob, charlie, alice):
    in_force = placing_class(club)
    draft(club)
    assert Revision.objects.visible_to(bob).get() == in_force
    assert not Revision.objects.visible_to(charlie).exists()
    assert Revision.objects.editable_by(alice).count() == 2
    assert not Revision.objects.editable_by(bob).exists()


def test_key_is_not_fetched_for_trainees(published, bob):
    seen = Revision.objects.visible_to(bob).get()
    assert "key" in seen.get_deferred_fields()


def test_what_is_published_is_not_discarded(published):
    with pytest.raises(ValidationError) as refusal:
        exercises.discard(published)
    assert refusal.value.code == "published"
    assert Revision.objects.get() == published


def test_discarding_a_draft_leaves_attempts_and_grades(published, bob, alice):
    attempt = handed_in(published, bob)
    copy = exercises.draft_of(published.exercise, by=alice)
    exercises.discard(copy)
    assert Revision.objects.get() == published
    assert attempt.grades.count() == 1
