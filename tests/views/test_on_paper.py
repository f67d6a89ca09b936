"""Classes and critiques on paper: nothing before the key's own page tells the key."""

import pytest

from quizzes.drawing.amounts import amount
from quizzes.kinds.two.content import PairsContent
from quizzes.kinds.two.paper_form import RUNGS, ladder
from tests.critiques import critique
from tests.pairs import pairs
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


def test_pairs_are_printed_as_a_ladder_with_the_key_apart(as_alice, club):
    revision = pairs(club)
    url = f"/workshop/pairs/{revision.exercise_id}/print/"
    page = as_alice.get(url).text
    sheet, key = page.split('class="class-print-key"')
    content = PairsContent.read(revision.content)
    made = ladder(content)
    apart = sorted((one.difference for one in made), reverse=True)
    assert apart[0] == pytest.approx(content.largest, rel=0.1)
    assert apart[-1] < apart[0] / 4
    assert [one.difference for one in made] != apart
    assert {one.better for one in made} == {0, 1}
    assert sheet.count("<img") == 2 * RUNGS
    for one in made:
        assert amount(one.difference, content.unit) in key
        assert amount(one.difference, content.unit) not in sheet
    for n, status in ((1, 200), (RUNGS, 200), (RUNGS + 1, 404), (0, 404)):
        plate = f"/workshop/pairs/{revision.exercise_id}/rung-{n}-0.svg"
        assert as_alice.get(plate).status_code == status


def test_pairs_that_differ_in_nothing_yet_say_so(as_alice, club):
    revision = pairs(club)
    revision.content = PairsContent().document()
    revision.save()
    page = as_alice.get(f"/workshop/pairs/{revision.exercise_id}/print/").text
    assert "Say first what the pairs differ in." in page
