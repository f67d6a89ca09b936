"""Points of several things asked at once, and how often guessing reaches as many."""

from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom

from quizzes.grading.items import FULL, HALF, NONE, guessing, reached_at_random


@pytest.mark.parametrize(("n", "reached"), [(1, 1), (6, 4), (10, 0), (20, 13)])
def test_things_that_are_alike_are_binomial(n, reached):
    asked = [guessing(Fraction(1, 3))] * n
    assert reached_at_random(asked, reached) == pytest.approx(
        binom.sf(reached - 1, n, 1 / 3), abs=1e-12
    )


def test_four_fair_coins_by_hand():
    """Of 16 outcomes 5 have three heads or more."""
    assert reached_at_random([guessing(Fraction(1, 2))] * 4, 3) == 5 / 16


CHANCES = st.fractions(min_value=0, max_value=Fraction(1, 2), max_denominator=12)


@given(
    st.lists(st.tuples(CHANCES, CHANCES), min_size=1, max_size=5), st.integers(0, 10)
)
def test_is_the_sum_over_all_outcomes(pairs, halves):
    asked = [guessing(full, half) for full, half in pairs]
    reached = Fraction(halves, 2)
    brute = NONE
    for outcome in product(*(one.items() for one in asked)):
        if sum((points for points, _chance in outcome), NONE) >= reached:
            weight = FULL
            for _points, chance in outcome:
                weight *= chance
            brute += weight
    assert reached_at_random(asked, reached) == pytest.approx(float(brute), abs=1e-12)


def test_nothing_asked_is_always_reached():
    assert reached_at_random([], 0) == 1


@pytest.mark.parametrize("parts", [(Fraction(2, 3), HALF), (Fraction(-1, 3), NONE)])
def test_probabilities_that_are_none_are_refused(parts):
    with pytest.raises(ValueError, match="Probabilities"):
        guessing(*parts)
