"""Points for questions and rulings, and what guessing at them is worth."""

from fractions import Fraction
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quizzes.grading.items import FULL, HALF, NONE
from quizzes.kinds.question.grading import (
    for_number,
    for_one,
    for_several,
    guessing_one,
    guessing_several,
    number_of,
    number_text,
)
from quizzes.kinds.ruling.kind import KIND as RULING
from quizzes.kinds.ruling.kind import KnownRuling, Situation
from quizzes.kinds.ruling.rulings import Ruling

POINTS = {"full": FULL, "half": HALF, "none": NONE}


@pytest.mark.parametrize(
    ("right", "given", "points"),
    [
        ("ac", "ac", "full"),
        ("ac", "a", "half"),  # one is missing
        ("ac", "abc", "half"),  # one too many
        ("ac", "ab", "none"),  # one missing and one too many
        ("ac", "b", "none"),
        ("ac", "bd", "none"),
        ("ac", "abcd", "none"),  # two too many
        ("a", "a", "full"),
        ("a", "ab", "half"),
        ("a", "b", "none"),
        ("a", "abc", "none"),
        ("abcd", "abc", "half"),
        ("abcd", "ab", "none"),
    ],
)
def test_several_answers_worked_by_hand(right, given, points):
    assert for_several(tuple(right), list(given)) == POINTS[points]


@pytest.mark.parametrize(
    ("given", "points"),
    [
        (12, "full"),
        (8, "full"),  # the edge counts as inside
        (16, "full"),
        (7.99, "half"),
        (5, "half"),
        (19, "half"),
        (19.01, "none"),
        (4.9, "none"),
        (-12, "none"),
    ],
)
def test_numbers_worked_by_hand(given, points):
    assert for_number(12, given, 4, 7) == POINTS[points]


def test_decimals_are_compared_as_they_were_typed():
    """0.1 + 0.2 is more than 0.3 in binary, and not in a mentor's key."""
    assert for_number(0.1, 0.3, 0.2, None) == FULL
    assert for_number(0.1, 0.31, 0.2, None) == NONE
    assert for_number(42, 42, 0, None) == FULL


@given(
    st.integers(-9999, 9999),
    st.integers(-9999, 9999),
    st.integers(0, 500),
    st.integers(1, 500),
)
def test_nearer_is_never_worth_less(right, given_number, within, more):
    points = for_number(right, given_number, within, within + more)
    nearer = right + (given_number - right) // 2 if given_number > right else right
    assert for_number(right, nearer, within, within + more) >= points
    mirrored = 2 * right - given_number
    assert for_number(right, mirrored, within, within + more) == points


@pytest.mark.parametrize("n", range(2, 7))
def test_guessing_counts_every_set_of_ticks(n):
    """Every set that can be ticked, graded one by one, against the counted chance."""
    options = list("abcdef")[:n]
    ticks = [set(c) for k in range(1, n + 1) for c in combinations(options, k)]
    for right in ticks:
        found = [for_several(right, one) for one in ticks]
        chance = guessing_several(n, len(right))
        assert sum(chance.values()) == 1
        for points in (FULL, HALF, NONE):
            part = Fraction(found.count(points), len(ticks))
            assert chance.get(points, NONE) == part


@given(st.sets(st.sampled_from("abcdef"), min_size=1), st.permutations("abcdef"))
def test_names_of_options_say_nothing(right, names):
    renamed = dict(zip("abcdef", names, strict=True))
    for ticked in ({"a"}, {"a", "b"}, set(right), set("abcdef")):
        other = for_several({renamed[x] for x in right}, {renamed[x] for x in ticked})
        assert other == for_several(right, ticked)


def test_one_of_four_is_guessed_once_in_four():
    assert guessing_one(4) == {FULL: Fraction(1, 4), NONE: Fraction(3, 4)}
    assert for_one(("a",), "a") == FULL
    assert for_one(("a",), "b") == NONE


@pytest.mark.parametrize(
    ("typed", "number"),
    [
        ("12", 12),
        (" 12,5 ", 12.5),
        ("-3", -3),
        ("\N{MINUS SIGN}3", -3),
        ("", None),
        ("nan", None),
        ("inf", None),
        ("1e400", None),
        ("1e12", None),
        ("1_2", None),
        ("twelve", None),
        ("1,000.5", None),
    ],
)
def test_numbers_as_people_type_them(typed, number):
    assert number_of(typed) == number


def test_numbers_as_they_are_shown():
    assert [number_text(n) for n in (42.0, 12.5, 0.1 + 0.2)] == ["42", "12.5", "0.3"]


def ruled(value, **known):
    return RULING.points(Situation(), KnownRuling(**known), value)


def test_rulings_worked_by_hand():
    key = {"ruling": "excuse", "half": ("disqualify",), "unsafe": ("note",)}
    assert ruled("excuse", **key) == FULL
    assert ruled("disqualify", **key) == HALF
    assert ruled("note", **key) == NONE
    assert ruled("withhold", **key) == NONE


@given(
    st.sampled_from(Ruling.values), st.sets(st.sampled_from(Ruling.values), max_size=9)
)
def test_guessing_counts_every_ruling(ruling, half):
    key = KnownRuling(ruling=ruling, half=tuple(half))
    found = [RULING.points(Situation(), key, one) for one in Ruling.values]
    chance = RULING.at_random(Situation(), key)
    assert sum(chance.values()) == 1
    for points in (FULL, HALF, NONE):
        part = Fraction(found.count(points), len(Ruling))
        assert chance.get(points, NONE) == part
