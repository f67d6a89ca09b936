"""Reasons for a pair beside the levels of both dogs, worked by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quizzes.grading.reasons import compare

WEIGHTS = {"front": 40, "back": 30, "feet": 20, "coat": 10}
UPPER = {"front": 4, "back": 2, "feet": 2, "coat": 0}
LOWER = {"front": 2, "back": 2, "feet": 1, "coat": 3}
# front parts them by 80 for the upper, feet by 20; the back is level; the coat is granted.


@pytest.mark.parametrize(
    ("named", "points"),
    [
        (["front"], 1),
        (["front", "feet"], 1),
        (["feet"], 0.5),
        (["front", "coat"], 0.5),
        (["front", "back"], 0.5),
        (["back"], 0),
        (["coat"], 0),
        (["feet", "coat"], 0),
        ([], 0),
    ],
)
def test_points_by_hand(named, points):
    assert compare(named, "", UPPER, LOWER, WEIGHTS).points == points


def test_what_is_named_is_sorted():
    found = compare(["front", "back", "coat"], "coat", UPPER, LOWER, WEIGHTS)
    assert (found.true, found.level, found.untrue) == (("front",), ("back",), ("coat",))
    assert found.deciding == "front"
    assert found.names_it
    assert found.grants == ("coat",)
    assert found.granted is True


@pytest.mark.parametrize(
    ("grant", "so"), [("coat", True), ("front", False), ("", False), ("back", False)]
)
def test_a_grant_is_what_the_lower_dog_has(grant, so):
    assert compare(["front"], grant, UPPER, LOWER, WEIGHTS).granted is so


def test_nothing_to_grant_is_right_where_there_is_nothing():
    worse = dict.fromkeys(WEIGHTS, 0)
    best = dict.fromkeys(WEIGHTS, 4)
    assert compare(["front"], "", best, worse, WEIGHTS).granted is True


def test_the_mentors_own_word_decides():
    found = compare(["feet"], "", UPPER, LOWER, WEIGHTS, decides="feet")
    assert found.points == 1


def test_without_levels_only_the_mentors_word_is_known():
    found = compare(["front"], "coat", {}, {}, WEIGHTS, decides="front")
    assert (found.points, found.granted, found.unknown) == (1, None, ("front",))
    assert compare(["coat"], "", {}, {}, WEIGHTS, decides="front").points == 0
    assert compare(["coat"], "", {}, {}, WEIGHTS).points is None


LEVELS = st.fixed_dictionaries({slug: st.integers(0, 4) for slug in WEIGHTS})


@given(LEVELS, LEVELS, st.sets(st.sampled_from(sorted(WEIGHTS)), max_size=3))
def test_what_is_true_one_way_round_is_untrue_the_other(upper, lower, named):
    named = sorted(named)
    one = compare(named, "", upper, lower, WEIGHTS)
    other = compare(named, "", lower, upper, WEIGHTS)
    assert one.true == other.untrue
    assert one.level == other.level
    assert one.points in (None, 0, 0.5, 1)
    if one.points == 1:
        assert one.names_it
        assert not one.untrue
