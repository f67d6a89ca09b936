"""The first page: for visitors, for people who know not what to do next, and for mentors."""

import re
from datetime import timedelta

import pytest
from django.utils import timezone

from quizzes.models import Attempt, Grade, Review, Revision
from tests.assessing import assessment, begun
from tests.factories import (
    AttemptFactory,
    ExerciseFactory,
    InvitationFactory,
    LessonFactory,
    MembershipFactory,
    ModuleFactory,
    ModuleRevisionFactory,
    RevisionFactory,
)
from tests.seminars import attendee, seminar
from tests.sheets import answered, sheet
from trainer.clubs.models import Role
from trainer.study.models import ModuleRevision


@pytest.fixture
def module(club):
    module = ModuleFactory(club=club, revision=None, breed__name="Fell Drover")
    ModuleRevisionFactory(module=module, priorities=3)
    return module


def make_class(module, title, size, **fields):
    exercise = ExerciseFactory(module=module, made_by=fields.pop("made_by", None))
    return RevisionFactory(exercise=exercise, title=title, size=size, **fields)


def hand_in(revision, trainee, *, days_ago=0, agreed=8, counted=10, chance=1 / 9):
    attempt = AttemptFactory(
        revision=revision,
        trainee=trainee,
        handed_in=True,
        started_at=timezone.now() - timedelta(days=days_ago),
    )
    Grade.objects.create(
        attempt=attempt,
        revision=revision,
        graded_at=timezone.now(),
        share=agreed / counted if counted else None,
        pairs_agreed=agreed,
        pairs_counted=counted,
        chance=chance,
        result={},
    )
    return attempt


def start(client):
    response = client.get("/")
    assert response.status_code == 200
    return response


def text(response):
    return " ".join(response.content.decode().split())


def titles(response):
    """What is suggested: the one thing first, then the others."""
    context = response.context
    first = [context["suggestion"]] if context["suggestion"] else []
    return [each.title for each in first + context["others"]]


def test_visitor_reads_what_the_site_is_for(client, db):
    page = text(client.get("/"))
    assert page.count("<h1>") == 1
    assert "It never says that you are qualified to judge" in page
    for link in ("/account/login/", "/account/signup/"):
        assert f'href="{link}"' in page
    for heading in ("You want to judge", "You teach a breed", "You run a club"):
        assert heading in page


def test_visitor_costs_no_query(client, db, django_assert_num_queries):
    with django_assert_num_queries(0):
        client.get("/")


def test_wrong_method_gets_405(as_bob):
    assert as_bob.post("/").status_code == 405


def test_stranger_is_told_how_to_get_into_a_club(as_stranger):
    page = text(start(as_stranger))
    assert "You belong to no club yet" in page
    assert 'href="/clubs/found/"' in page


def test_member_of_an_empty_club_is_told_to_wait(as_bob):
    page = text(start(as_bob))
    assert "nothing to place or to read yet" in page
    assert "You belong to no club yet" not in page


def test_smallest_class_not_placed_yet_comes_first(module, as_bob):
    make_class(module, "Open dogs", 5)
    make_class(module, "Novice dogs", 3)
    assert titles(start(as_bob)) == [
        "Priority 1",
        "Novice dogs",
        "Rehearse the examination",
    ]


def test_first_lesson_is_where_somebody_new_begins(module, as_bob):
    LessonFactory(revision=module.revisions.get(), name="Seen from the side")
    make_class(module, "Novice dogs", 3)
    assert titles(start(as_bob))[:2] == ["Seen from the side", "Novice dogs"]


def test_plain_classes_come_before_smaller_ones(module, bob, as_bob):
    make_class(module, "Close", 3, difficulty=Revision.Difficulty.CLOSE)
    make_class(module, "Plain and large", 6, difficulty=Revision.Difficulty.PLAIN)
    make_class(module, "Plain", 4, difficulty=Revision.Difficulty.PLAIN)
    assert titles(start(as_bob))[1] == "Plain"


