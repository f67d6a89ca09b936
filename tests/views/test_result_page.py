"""The result page as the trainee, and as a mentor, reads it."""

import re

import pytest
from django.utils import timezone

from quizzes import attempts
from quizzes.models import Revision
from tests.factories import (
    AttemptFactory,
    ExerciseFactory,
    ModuleFactory,
    UserFactory,
)
from tests.placing import answer, key, placing_class

LINE = [["b", 22], ["a", 11], ["d", 44], ["c", 33], ["e", 55]]
RULED = {"e": {"ruling": "excused", "reason": "lame"}}


@pytest.fixture
def handed_in(club, bob):
    """An attempt of Bob's that was handed in."""

    def make(given, *, trainee=bob, **more):
        revision = placing_class(club, **more)
        dogs = [entry for entry in LINE if entry[0] in more.get("names", "abcd")]
        attempt = AttemptFactory(
            revision=revision, trainee=trainee, shown={"line": dogs}
        )
        return attempts.hand_in(attempt, now=timezone.now(), answer=given)

    return make


def main_of(client, attempt):
    """The page's own text, in one line and without its elements."""
    page = client.get(f"/attempts/{attempt.pk}/result/").text
    main = page.split("<main", 1)[1].split("</main>")[0]
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", main.partition(">")[2]))


# What is said to every reader of the limits of the site.
STANDING = (
    "Placing Room teaches and lets you test yourself. It never says that you are "
    "qualified to judge; your licensing body decides that."
)


def test_mentor_reads_of_the_trainee_by_name(as_alice, handed_in):
    attempt = handed_in(
        answer("ba", e="absent"),
        names="abcde",
        places=2,
        key=key("cd", rulings=RULED),
    )
    text = main_of(as_alice, attempt)
    assert STANDING in text
    text = text.replace(STANDING, "")
    assert "Where Bob Trainee went another way" in text
    assert "Bob Trainee placed 22 and left 33 unplaced." in text
    assert not re.search(r"\byou(r|rs)?\b", text, re.IGNORECASE)


def test_each_reader_reads_their_own_page(as_alice, as_bob, handed_in):
    """Both kept parts of the page are the reader's own, whoever came first."""
    attempt = handed_in(answer("bacd"))
    assert "Bob Trainee had 22 over 11." in main_of(as_alice, attempt)
    assert "You had 22 over 11." in main_of(as_bob, attempt)
    assert "Bob Trainee had 22 over 11." in main_of(as_alice, attempt)


def test_a_trainee_who_has_left_has_no_name(as_alice, club, handed_in):
    attempt = handed_in(answer("bacd"), trainee=UserFactory())
    attempt.trainee = None
    attempt.save(update_fields=["trainee"])
    text = main_of(as_alice, attempt)
    assert "Somebody who has left: " in text
    assert "The trainee had 22 over 11." in text


def test_later_key_is_told_in_one_line_below_the_headline(as_bob, handed_in):
    attempt = handed_in(answer("bacd"))
    revision = attempt.revision
    later = placing_class(
        revision.exercise.module.club,
        exercise=revision.exercise,
        key=key("bacd"),
        number=2,
        state=Revision.State.DRAFT,
    )
    attempts.add_grade(attempt, later, now=timezone.now())
    head = main_of(as_bob, attempt).split("The same dogs")[0]
    assert "5 of 6 pairs as the mentor has them" in head
    assert "this grade stays as it was. Under the later key: Revision 2: 6 of 6" in head


def test_a_grade_under_one_key_says_nothing_of_others(as_bob, handed_in):
    assert "later key" not in main_of(as_bob, handed_in(answer("bacd")))


def test_styles_of_line_are_explained_without_a_crossing(as_bob, handed_in):
    text = main_of(as_bob, handed_in(answer("abd", c="excused")))
    assert "one place off" in text


@pytest.mark.parametrize("order", ["abcd", "dcba"])
def test_made_class_speaks_of_the_key_and_of_no_mentor(as_bob, club, handed_in, order):
    made = ExerciseFactory(module=ModuleFactory(club=club), from_weights=True)
    cuts = key(cuts=[3, 2, 2])
    text = main_of(as_bob, handed_in(answer(order), exercise=made, key=cuts))
    assert "as the key has" in text
    assert "no mentor has looked at it" in text
    assert "the mentor" not in text.lower()


def test_key_of_a_panel_is_headed_so(as_bob, handed_in):
    text = main_of(as_bob, handed_in(answer(), key={**key(), "panel": {"mentors": 3}}))
    assert "The key of a panel of 3 mentors" in text


def test_next_steps_have_one_label_each(as_bob, handed_in):
    text = main_of(as_bob, handed_in(answer("bacd")))
    assert (text.count("Place it again"), text.count("Another class")) == (2, 2)
    assert "mixed anew" not in text


def test_pair_without_a_reason_says_so(as_bob, handed_in):
    document = key()
    document["pairs"] = []
    text = main_of(as_bob, handed_in(answer("bacd"), key=document))
    assert "The mentor wrote no reason for this pair." in text


def test_reason_stands_once_on_the_page(as_bob, handed_in):
    text = main_of(as_bob, handed_in(answer("dcba")))
    for reason in ("11 beats 22.", "22 beats 33.", "33 beats 44."):
        assert text.count(reason) == 1


def test_cuts_are_explained_where_they_first_occur(as_bob, handed_in):
    text = main_of(as_bob, handed_in(answer("bacd"), key=key(cuts=[3, 2, 2])))
    explained = text.index("how clearly the key separates two neighbours")
    assert explained < text.index("Close (cut 3).")
    assert "stands each cut" not in main_of(as_bob, handed_in(answer("bacd")))


def test_what_comes_next_is_offered_before_the_pairs_too(as_bob, handed_in):
    attempt = handed_in(answer("bacd"))
    page = as_bob.get(f"/attempts/{attempt.pk}/result/").text
    before = page.split('id="pairs-title"')[0]
    for form in re.findall(r'form="([\w-]+)"', before):
        assert f'<form id="{form}" method="post"' in page
    assert 'form="place-again"' in before
    assert "Read on priority 1" in before


@pytest.mark.parametrize("order", ["dcba", "bdac"])
def test_every_fragment_that_is_linked_is_there(as_bob, handed_in, order):
    attempt = handed_in(answer(order))
    page = as_bob.get(f"/attempts/{attempt.pk}/result/").text
    main = page.split("<main", 1)[1]
    linked = set(re.findall(r'href="#([\w-]+)"', main))
    assert linked
    assert linked <= set(re.findall(r'id="([\w-]+)"', page))


@pytest.mark.parametrize(
    ("order", "explained"),
    [
        ("abcd", {"A tick is"}),
        ("dcba", {"A letter is"}),
        ("bacd", {"A tick is", "A letter is"}),
    ],
)
def test_table_explains_the_marks_that_it_has(as_bob, handed_in, order, explained):
    text = main_of(as_bob, handed_in(answer(order)))
    marks = {"A tick is", "+ is", "A letter is", "= is", "½ is", "An empty cell is"}
    assert {mark for mark in marks if mark in text} == explained


def test_table_says_which_dogs_the_mentor_did_not_place(as_bob, handed_in):
    text = main_of(as_bob, handed_in(answer("ab"), places=2, key=key("ab")))
    assert "An empty cell is a pair not placed in the key." in text
    assert "either order" not in text
