"""What a grade says of one answer: pairs, rulings, undefined figures, storage."""

import json
from fractions import Fraction

import pytest

from quizzes.grading import (
    Answer,
    AnswerProblem,
    Grade,
    Key,
    KeyProblem,
    Pair,
    Rulings,
    grade,
)
from tests.grading.helpers import answer, key

FIGURES = ["share", "random_as_good", "first_right", "score", "gap_share"]
FIGURES += [
    "places_moved",
    "mean_places_moved",
    "weighted_tau",
    "tau_b",
    "tau_x",
    "rho",
]


def verdicts(ours):
    return {pair.upper + pair.lower: pair.verdict for pair in ours.pairs}


def test_a_faultless_strict_answer():
    ours = grade(key("ABCD", cuts=(2, 5, 3)), answer("ABCD"))
    assert (ours.pairs_agreed, ours.pairs_counted, ours.share) == (6, 6, 1)
    assert ours.random_as_good == Fraction(1, 24)
    assert (ours.score, ours.gap_share, ours.places_moved) == (50, 1, 0)
    assert ours.first_right is True
    assert ours.tau_b == ours.tau_x == ours.rho == ours.weighted_tau == 1


@pytest.mark.parametrize("text", ["ABCD", "ABDC"])
def test_either_order_is_faultless_where_the_key_leaves_it_open(text):
    ours = grade(key("A-B-C=D"), answer(text))
    assert ours.share == 1
    assert verdicts(ours)["CD"] == "open"
    assert ours.tau_b < 1
    assert ours.random_as_good == Fraction(2, 24)


def test_reversed_answer():
    ours = grade(key("ABCD"), answer("DCBA"))
    assert (ours.pairs_agreed, ours.share, ours.random_as_good) == (0, 0, 1)
    assert ours.tau_b == ours.rho == ours.weighted_tau == -1


def test_level_dogs_of_the_answer_are_half_right():
    ours = grade(key("1234"), answer("1-2=3-4"))
    assert (ours.pairs_agreed, ours.pairs_counted) == (5.5, 6)
    assert verdicts(ours)["23"] == "half"


def test_pairs_left_out_of_a_first_four_are_undecided_against_a_full_key():
    ours = grade(key("ABCDEF"), answer("ABCD"))
    assert verdicts(ours)["EF"] == "undecided"
    assert (ours.pairs_counted, ours.share) == (14, 1)
    assert ours.random_as_good == Fraction(1, 360)


def test_pairs_left_out_are_half_right_if_the_key_places_only_some():
    """Key AB of ABCD, answer AC: C over B is wrong, B level with D is half."""
    ours = grade(key("AB", unplaced="CD"), answer("AC"))
    assert verdicts(ours) == {
        "AB": "agreed",
        "AC": "agreed",
        "AD": "agreed",
        "BC": "disagreed",
        "BD": "half",
        "CD": "open",
    }
    assert ours.share == 3.5 / 5
    assert (ours.placed_found, ours.placed_in_key) == (1, 2)


def test_faultless_first_four_of_ten():
    """1 in 10 x 9 x 8 x 7."""
    ours = grade(key("ABCD", unplaced="EFGHIJ"), answer("ABCD"))
    assert ours.share == 1
    assert ours.random_as_good == Fraction(1, 5040)
    assert (ours.placed_found, ours.placed_in_key) == (4, 4)


def test_a_dog_that_only_the_trainee_ruled_out_counts_as_unplaced():
    mentor = key("ABCD", cuts=(2, 5, 3))
    for ruling in ("excused", "disqualified", "absent", "withheld"):
        ours = grade(mentor, answer("BCD", A=ruling))
        assert ours.pairs == grade(mentor, answer("BCD")).pairs
        assert ours.score == grade(mentor, answer("BCDA")).score == 50 - 2 - 7 - 10
        assert ours.rulings == Rulings(wrong=("A",))


@pytest.mark.parametrize("ruling", ["excused", "disqualified", "absent"])
def test_a_dog_that_the_key_ruled_out_makes_no_pairs(ruling):
    mentor = key("ABC", rulings={"X": ruling})
    ours = grade(mentor, answer("AXBC"))
    assert (ours.pairs_counted, ours.share, ours.places_moved) == (3, 1, 0)
    assert ours.random_as_good == Fraction(1, 6)
    assert ours.rulings == Rulings(missed=("X",))
    assert ours.first_right is True


def test_a_dog_that_the_key_ruled_out_is_not_right_first():
    ours = grade(key("ABC", rulings={"X": "disqualified"}), answer("XABC"))
    assert (ours.share, ours.first_right) == (1, False)


def test_a_withheld_dog_stays_below_the_placed_ones():
    mentor = key("AB", rulings={"W": "withheld"})
    right = grade(mentor, answer("AB", W="withheld"))
    assert (right.pairs_counted, right.share) == (3, 1)
    assert right.rulings == Rulings(right=("W",))
    placed = grade(mentor, answer("WAB"))
    assert (placed.pairs_agreed, placed.rulings) == (1, Rulings(missed=("W",)))


