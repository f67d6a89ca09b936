"""Paired change: against a published example and another program, and its limits."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from quizzes.grading.change import paired_change

# Hours of sleep gained under two drugs by ten patients: Student (1908), page 20, after Cushny and Peebles (1905).
# R 4.3: with(sleep, t.test(extra[group == 2], extra[group == 1], paired = TRUE)) prints
# 95 percent confidence interval 0.7001142 2.4598858, mean difference 1.58.
FIRST = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0]
SECOND = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4]


def test_the_published_example():
    found = paired_change(FIRST, SECOND)
    assert (found.n, found.better, found.worse, found.same) == (10, 9, 0, 1)
    assert found.mean == pytest.approx(1.58)
    assert found.low == pytest.approx(0.7001142, abs=1e-6)
    assert found.high == pytest.approx(2.4598858, abs=1e-6)
    assert found.is_told


SHARES = st.lists(
    st.tuples(st.integers(0, 10), st.integers(0, 10)), min_size=2, max_size=60
)


@given(SHARES)
def test_as_another_program_has_it(pairs):
    before, after = ([p[i] / 10 for p in pairs] for i in (0, 1))
    found = paired_change(before, after)
    changes = np.subtract(after, before)
    assert found.better + found.worse + found.same == len(pairs)
    if changes.std() < 1e-12:
        assert found.low is None
        return
    outside = stats.ttest_rel(after, before).confidence_interval(0.95)
    assert (found.low, found.high) == pytest.approx(tuple(outside), abs=1e-6)


def test_without_anybody_there_is_none():
    assert paired_change([], []) is None


@pytest.mark.parametrize("n", [1, 4])
def test_where_all_changed_alike_the_interval_is_undefined(n):
    found = paired_change([0.5] * n, [0.7] * n)
    assert found.mean == pytest.approx(0.2)
    assert (found.low, found.high, found.is_told) == (None, None, False)


def test_everybody_needs_both_answers():
    with pytest.raises(ValueError, match="both"):
        paired_change([1.0], [])
