"""Tries at assessments: the server's time, what is kept, what counts, and what nobody sees before its time."""

import random
import threading
from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.core.management import call_command
from django.db import IntegrityError, connection, transaction
from django.utils import timezone

from quizzes import attempts, exercises
from quizzes.assessments import drafting, tries
from quizzes.assessments.figures import figures_of
from quizzes.assessments.results import results_of
from quizzes.exercises import EditedElsewhere
from quizzes.kinds import REGISTERED, kind_named
from quizzes.kinds.unfinished import goes_as_far, graded_as_it_stands
from quizzes.models import (
    AssessmentTry,
    Attempt,
    Exercise,
    Grade,
    LateAnswer,
    Review,
    Revision,
    Tally,
)
from quizzes.models.assessed import GRACE
from tests.assessing import AT_ONCE, WISH, assessment, at, begun
from tests.factories import MembershipFactory, ModuleFactory, UserFactory
from tests.material import drawn_module
from tests.placing import answer, placing_class
from tests.sheets import SHEET_KINDS, document_of, right, sheet, stored

pytestmark = pytest.mark.django_db


@pytest.fixture
def now():
    return timezone.now()


def save(attempt, given, *, now):
    fresh = Attempt.objects.get(pk=attempt.pk)
    return attempts.save_draft(fresh, given, version=fresh.version, now=now)


def minutes(n, seconds=0):
    return timedelta(minutes=n, seconds=seconds)


# beginning


def test_a_try_holds_an_attempt_at_each_item(club, bob, now):
    a_try = begun(assessment(club), bob, now=now)
    assert a_try.deadline == now + minutes(20)
    held = Attempt.objects.filter(assessment_try=a_try)
    assert held.count() == 2
    assert all(one.withheld for one in held)
    assert {one.revision.state for one in held} == {"published"}


def test_beginning_twice_finds_the_same_try(club, bob):
    found = assessment(club)
    assert begun(found, bob) == begun(found, bob)
    assert Attempt.objects.count() == 2


def test_two_tries_cannot_be_open(club, bob, now):
    a_try = begun(assessment(club), bob)
    with pytest.raises(IntegrityError), transaction.atomic():
        AssessmentTry.objects.create(
            assessment=a_try.assessment, person=bob, number=2, started_at=now
        )


def test_the_revision_is_fixed_when_the_try_begins(club, alice, bob, now):
    found = assessment(club)
    a_try = begun(found, bob)
    answered = at(a_try, 1).revision
    draft = exercises.draft_of(answered.exercise, by=alice)
    exercises.publish(draft, now=now, regrade=False)
    assert at(a_try, 1).revision == answered


def test_a_withdrawn_exercise_is_still_asked(club, bob):
    found = assessment(club)
    exercises.withdraw(Revision.objects.get(exercise__kind="placing"))
    assert at(begun(found, bob), 1).revision.state == "withdrawn"


def test_a_class_is_made_anew_for_each_person(club, alice, bob):
    other = UserFactory()
    MembershipFactory(club=club, user=other)
    module = drawn_module(club, alice)
    found = assessment(
        club, sheet(club, module=module).exercise, module=module, opened=False
    )
    drafting.add(found, wish=WISH)
    drafting.open_it(found)
    found.refresh_from_db()
    own, theirs = (
        tries.begin(found, by=one, now=timezone.now(), rng=random.Random(one.pk))
        for one in (bob, other)
    )
    first, second = at(own, 2).revision, at(theirs, 2).revision
    assert first.exercise.practice_for == bob
    assert second.exercise.practice_for == other
    assert first.content != second.content
    assert first.size == 4


def test_a_mentor_knows_the_keys_and_cannot_begin(club, alice):
    with pytest.raises(tries.NotNow):
        begun(assessment(club), alice)


@pytest.mark.parametrize("which", ["draft", "closed", "not yet", "no more"])
def test_it_cannot_be_begun_outside_its_time(club, bob, now, which):
    dates = {
        "not yet": {"opens_at": now + minutes(5)},
        "no more": {"closes_at": now - minutes(5)},
    }
    found = assessment(club, opened=which != "draft", **dates.get(which, {}))
    if which == "closed":
        drafting.close(found, now=now)
        found.refresh_from_db()
    with pytest.raises(tries.NotNow):
        begun(found, bob, now=now)


def test_tries_are_counted_and_one_more_can_be_given(club, bob, now):
    found = assessment(club)
    tries.hand_in(begun(found, bob), now=now)
    with pytest.raises(tries.NotNow):
        begun(found, bob)
    tries.allow(found, bob, minutes=0, tries=1)
    assert begun(found, bob).number == 2