def test_a_withheld_dog_may_be_listed_as_unplaced_too():
    twice = key("AB", rulings={"W": "withheld"}, unplaced="W")
    assert twice.ring == key("AB", rulings={"W": "withheld"}).ring == ("A", "B", "W")


def test_rulings_right_missed_and_wrong():
    mentor = key("AB", rulings={"X": "excused", "Y": "disqualified", "Z": "absent"})
    ours = grade(mentor, answer("A", X="excused", Y="excused", B="withheld"))
    assert ours.rulings == Rulings(right=("X",), missed=("Z",), wrong=("B", "Y"))


@pytest.mark.parametrize(
    ("mentor", "trainee", "right"),
    [
        ("ABC", "ACB", True),
        ("ABC", "BAC", False),
        ("A=B-C", "BAC", True),
        ("A=B-C", "A=B-C", True),
        ("A-B-C", "A=B-C", False),
        ("A-B=C", "B-C", False),
    ],
)
def test_first_right(mentor, trainee, right):
    assert grade(key(mentor), answer(trainee)).first_right is right


def test_naming_no_first_is_not_right():
    assert grade(key("ABC"), Answer(())).first_right is False


def test_cut_of_a_pair_is_the_sum_between():
    ours = grade(key("A-B=C-D", cuts=(2, 5)), answer("ABCD"))
    cuts = [(pair.upper + pair.lower, pair.cut) for pair in ours.pairs]
    assert cuts == [("AB", 2), ("AC", 2), ("AD", 7), ("BC", 0), ("BD", 5), ("CD", 5)]
    without = grade(key("AB"), answer("BA")).pairs
    assert without == (Pair("A", "B", "disagreed", None),)


def test_all_level_in_the_key_is_undefined():
    ours = grade(key("A=B=C"), answer("ABC"))
    assert (ours.pairs_agreed, ours.pairs_counted) == (0, 0)
    undefined = {name for name in FIGURES if getattr(ours, name) is None}
    assert undefined == set(FIGURES) - {"tau_x", "places_moved", "mean_places_moved"}


def test_all_level_in_the_answer_has_no_correlation():
    ours = grade(key("ABCD"), answer("A=B=C=D"))
    assert ours.tau_b is ours.rho is ours.weighted_tau is None
    assert (ours.share, ours.random_as_good) == (0.5, 1)


def test_one_dog_is_undefined():
    mentor = key("A", rulings={"X": "absent"})
    ours = grade(mentor, answer("A", X="absent"))
    assert [getattr(ours, name) for name in FIGURES] == [None] * len(FIGURES)
    assert ours.rulings == Rulings(right=("X",))


def test_no_dog_placed_against_a_full_key_is_undefined():
    ours = grade(key("ABCD", cuts=(2, 5, 3)), Answer(()))
    assert ours.share is ours.score is ours.gap_share is ours.random_as_good is None


def test_a_grade_survives_json():
    mentor = Key(((1, 2), (3,)), (4, 1), {9: "absent", 5: "withheld"}, (4,))
    ours = grade(mentor, Answer(((3,), (1, 4)), {9: "excused"}))
    assert Grade.from_dict(ours.to_dict()) == ours
    assert Grade.from_dict(json.loads(json.dumps(ours.to_dict()))) == ours
    undefined = grade(key("A"), answer("A"))
    assert Grade.from_dict(json.loads(json.dumps(undefined.to_dict()))) == undefined


@pytest.mark.parametrize(
    ("order", "rest", "says"),
    [
        ((), {}, "places no dog"),
        ((("A",), ("A",)), {}, "has A twice"),
        ((("A",), ()), {}, "a place without a dog"),
        ((("A",),), {"unplaced": ("A",)}, "has A twice"),
        ((("A",),), {"rulings": {"A": "excused"}}, "A both placed and excused"),
        ((("A",),), {"rulings": {"B": "lame"}}, "unknown ruling for B: lame"),
        (
            (("A",),),
            {"unplaced": ("B",), "rulings": {"B": "absent"}},
            "B unplaced as well as absent",
        ),
        (tuple((dog,) for dog in range(31)), {}, "at most 30"),
    ],
)
def test_a_key_that_cannot_be_used_says_why(order, rest, says):
    with pytest.raises(KeyProblem, match=says):
        Key(order, **rest)


def test_a_refusal_can_be_translated():
    with pytest.raises(KeyProblem) as refusal:
        Key((("A",), ("A",)))
    assert str(refusal.value) == refusal.value.template % refusal.value.values


@pytest.mark.parametrize(
    ("order", "rulings", "says"),
    [
        ((("A", "A"),), {}, "has A twice"),
        ((("A",),), {"A": "excused"}, "A both placed and excused"),
        ((("A",),), {"B": "lame"}, "unknown ruling for B: lame"),
        ((("Q",),), {}, "Q, which is not in the class"),
        ((), {"Q": "absent"}, "Q, which is not in the class"),
    ],
)
def test_an_answer_that_cannot_be_graded_says_why(order, rulings, says):
    with pytest.raises(AnswerProblem, match=says):
        grade(key("AB"), Answer(order, rulings))
