"""Limits of agreement against the paper's worked example and against scipy."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import t

from quizzes.grading.limits import limits_of_agreement, student_quantile

# Bland & Altman (1986), Lancet i:307-310, table of peak flow in l/min: the first reading by the
# Wright meter and the first by the mini meter, of seventeen people.
WRIGHT = [494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478]
WRIGHT += [178, 423, 427]
MINI = [512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477]
MINI += [259, 350, 451]


def test_the_worked_example_of_the_paper():
    """As printed there: mean -2.1, SD 38.8, limits -79.7 and 75.5 at two SD, with their intervals."""
    found = limits_of_agreement(np.subtract(WRIGHT, MINI), reach=2)
    assert found.n == 17
    assert found.bias == pytest.approx(-2.1, abs=0.05)
    assert found.sd == pytest.approx(38.8, abs=0.05)
    assert (found.low, found.high) == pytest.approx((-79.7, 75.5), abs=0.1)
    assert found.around_bias == pytest.approx((-22.0, 17.8), abs=0.15)
    # Printed from rounded figures (16.3 for the standard error of a limit).
    assert found.around_low == pytest.approx((-114.3, -45.1), abs=0.3)
    assert found.around_high == pytest.approx((40.9, 110.1), abs=0.3)


@pytest.mark.parametrize("df", [1, 2, 5, 9, 16, 40, 200, 1000])
@pytest.mark.parametrize("p", [0.6, 0.9, 0.975, 0.995])
def test_quantiles_are_those_of_scipy(df, p):
    assert student_quantile(p, df) == pytest.approx(t.ppf(p, df), rel=1e-7)


def test_two_errors_are_the_fewest():
    with pytest.raises(ValueError, match="two errors"):
        limits_of_agreement([1.0])


@given(st.lists(st.floats(-90, 90), min_size=2, max_size=60), st.floats(-50, 50))
def test_what_is_added_to_every_error_moves_everything_and_spreads_nothing(errors, by):
    before = limits_of_agreement(errors)
    after = limits_of_agreement([one + by for one in errors])
    assert after.bias == pytest.approx(before.bias + by, abs=1e-6)
    assert after.sd == pytest.approx(before.sd, abs=1e-6)
    assert before.low <= before.bias <= before.high
    assert before.around_low[0] <= before.low <= before.around_low[1]