@pytest.mark.django_db(transaction=True)
def test_beginning_at_once_in_two_tabs_begins_once(club, bob):
    found, done = assessment(club), []

    def begin():
        try:
            done.append(begun(found, bob).pk)
        finally:
            connection.close()

    both = [threading.Thread(target=begin) for _ in range(2)]
    for one in both:
        one.start()
    for one in both:
        one.join()
    assert len(done) == 2
    assert len(set(done)) == 1
    assert AssessmentTry.objects.count() == 1
    assert Attempt.objects.count() == 2


# the server's time


def test_saved_within_the_time_and_the_grace(club, bob, now):
    a_try = begun(assessment(club), bob, now=now)
    for when in (minutes(19, 59), minutes(20) + GRACE):
        order = "abcd" if when < minutes(20) else "bacd"
        assert save(at(a_try, 1), answer(order), now=now + when).saved_at == now + when


def test_what_arrives_later_is_kept_and_not_counted(club, bob, now):
    a_try = begun(assessment(club), bob, now=now)
    save(at(a_try, 1), answer("bacd"), now=now + minutes(5))
    late = now + minutes(20, 1) + GRACE
    with pytest.raises(attempts.TooLate):
        save(at(a_try, 1), answer("abcd"), now=late)
    tries.close_due(late)
    kept = LateAnswer.objects.get()
    assert kept.answer["order"] == list("abcd")
    assert kept.arrived_at == late
    assert at(a_try, 1).answer["order"] == list("bacd")
    a_try.refresh_from_db()
    assert a_try.by_time
    assert a_try.handed_in_at == now + minutes(20)


def test_what_arrives_late_and_says_nothing_new_is_not_late(club, bob, now):
    a_try = begun(assessment(club), bob, now=now)
    save(at(a_try, 1), answer(), now=now)
    for _again in range(2):
        with pytest.raises(attempts.TooLate):
            save(at(a_try, 1), answer(), now=now + minutes(30))
    assert not LateAnswer.objects.exists()


def test_late_handing_in_of_an_item_keeps_its_answer(club, bob, now):
    a_try = begun(assessment(club), bob, now=now)
    attempts.hand_in(at(a_try, 1), now=now + minutes(30), answer=answer())
    assert LateAnswer.objects.get().answer["order"] == list("abcd")
    assert not at(a_try, 1).is_handed_in


def test_a_mentor_lets_a_late_answer_count(club, bob, now):
    a_try = begun(assessment(club), bob, now=now)
    save(at(a_try, 1), answer("dcba"), now=now)
    with pytest.raises(attempts.TooLate):
        save(at(a_try, 1), answer("abcd"), now=now + minutes(25))
    tries.close_due(now + minutes(25))
    assert results_of([a_try])[a_try.pk].items[0].share == 0
    late = LateAnswer.objects.get()
    tries.count_late(late, now=now + minutes(60))
    tries.count_late(late, now=now + minutes(61))
    late.refresh_from_db()
    assert late.before["order"] == list("dcba")
    assert results_of([a_try])[a_try.pk].items[0].share == 1
    assert at(a_try, 1).withheld


def test_extra_minutes_are_one_persons_and_hold_at_once(club, bob, now):
    found = assessment(club)
    a_try = begun(found, bob, now=now)
    tries.allow(found, bob, minutes=10, tries=0)
    save(at(a_try, 1), answer(), now=now + minutes(29))
    a_try.refresh_from_db()
    assert a_try.deadline == now + minutes(30)
    other = UserFactory()
    MembershipFactory(club=club, user=other)
    assert begun(found, other, now=now).deadline == now + minutes(20)


def test_who_begins_in_time_has_the_whole_time(club, bob, now):
    found = assessment(club, closes_at=now + minutes(1))
    assert begun(found, bob, now=now).deadline == now + minutes(20)


def test_without_a_limit_closing_leaves_a_day(club, bob, now):
    found = assessment(club, minutes=None)
    a_try = begun(found, bob, now=now)
    assert a_try.deadline is None
    assert tries.close_due(now + timedelta(days=90)) == 0
    drafting.close(found, now=now)
    a_try.refresh_from_db()
    assert a_try.deadline == now + timedelta(days=1)


def test_the_command_closes_what_is_due(club, bob, capsys):
    a_try = begun(assessment(club), bob, ago=30)
    call_command("close_assessments")
    a_try.refresh_from_db()
    assert a_try.by_time
    assert "Closed: 1." in capsys.readouterr().out
    assert tries.close_due(timezone.now()) == 0


def test_two_tabs_of_one_item(club, bob, now):
    a_try = begun(assessment(club), bob, now=now)
    save(at(a_try, 1), answer("abcd"), now=now)
    with pytest.raises(attempts.ChangedElsewhere):
        attempts.save_draft(at(a_try, 1), answer("dcba"), version=0, now=now)