@pytest.mark.parametrize(
    ("placed", "first"),
    [(1, "Waiting"), (2, "Waiting"), (3, "Of the winner"), (4, "Waiting")],
)
def test_critiques_wait_for_three_classes(module, bob, as_bob, placed, first):
    """Then one comes after three classes, the next after four more."""
    critique = ExerciseFactory(module=module, kind="critique")
    RevisionFactory(exercise=critique, title="Of the winner", size=1)
    make_class(module, "Waiting", 5)
    for number in range(placed):
        hand_in(make_class(module, f"Class {number}", 3), bob)
    found = titles(start(as_bob))
    assert found[0] == first
    assert placed >= 3 or "Of the winner" not in found


def test_placed_classes_are_not_suggested_again(module, bob, as_bob):
    hand_in(make_class(module, "Novice dogs", 3), bob)
    make_class(module, "Open dogs", 5)
    assert titles(start(as_bob))[0] == "Open dogs"


def test_open_attempt_comes_before_everything(module, bob, as_bob):
    make_class(module, "Novice dogs", 3)
    attempt = AttemptFactory(revision=make_class(module, "Open dogs", 5), trainee=bob)
    response = start(as_bob)
    assert titles(response) == ["Open dogs", "Priority 1", "Novice dogs"]
    assert f'href="/attempts/{attempt.pk}/"' in text(response)


def test_everything_begun_is_listed(module, bob, as_bob):
    begun = [
        AttemptFactory(revision=make_class(module, title, 3), trainee=bob)
        for title in ("First", "Second", "Third")
    ]
    page = text(start(as_bob))
    for attempt in begun:
        assert page.count(f'href="/attempts/{attempt.pk}/"') == 1


def test_what_is_kept_of_the_page_follows_what_happens(module, bob, as_bob):
    hand_in(make_class(module, "Novice dogs", 3), bob)
    revision = make_class(module, "Open dogs", 5)
    assert "Look at the class" in text(start(as_bob))
    attempt = AttemptFactory(revision=revision, trainee=bob)
    assert "Go on placing" in text(start(as_bob))
    attempt.delete()
    assert "Look at the class" in text(start(as_bob))
    module.breed.name = "Tarn Drover"
    module.breed.save()
    page = text(start(as_bob))
    assert "Tarn Drover" in page
    assert "Fell Drover" not in page


def test_organiser_is_shown_what_an_organiser_does(module, as_organiser, as_bob):
    make_class(module, "Novice dogs", 3)
    response = start(as_organiser)
    assert titles(response) == [
        "Invite people",
        "People and their roles",
        "Grade paper cards",
    ]
    page = text(response)
    assert 'href="/clubs/tarn-valley/#invitations"' in page
    assert 'href="/clubs/tarn-valley/#people"' in page
    assert 'href="/workshop/paper/"' in page
    assert "What you run" not in page + text(start(as_bob))


def test_organiser_who_trains_is_shown_both(module, organiser, as_organiser):
    MembershipFactory(club=module.club, user=organiser, role=Role.TRAINEE)
    response = start(as_organiser)
    assert titles(response)[0] == "Priority 1"
    assert "What you run" in text(response)


def test_mentor_with_classes_and_nobody_to_place_them_invites(module, alice, as_alice):
    make_class(module, "Own class", 3, made_by=alice)
    assert titles(start(as_alice))[0] == "Make a class"
    MembershipFactory(club=module.club, user=alice, role=Role.ORGANISER)
    response = start(as_alice)
    assert titles(response)[0] == "Invite trainees"
    assert 'href="/clubs/tarn-valley/#invitations"' in text(response)
    link = InvitationFactory(club=module.club)
    assert titles(start(as_alice))[0] == "Make a class"
    link.delete()
    MembershipFactory(club=module.club, role=Role.TRAINEE)
    assert titles(start(as_alice))[0] == "Make a class"


def test_mentor_is_sent_back_to_the_own_module(module, alice, as_alice):
    draft = ModuleRevisionFactory(
        module=module,
        number=2,
        title="Second thoughts",
        author=alice,
        state=ModuleRevision.State.DRAFT,
    )
    response = start(as_alice)
    assert titles(response)[:2] == [draft.title, "Make a class"]
    url = response.context["suggestion"].url
    assert "Second thoughts" in text(as_alice.get(url))


