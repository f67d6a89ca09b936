"""Classes and critiques on paper: nothing before the key's own page tells the key."""

import pytest

from tests.critiques import critique
from tests.placing import placing_class

pytestmark = pytest.mark.django_db


def test_a_class_is_printed_with_cards_and_the_key_apart(as_alice, club):
    revision = placing_class(club, names="cabd")
    page = as_alice.get(f"/workshop/classes/{revision.exercise_id}/print/").text
    dogs, key = page.split('class="class-print-key"')
    # By their numbers (c 11, a 22, b 33, d 44), whatever the key says.
    order = [dogs.index(f"{name} from the ring-side.") for name in "cabd"]
    assert order == sorted(order)
    assert "beats" not in dogs
    assert "11 beats 22" in key
    assert dogs.count('class="class-print-card"') == 4
    assert "1st" in dogs


def test_the_first_four_have_four_places(as_alice, club):
    revision = placing_class(club, names="abcdef", places=4)
    page = as_alice.get(f"/workshop/classes/{revision.exercise_id}/print/").text
    assert page.count("<span>4th</span>") == 4
    assert "<span>5th</span>" not in page


def test_a_critique_is_printed_with_lines(as_alice, club):
    revision = critique(club)
    page = as_alice.get(f"/workshop/critiques/{revision.exercise_id}/print/").text
    task, key = page.split('class="class-print-key"')
    assert task.count("class-print-line") > 20
    assert "The mentor says it in one line." in key
    assert "The mentor says it in one line." not in task


def test_nothing_is_made_by_looking(as_alice, club):
    revision = placing_class(club)
    as_alice.get(f"/workshop/classes/{revision.exercise_id}/print/")
    assert revision.exercise.revisions.count() == 1