def test_nothing_is_kept_but_in_the_database(club, bob, now):
    """What a restart finds: the answer, the time that is left, and the order that was shown."""
    a_try = begun(assessment(club), bob, now=now)
    shown = at(a_try, 1).shown
    save(at(a_try, 1), answer(), now=now + minutes(3))
    fresh = AssessmentTry.objects.get()
    assert fresh.seconds_left(now + minutes(5)) == 15 * 60
    assert at(fresh, 1).shown == shown
    assert at(fresh, 1).answer["order"] == list("abcd")


# handing in, not whole


def test_handing_in_takes_every_item_as_it_stands(club, bob, now):
    a_try = begun(assessment(club), bob, now=now)
    save(at(a_try, 1), answer("ab"), now=now)
    for _twice in range(2):
        tries.hand_in(a_try, now=now + minutes(9))
    a_try.refresh_from_db()
    assert a_try.handed_in_at == now + minutes(9)
    assert not a_try.by_time
    first, second = results_of([a_try])[a_try.pk].items
    # Five of the six pairs of four dogs have one of the two that are placed.
    assert first.share == pytest.approx(5 / 6)
    assert second.share == 0
    assert not second.is_graded
    assert all(one.is_handed_in for one in Attempt.objects.all())


def test_a_place_alone_is_not_the_whole_class():
    kind, found = kind_named("placing"), placing_class_documents()
    graded = graded_as_it_stands(kind, *found, answer("a"))
    assert (graded.agreed, graded.counted) == (3, 6)
    assert graded.chance is None
    assert graded_as_it_stands(kind, *found, answer("abcd")).share == 1
    assert graded_as_it_stands(kind, *found, {}) is None


def placing_class_documents():
    from tests.placing import content, key

    return content(), key(), {"line": [[dog, n] for n, dog in enumerate("abcd", 1)]}


@pytest.mark.parametrize("slug", SHEET_KINDS)
def test_rows_that_are_not_answered_have_no_point(slug):
    kind, document = kind_named(slug), stored(document_of(slug))
    content, key = document["content"], document["key"]
    shown = kind.on_paper(content)
    rows, known = kind.sheet(content), kind.key(key)
    first = next(iter(rows))
    given = {"items": {first.id: kind.right(first, known[first.id])}}
    graded = graded_as_it_stands(kind, content, key, shown, given)
    assert graded.agreed == 1
    assert graded.counted == len(rows)
    assert graded_as_it_stands(kind, content, key, shown, {"items": {}}) is None


def test_every_kind_says_what_becomes_of_a_part_of_an_answer():
    whole_only = [slug for slug in REGISTERED if not goes_as_far(kind_named(slug))]
    assert whole_only in ([], ["two"])


# nothing mixes


def test_practice_and_try_never_mix(club, bob, now):
    revision = placing_class(club)
    practice = attempts.begin(revision, by=bob, now=now, rng=random.Random(1))
    found = assessment(club, revision.exercise, module=revision.exercise.module)
    a_try = begun(found, bob)
    assert at(a_try, 1) != practice
    with pytest.raises(attempts.InAssessment):
        attempts.begin(revision, by=bob, now=now, rng=random.Random(1))
    with pytest.raises(attempts.InAssessment):
        attempts.hand_in(practice, now=now, answer=answer())
    tries.hand_in(a_try, now=now)
    with pytest.raises(attempts.InAssessment):
        attempts.begin(revision, by=bob, now=now, rng=random.Random(1))
    tries.release(a_try, now=now)
    assert attempts.begin(revision, by=bob, now=now, rng=random.Random(1)) == practice


def test_nothing_is_told_before_the_release(club, bob, now):
    a_try = begun(assessment(club), bob)
    attempts.hand_in(at(a_try, 1), now=now, answer=answer())
    tries.hand_in(a_try, now=now)
    assert not Attempt.objects.owned_by(bob).exists()
    assert not Tally.objects.exists()
    assert not Review.objects.exists()
    assert Revision.objects.filter(handed_in__gt=0).count() == 0
    for _twice in range(2):
        tries.release(a_try, now=now)
    # What was never answered has no grade, and stays on the assessment's pages.
    assert [one.pk for one in Attempt.objects.owned_by(bob)] == [at(a_try, 1).pk]
    assert Revision.objects.get(handed_in=1).exercise.kind == "placing"
    assert Tally.objects.count() == 4
    assert Tally.objects.first().count == 1


def test_released_at_once_where_the_mentor_set_it(club, bob, now):
    a_try = begun(assessment(club, release=AT_ONCE), bob)
    tries.hand_in(a_try, now=now)
    a_try.refresh_from_db()
    assert a_try.released_at == now