def test_organiser_who_teaches_is_sent_to_the_paper_cards(club, alice, as_alice):
    MembershipFactory(club=club, user=alice, role=Role.ORGANISER)
    assert 'href="/workshop/paper/"' in text(start(as_alice)).split("What you run")[1]


def test_previews_are_nothing_to_go_on_with(module, alice, as_alice):
    revision = make_class(module, "Open dogs", 5, made_by=alice)
    AttemptFactory(revision=revision, trainee=alice, preview=True)
    assert "Open dogs" not in titles(start(as_alice))


@pytest.mark.parametrize(("placed", "name"), [(0, 1), (1, 2), (2, 3), (3, 1)])
def test_next_priority_after_each_class(module, bob, as_bob, placed, name):
    for number in range(placed):
        hand_in(make_class(module, f"Class {number}", 3), bob)
    assert titles(start(as_bob))[0] == f"Priority {name}"


def test_suggestions_stay_with_the_module_placed_last(club, module, bob, as_bob):
    later = ModuleFactory(club=club, breed__name="Zwart Drover", revision=None)
    ModuleRevisionFactory(module=later, priorities=1)
    hand_in(make_class(module, "Novice dogs", 3), bob, days_ago=2)
    hand_in(make_class(later, "Open dogs", 3), bob, days_ago=1)
    assert "Zwart Drover" in start(as_bob).context["suggestion"].note


def test_nothing_of_another_club_is_shown(module, as_charlie):
    make_class(module, "Novice dogs", 3)
    response = start(as_charlie)
    assert titles(response) == []
    for words in ("Novice dogs", "Fell Drover"):
        assert words not in text(response)


def test_drafts_are_not_suggested_to_trainees(module, as_bob):
    make_class(module, "Open dogs", 5, state=Revision.State.DRAFT)
    assert "Open dogs" not in text(start(as_bob))


def test_latest_results_in_words(module, bob, as_bob):
    for number, title in enumerate(["Oldest", "Older", "Newer", "Newest"]):
        hand_in(make_class(module, title, 5), bob, days_ago=9 - number)
    page = text(start(as_bob))
    shown = re.findall(r'href="/attempts/\d+/result/">(\w+)<', page)
    assert shown == ["Newest", "Newer", "Older"]
    assert "8 of 10 pairs as the key has them." in page
    assert "Random orders that do as well: 1 in 9." in page
    assert "%" not in page.split("<main")[1]


def test_what_is_kept_of_the_latest_results_gives_way_to_the_next(module, bob, as_bob):
    hand_in(make_class(module, "First", 5), bob, days_ago=3)
    assert "First" in text(start(as_bob))
    hand_in(make_class(module, "Second", 5), bob, days_ago=1)
    page = text(start(as_bob))
    assert re.findall(r'href="/attempts/\d+/result/">(\w+)<', page) == [
        "Second",
        "First",
    ]
    assert "One class proves little." in page


def test_a_result_without_pairs_is_said_not_counted(module, bob, as_bob):
    revision = make_class(module, "All level", 3)
    hand_in(revision, bob, agreed=0, counted=0, chance=None)
    page = text(start(as_bob))
    assert "No pair here that the key and your placing can be compared on." in page
    assert "0 of 0" not in page


def test_mentor_sees_what_lies_on_the_desk(module, alice, as_alice, as_bob):
    make_class(module, "Open dogs", 5, handed_in=1200)
    make_class(module, "Novice dogs", 3, handed_in=3)
    make_class(module, "Limit dogs", 4, state=Revision.State.DRAFT, edited_by=alice)
    page = text(start(as_alice))
    assert "1 class not published yet" in page
    assert "2 classes to place" in page
    assert "1,203 placings so far" in page
    assert "What you teach" not in text(start(as_bob))


def test_desk_counts_own_clubs_only(module, other_club, as_alice):
    elsewhere = ModuleFactory(club=other_club)
    make_class(elsewhere, "Open dogs", 5, handed_in=7)
    desk = start(as_alice).context["desk"]
    assert desk == {
        "drafts": 0,
        "in_force": 0,
        "placings": 0,
        "modules": 0,
        "to_mark": 0,
    }


