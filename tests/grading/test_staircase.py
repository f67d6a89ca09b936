"""The staircase of pairs: its rule, what it settles at, and what is read from it, with observers who are known."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quizzes.grading.staircase import Plan, mean_of_reversals, threshold, track
from tests.grading.observers import answers_of, flat, normal, slipping, steep, told

PLAN = Plan(12.0, 0.25)


def test_targets_are_the_published_ones():
    """Levitt (1971), table I: 70.7 per cent with two in a row, 79.4 with three, 50 with one."""
    targets = [Plan(1, 0.1, down).target for down in (1, 2, 3)]
    assert targets == pytest.approx([0.5, 0.707, 0.794], abs=5e-4)


def test_two_right_go_down_and_one_wrong_goes_up():
    found = track(PLAN, [True, True, True, False, True, True, False])
    assert found.differences == pytest.approx(
        [12, 12, 6, 6, 6 * 2**0.5, 6 * 2**0.5, 6 * 2**0.25]
    )
    # Down to up, up to down, down to up.
    assert found.reversals == (3, 5, 6)
    assert found.following == pytest.approx(6 * 2**0.5)


def test_it_stays_between_its_ends():
    assert track(PLAN, [False] * 9).following == 12
    assert track(PLAN, [True] * 60).following == 0.25


def test_too_few_reversals_make_no_mean():
    assert mean_of_reversals(PLAN, [True] * 20) is None


@given(st.lists(st.booleans(), max_size=60), st.sampled_from([2, 3]))
def test_any_answers_make_a_staircase(right, down):
    plan = Plan(12.0, 0.25, down)
    found = track(plan, right)
    assert len(found.differences) == len(right)
    assert all(plan.smallest <= one <= plan.largest for one in found.differences)
    told = threshold(found.differences, right, plan)
    assert (told.low or 0) <= told.difference <= (told.high or 1e9)
    # One more answer changes nothing that came before.
    assert track(plan, [*right, True]).differences[: len(right)] == found.differences


def test_who_sees_everything_has_no_lower_bound_and_who_sees_nothing_no_upper():
    all_right = [True] * 36
    seen = threshold(track(PLAN, all_right).differences, all_right, PLAN)
    assert seen.low is None
    assert seen.high < 1
    half = [True, False] * 18
    blind = threshold(track(PLAN, half).differences, half, PLAN)
    assert blind.high is None


@pytest.mark.parametrize("down", [2, 3])
def test_it_settles_where_the_rule_says(down):
    """Over a long run the share of right answers comes to the target (within 3 in 100)."""
    plan = Plan(12.0, 0.01, down)
    found = told(normal, 3.0, plan, trials=200, runs=30, seed=1)
    assert found.right == pytest.approx(plan.target, abs=0.03)


@pytest.mark.parametrize("limit", [1.0, 3.0, 6.0])
@pytest.mark.parametrize("curve", [normal, slipping, steep, flat])
def test_known_observers_are_told_right(curve, limit):
    """In 36 pairs: no more than a third off on average, and intervals that hold the truth 5 times in 6."""
    found = told(curve, limit, PLAN, trials=36, runs=120, seed=2)
    assert 0.7 < found.bias < 1.3
    assert found.covered > 0.83


def test_of_the_observer_it_assumes_the_interval_is_as_wide_as_it_says():
    found = told(normal, 3.0, PLAN, trials=36, runs=300, seed=3)
    assert 0.91 < found.covered < 0.99
    assert 0.8 < found.bias < 1.15


def test_more_pairs_tell_more():
    short = told(normal, 3.0, PLAN, trials=20, runs=150, seed=4)
    long = told(normal, 3.0, PLAN, trials=60, runs=150, seed=4)
    assert long.spread < short.spread


def test_the_same_seed_gives_the_same_answers():
    import numpy as np

    runs = [
        answers_of(normal, 3.0, PLAN, 20, np.random.default_rng(7)) for _ in range(2)
    ]
    assert runs[0] == runs[1]
