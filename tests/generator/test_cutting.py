"""Cuts from chances, and brought within the limits."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quizzes.generator.cutting import fitting_cuts, wanted_cut
from quizzes.grading import Key, KeyProblem
from quizzes.grading.cuts import LARGEST_CUT


@pytest.mark.parametrize(
    ("chance", "cut"),
    [(0.3, 1), (0.5, 1), (0.6, 2), (0.74, 4), (0.8, 5), (0.9, 7), (1.0, 8)],
)
def test_cut_of_a_chance(chance, cut):
    assert wanted_cut(chance) == cut


@given(
    st.lists(st.integers(1, LARGEST_CUT), min_size=1, max_size=11), st.integers(0, 4)
)
def test_cuts_are_the_largest_share_that_a_key_takes(wanted, unplaced):
    order = tuple((dog,) for dog in range(len(wanted) + 1))
    rest = tuple(range(20, 20 + unplaced))
    sizes = [1] * len(order) + [unplaced] * bool(unplaced)
    cuts = fitting_cuts(sizes, wanted)
    if cuts is None:
        with pytest.raises(KeyProblem):
            Key(order, [1] * len(wanted), unplaced=rest)
        return
    assert Key(order, cuts, unplaced=rest).cuts == tuple(cuts)
    pairs = sorted(zip(wanted, cuts, strict=True))
    assert [cut for _wanted, cut in pairs] == sorted(cuts)


def test_cuts_that_fit_are_left_alone():
    assert fitting_cuts([1, 1, 1, 1], [2, 5, 3]) == [2, 5, 3]


def test_a_class_of_four_keeps_the_published_sum():
    cuts = fitting_cuts([1, 1, 1, 1], [8, 8, 8])
    assert sum(cuts) <= 15
    assert 3 * sum(cuts) + cuts[1] <= 50


def test_seven_dogs_are_too_many_for_cuts():
    """The smallest cuts lose (343 - 7) / 6 = 56 of 50 points in the full reversal."""
    assert fitting_cuts([1] * 7, [1] * 6) is None