def test_mentor_is_sent_to_the_own_draft_and_not_to_own_classes(
    module, alice, as_alice
):
    make_class(module, "Own class", 3, made_by=alice)
    draft = make_class(
        module, "Own draft", 4, state=Revision.State.DRAFT, edited_by=alice
    )
    response = start(as_alice)
    assert titles(response) == ["Own draft", "Make a class", "Priority 1"]
    assert f'href="/workshop/classes/{draft.exercise_id}/"' in text(response)


def test_mentor_without_a_module_makes_no_class(as_alice):
    assert titles(start(as_alice)) == []


def test_suggestions_lead_to_pages_that_are_there(module, bob, as_bob):
    make_class(module, "Novice dogs", 3)
    context = start(as_bob).context
    for each in [context["suggestion"], *context["others"]]:
        assert as_bob.get(each.url).status_code == 200, each.url


@pytest.mark.parametrize("many", [1, 25])
def test_start_takes_as_many_queries_for_many_rows(
    club, bob, as_bob, many, django_assert_num_queries
):
    for number in range(many):
        module = ModuleFactory(club=club)
        hand_in(make_class(module, f"Placed {number}", 4), bob)
        make_class(module, f"Waiting {number}", 4)
    AttemptFactory(revision=make_class(module, "Open", 4), trainee=bob)
    assert Attempt.objects.count() == many + 1
    as_bob.get("/")
    with django_assert_num_queries(14):
        as_bob.get("/")


def test_other_mentors_drafts_are_theirs_to_finish(module, organiser, as_alice):
    make_class(module, "Draft", 4, state=Revision.State.DRAFT, edited_by=organiser)
    assert titles(start(as_alice))[0] == "Make a class"


def test_what_is_due_is_told_and_comes_before_what_is_new(club, bob, as_bob):
    """A sheet that went badly three weeks ago is the first thing to do."""
    revision = sheet(club, title="Six faults")
    make_class(revision.exercise.module, "Novice dogs", 3)
    attempt = answered(revision, bob)
    assert "Due again" not in start(as_bob).text
    Review.objects.filter(person=bob).update(due_at=attempt.handed_in_at)
    page = start(as_bob)
    assert titles(page)[0] == "Six faults"
    assert "All that is due, one thing" in page.text
    assert "/review/" in page.text


def test_where_somebody_stands_is_said_in_words(club, module, bob, as_bob):
    page = start(as_bob).text
    assert "Nothing read yet. No class placed yet." in page
    hand_in(make_class(module, "Placed", 4), bob)
    as_bob.get(f"/modules/{module.pk}/faults/")
    page = start(as_bob).text
    assert "1 class placed; " in page
    assert re.search(r"1 of \d+ pages read\.", page)


def test_seminars_that_come_are_told_with_ones_place(club, bob, as_bob):
    soon = timezone.now() + timedelta(days=3)
    held = seminar(club, starts=soon, title="A day on feet")
    seminar(club, starts=soon, title="Prepared", state="prepared")
    page = start(as_bob).text
    assert "A day on feet" in page
    assert "You are not enrolled." in page
    assert "Prepared" not in page
    attendee(held, bob)
    assert "You have a place." in start(as_bob).text


def test_somebody_new_reads_before_being_examined(module, bob, as_bob):
    """An assessment that is open stands second; one whose clock runs stands first."""
    LessonFactory(revision=module.revisions.get(), name="Seen from the side")
    found = assessment(module.club, module=module, title="Before the study day")
    assert titles(start(as_bob))[:2] == ["Seen from the side", "Before the study day"]
    begun(found, bob)
    assert titles(start(as_bob))[:2] == ["Before the study day", "Seen from the side"]


def test_when_nothing_is_due_it_is_said_what_comes_back_when(club, bob, as_bob):
    assert "sooner where it went less well" in as_bob.get("/review/").text
    answered(sheet(club), bob)
    page = as_bob.get("/review/").text
    assert "The first thing comes back on" in page
    assert "/classes/another/" in page
    assert "/review/" in as_bob.get("/record/").text
