"""Scores by cuts against printed examples, and which cuts a key refuses."""

from itertools import permutations, product

import pytest

from quizzes.grading import (
    KeyProblem,
    grade,
    mean_random_score,
    room_in_cuts,
    worst_loss,
)
from quizzes.grading.cuts import largest_fitting, loss_of_reversal, ordinal
from tests.grading.helpers import CUTS, answer, key


@pytest.mark.parametrize("case", CUTS["published"], ids=str)
def test_printed_scores(case):
    mentor = key(case["key"], cuts=case["cuts"])
    assert grade(mentor, answer(case["answer"])).score == case["score"]


def test_every_order_of_four_dogs():
    case = CUTS["all_orders"]
    mentor = key(case["key"], cuts=case["cuts"])
    orders = ["".join(order) for order in permutations("1234")]
    scores = {order: grade(mentor, answer(order)).score for order in orders}
    assert scores == case["scores"]
    assert mean_random_score(mentor) == sum(scores.values()) / 24 == 32.5
    assert 50 - worst_loss(mentor) == min(scores.values()) == 15


@pytest.mark.parametrize("cuts", CUTS["limits"]["zero"], ids=str)
def test_full_reversal_can_score_exactly_nothing(cuts):
    assert grade(key("1234", cuts=cuts), answer("4321")).score == 0


@pytest.mark.parametrize("case", CUTS["limits"]["refused"], ids=str)
def test_refused_cuts_say_which_is_too_large_and_what_fits(case):
    with pytest.raises(KeyProblem) as refusal:
        key("1234", cuts=case["cuts"])
    assert case["names"] in str(refusal.value)
    assert case["fits"] in str(refusal.value)


def test_limits_of_four_dogs_are_the_published_ones():
    """Single cut up to 8, sum up to 15, middle up to 5 at 15 and up to 8 at 14."""
    for top, middle, bottom in product(range(1, 10), repeat=3):
        total = top + middle + bottom
        allowed = max(top, middle, bottom) <= 8 and total <= 15
        allowed = allowed and (total < 15 or middle <= 5)
        assert is_accepted((top, middle, bottom)) == allowed


def is_accepted(cuts):
    try:
        key("1234", cuts=cuts)
    except KeyProblem:
        return False
    return True


@pytest.mark.parametrize(
    ("sizes", "weights"),
    [
        ([1] * 3, (2, 2)),
        ([1] * 4, (3, 4, 3)),
        ([1] * 5, (4, 6, 6, 4)),
        ([1] * 6, (5, 8, 9, 8, 5)),
        ([1, 2, 1], (3, 3)),
        ([1, 1, 8], (9, 16)),
    ],
)
def test_loss_of_reversal_for_any_class(sizes, weights):
    for gap, weight in enumerate(weights):
        cuts = [int(gap == other) for other in range(len(weights))]
        assert loss_of_reversal(sizes, cuts) == weight


@pytest.mark.parametrize(
    ("text", "cuts", "unplaced"),
    [("12345", (2, 3, 2, 1), ""), ("1-2=3-4", (4, 6), ""), ("12", (2, 3), "345")],
)
def test_reversed_answer_loses_the_worst_loss(text, cuts, unplaced):
    mentor = key(text, cuts=cuts, unplaced=unplaced)
    reverse = answer("".join(reversed(mentor.ring)))
    assert grade(mentor, reverse).score == 50 - worst_loss(mentor)


def test_room_is_the_largest_cut_that_is_accepted():
    mentor = key("1234", cuts=(2, 5, 3))
    assert room_in_cuts(mentor) == (7, 8, 8)
    for gap, most in enumerate(room_in_cuts(mentor)):
        cuts = [2, 5, 3]
        cuts[gap] = most
        assert is_accepted(cuts)
        cuts[gap] += 1
        assert not is_accepted(cuts)


def test_room_can_be_negative():
    assert largest_fitting([1] * 4, (8, 8, 8)) == (-2, -1, -2)


@pytest.mark.parametrize(
    ("cuts", "says"),
    [
        ((2, 5), "3 in all; the key has 2"),
        ((2, 5, 3, 1), "3 in all; the key has 4"),
        ((2, 0, 3), "between 2nd and 3rd is 0"),
        ((2, 5.0, 3), "between 2nd and 3rd is 5.0"),
        ((2, True, 3), "between 2nd and 3rd is True"),
        ((2, -1, 3), "between 2nd and 3rd is -1"),
    ],
)
def test_cuts_that_are_no_cuts(cuts, says):
    with pytest.raises(KeyProblem, match=says):
        key("1234", cuts=cuts)


def test_gap_to_unplaced_dogs_may_be_left_out_or_nothing():
    short = key("12", cuts=(3,), unplaced="345")
    long = key("12", cuts=(3, 0), unplaced="345")
    assert short.gaps == long.gaps == (3, 0)
    assert worst_loss(short) == 3 * 4
    with pytest.raises(KeyProblem, match="between 2nd and the unplaced dogs"):
        key("12", cuts=(3, 9), unplaced="345")


def test_a_class_with_too_many_pairs_is_told_to_leave_cuts_out():
    """Seven dogs: 6 + 10 + 12 + 12 + 10 + 6 = 56 pairs across gaps of 1."""
    with pytest.raises(KeyProblem, match=r"lose 56 of 50 points.*Leave the cuts blank"):
        key("1234567", cuts=(1,) * 6)


def test_half_pairs_lose_half_their_cut():
    mentor = key("1234", cuts=(2, 5, 3))
    assert grade(mentor, answer("1-2=3-4")).score == 50 - 5 / 2
    assert grade(mentor, answer("1=2=3=4")).score == mean_random_score(mentor)


def test_no_cuts_no_score():
    ours = grade(key("1234"), answer("1234"))
    assert ours.score is ours.gap_share is None
    assert worst_loss(key("1234")) is mean_random_score(key("1234")) is None
    assert room_in_cuts(key("1234")) is None


def test_ordinals():
    numbers = [1, 2, 3, 4, 11, 12, 13, 21, 22]
    names = "1st 2nd 3rd 4th 11th 12th 13th 21st 22nd"
    assert " ".join(map(ordinal, numbers)) == names