def test_an_open_try_is_not_released(club, bob, now):
    found = assessment(club)
    a_try = begun(found, bob)
    tries.release(a_try, now=now)
    assert tries.release_all(found, now=now) == 0
    a_try.refresh_from_db()
    assert a_try.released_at is None


def test_an_exercise_kept_back_is_not_offered(club, bob):
    revision = placing_class(club)
    drafting.keep_back(revision.exercise, True)
    assert not Revision.objects.visible_to(bob).exists()
    assert not Revision.objects.shared_with(bob).exists()
    assert not Revision.objects.known_to(bob).exists()
    found = assessment(club, revision.exercise, module=revision.exercise.module)
    assert at(begun(found, bob), 1).revision == revision


# results


def test_the_share_weighs_the_items_and_reaches_the_mark_exactly(club, bob, now):
    found = assessment(club, opened=False, pass_per_cent=75)
    drafting.weigh(found.items.first(), 3)
    drafting.open_it(found)
    found.refresh_from_db()
    a_try = begun(found, bob)
    save(at(a_try, 1), answer("abcd"), now=now)
    tries.hand_in(a_try, now=now)
    result = results_of([a_try])[a_try.pk]
    assert result.per_cent == 75
    assert result.reaches(75)
    assert not result.reaches(76)
    assert result.reaches(None) is None
    assert result.chance is None


def test_the_chance_is_given_where_every_item_has_one(club, bob, now):
    a_try = begun(assessment(club), bob)
    save(at(a_try, 1), answer("abcd"), now=now)
    second = at(a_try, 2)
    save(second, right(second.revision), now=now)
    tries.hand_in(a_try, now=now)
    result = results_of([a_try])[a_try.pk]
    # One order of 24 is as good as the key's.
    assert result.items[0].chance == pytest.approx(1 / 24)
    assert result.chance == pytest.approx(result.items[1].chance / 24)
    assert result.share == 1


def test_figures_of_the_items(club, bob, now):
    found = assessment(club)
    other = UserFactory()
    MembershipFactory(club=club, user=other)
    for person, order in ((bob, "abcd"), (other, "dcba")):
        a_try = begun(found, person)
        save(at(a_try, 1), answer(order), now=now)
        tries.hand_in(a_try, now=now)
    first, second = figures_of(found)
    assert (first["n"], first["graded"], first["mean"]) == (2, 2, 50)
    assert (first["low"], first["high"]) == (0, 100)
    assert (second["n"], second["graded"], second["mean"]) == (2, 0, None)


# the mentor's draft


def test_opened_it_stays_as_it_is(club, alice, bob):
    found = assessment(club)
    with pytest.raises(drafting.NotADraft):
        drafting.save(found, version=found.version, title="Another")
    with pytest.raises(drafting.NotADraft):
        drafting.remove(found.items.first())
    begun(found, bob)
    with pytest.raises(ValidationError):
        drafting.back_to_draft(found)
    copy = drafting.copied(found, by=alice)
    assert copy.is_draft
    assert copy.items.count() == 2


def test_a_draft_saved_elsewhere_is_not_written_over(club):
    found = assessment(club, opened=False)
    drafting.save(found, version=1, title="Mine")
    with pytest.raises(EditedElsewhere):
        drafting.save(found, version=1, title="Theirs")


def test_items_change_places(club):
    found = assessment(club, opened=False)
    first, second = found.items.all()
    drafting.move(first, -1)
    drafting.move(first, 1)
    assert list(found.items.all()) == [second, first]


def test_an_exercise_is_asked_once(club):
    found = assessment(club, opened=False)
    with pytest.raises(ValidationError):
        drafting.add(found, exercise=Exercise.objects.first())


def test_what_is_lacking_keeps_it_from_being_opened(club):
    found = drafting.new(ModuleFactory(club=club), by=None, title="Empty")
    with pytest.raises(ValidationError):
        drafting.open_it(found)


def test_closing_before_opening_is_refused(club, now):
    with pytest.raises(ValidationError):
        assessment(club, opens_at=now, closes_at=now - minutes(1))


def test_deleting_the_account_takes_the_tries(club, bob, now):
    from quizzes.record import erasing

    a_try = begun(assessment(club, release=AT_ONCE), bob)
    save(at(a_try, 1), answer("abcd"), now=now)
    tries.hand_in(a_try, now=now)
    erasing.erase(bob, now)
    bob.delete()
    assert not AssessmentTry.objects.exists()
    left = Attempt.objects.get()
    assert left.trainee is None
    assert left.assessment_try is None
    assert Grade.objects.get().attempt == left
