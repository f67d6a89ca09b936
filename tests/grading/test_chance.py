"""Exact chances against brute force over all orders of a form."""

from collections import Counter
from fractions import Fraction
from itertools import combinations, permutations, product
from math import factorial, prod

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quizzes.grading import OneIn, one_in
from quizzes.grading.chance import (
    MOST_STATES,
    Form,
    chance_of,
    outcome_counts,
    q_multinomial,
)


def compositions(n):
    for cuts in product([False, True], repeat=n - 1):
        ends = [at + 1 for at, cut in enumerate(cuts) if cut] + [n]
        yield tuple(b - a for a, b in zip([0, *ends], ends, strict=False))


def forms(n, *, may_be_empty):
    for sizes in compositions(n):
        yield Form(sizes)
        if len(sizes) > 1 or may_be_empty:
            yield Form(sizes, open_end=True)


def labels(form):
    return [group for group, size in enumerate(form.sizes) for _ in range(size)]


def by_brute_force(key, answer):
    """Outcomes of all arrangements, each counted as often as permutations give it."""
    mentor = labels(key)
    pairs = [
        (i, j) for i, j in combinations(range(len(mentor)), 2) if mentor[i] < mentor[j]
    ]
    last = len(answer.sizes) - 1 if answer.open_end else None
    outcomes = Counter()
    for trainee in set(permutations(labels(answer))):
        agreed_twice = counted = 0
        for i, j in pairs:
            level = trainee[i] == trainee[j]
            if level and trainee[i] == last and not key.open_end:
                continue
            counted += 1
            agreed_twice += 1 if level else 2 * (trainee[i] < trainee[j])
        outcomes[agreed_twice, counted] += 1
    return outcomes


@pytest.mark.parametrize("n", [1, 2, 3, 4, 5])
def test_every_form_of_up_to_five_dogs(n):
    for key in forms(n, may_be_empty=False):
        for answer in forms(n, may_be_empty=True):
            assert outcome_counts(key, answer) == by_brute_force(key, answer)


@st.composite
def form(draw, n, may_be_empty):
    return draw(st.sampled_from(list(forms(n, may_be_empty=may_be_empty))))


@st.composite
def two_forms(draw):
    n = draw(st.integers(6, 7))
    return draw(form(n, False)), draw(form(n, True))


@settings(deadline=None, max_examples=60)
@given(two_forms())
def test_forms_of_six_and_seven_dogs(both):
    assert outcome_counts(*both) == by_brute_force(*both)


@settings(deadline=None, max_examples=40)
@given(two_forms(), st.data())
def test_chance_is_the_part_of_orders_with_at_least_the_share(both, data):
    outcomes = by_brute_force(*both)
    agreed_twice, counted = data.draw(st.sampled_from(sorted(outcomes)))
    chance = chance_of(*both, agreed_twice, counted)
    if counted == 0:
        assert chance is None
        return
    share = Fraction(agreed_twice, counted)
    good = sum(ways for (a, c), ways in outcomes.items() if Fraction(a, c) >= share)
    assert chance == Fraction(good, sum(outcomes.values()))


def test_faultless_answers():
    """1 in n!, 1 in 1680 for the first four of eight (8 x 7 x 6 x 5)."""
    for n, ways in [(3, 6), (4, 24), (5, 120), (6, 720), (12, 479001600)]:
        pairs = n * (n - 1) // 2
        form = Form((1,) * n)
        assert chance_of(form, form, 2 * pairs, pairs) == Fraction(1, ways)
    first_four = Form((1, 1, 1, 1, 4), open_end=True)
    assert chance_of(Form((1,) * 8), first_four, 2 * 22, 22) == Fraction(1, 1680)


@pytest.mark.parametrize("sizes", [(1, 2, 1), (2, 2), (3, 1, 4), (5, 7), (1,) * 12])
def test_q_multinomial_is_symmetric_and_adds_up(sizes):
    counts = q_multinomial(sizes)
    assert counts == counts[::-1]
    total = factorial(sum(sizes)) // prod(map(factorial, sizes))
    assert sum(counts) == total


@pytest.mark.parametrize(
    ("key", "answer"),
    [
        (Form((2,) * 6), Form((2,) * 6)),
        (Form((2,) * 6), Form((1,) * 10 + (2,))),
        (Form((3, 3, 3, 3)), Form((1,) * 8 + (4,), open_end=True)),
        (Form((1, 1, 1, 1, 8), open_end=True), Form((1, 1, 1, 1, 8), open_end=True)),
    ],
)
def test_twelve_dogs_with_ties_on_both_sides_are_counted_in_full(key, answer):
    total = factorial(12) // prod(map(factorial, answer.sizes))
    assert sum(outcome_counts(key, answer).values()) == total


def test_what_cannot_be_counted_is_none_and_not_guessed():
    key, answer = Form((2,) + (1,) * 28), Form((1,) * 28 + (2,))
    assert MOST_STATES < 2**28
    assert chance_of(key, answer, 100, 434) is None


@pytest.mark.parametrize(
    ("chance", "said"),
    [
        (Fraction(1, 24), OneIn(24, True)),
        (Fraction(4, 24), OneIn(6, True)),
        (Fraction(5, 24), OneIn(5, False)),
        (Fraction(9, 24), OneIn(3, False)),
        (Fraction(2, 17), OneIn(9, False)),
        (Fraction(3, 4), OneIn(1, False)),
        (Fraction(1), OneIn(1, True)),
        (None, None),
    ],
)
def test_one_in(chance, said):
    assert one_in(chance) == said
