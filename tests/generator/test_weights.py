"""Weights from ranks against the published table."""

from math import fsum

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from quizzes.generator import Priority, WishProblem, make_class, rank_order_centroid
from quizzes.generator.wishes import weights_of
from quizzes.grading.weights import WHOLE, whole_weights
from tests.generator.material import wish

# Barron, F. H. and Barrett, B. E. (1996). Decision quality using ranked attribute
# weights. Management Science 42(11), table of rank-order-centroid weights, to four
# places. The rows are from memory.
PUBLISHED = {
    2: (0.7500, 0.2500),
    3: (0.6111, 0.2778, 0.1111),
    4: (0.5208, 0.2708, 0.1458, 0.0625),
    5: (0.4567, 0.2567, 0.1567, 0.0900, 0.0400),
    6: (0.4083, 0.2417, 0.1583, 0.1028, 0.0611, 0.0278),
    7: (0.3704, 0.2276, 0.1561, 0.1085, 0.0728, 0.0442, 0.0204),
    8: (0.3397, 0.2147, 0.1522, 0.1106, 0.0793, 0.0543, 0.0335, 0.0156),
}


@pytest.mark.parametrize("n", PUBLISHED)
def test_published_table(n):
    assert rank_order_centroid(n) == pytest.approx(PUBLISHED[n], rel=0, abs=5.1e-5)


@pytest.mark.parametrize("n", [2, 4, 9])
def test_they_are_the_mean_of_all_weights_in_that_order(n):
    """Even draws from all weights that add up to 1, each sorted; a Dirichlet of ones."""
    drawn = np.random.default_rng(5).dirichlet(np.ones(n), 200_000)
    mean = np.sort(drawn, axis=1)[:, ::-1].mean(axis=0)
    assert rank_order_centroid(n) == pytest.approx(mean, rel=0, abs=2e-3)


@given(st.integers(1, 40))
def test_they_fall_and_add_up_to_one(n):
    weights = rank_order_centroid(n)
    assert fsum(weights) == pytest.approx(1, abs=1e-12)
    assert sorted(weights, reverse=True) == list(weights)


def test_no_priority_has_no_weights():
    with pytest.raises(ValueError, match="at least one"):
        rank_order_centroid(0)


@given(st.lists(st.integers(1, 100), min_size=1, max_size=12))
def test_whole_weights_keep_their_proportions(weights):
    whole = whole_weights(weights)
    for weight, part in zip(weights, whole, strict=True):
        assert abs(part - WHOLE * weight / sum(weights)) <= 0.5


def _unweighted(*weights):
    phrases = ("bad", "poor", "fair", "good", "ideal")
    return [
        Priority(f"p{at}", f"Part {at}", w, phrases) for at, w in enumerate(weights)
    ]


def test_priorities_without_weights_are_weighted_by_rank():
    assert weights_of(_unweighted(None, None, None)) == (6111, 2778, 1111)


@pytest.mark.parametrize("weights", [(3, None), (2, 0), (1, -1)])
def test_weights_that_can_not_be_used_are_refused(weights):
    with pytest.raises(WishProblem, match="weight"):
        make_class(_unweighted(*weights), wish())
