"""Properties of any key and answer, against scipy and against the plain definitions."""

import warnings
from dataclasses import replace
from fractions import Fraction
from itertools import product
from math import isnan

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import stats

from quizzes.grading import Answer, Key, grade, grade_many
from tests.grading import plain
from tests.grading.strategies import answers, full_answers, keys, keys_and_answers

TIGHT = {"rel": 0, "abs": 1e-12}


def same(ours, theirs):
    """Equal to 1e-12, or undefined on both sides."""
    if ours is None or theirs is None or isnan(theirs):
        return ours is None and (theirs is None or isnan(theirs))
    return ours == pytest.approx(theirs, **TIGHT)


@settings(deadline=None, max_examples=300)
@given(keys_and_answers())
def test_grade_follows_the_definitions(both):
    key, answer = both
    ours = grade(key, answer)
    agreed, counted = plain.shares(key, answer)
    assert (ours.pairs_agreed, ours.pairs_counted) == (agreed, counted)
    assert ours.share == (float(agreed / counted) if counted else None)
    for name, value in plain.figures(key, answer).items():
        assert same(getattr(ours, name), value), name


@settings(deadline=None, max_examples=300)
@given(keys_and_answers())
def test_scores_follow_the_definitions(both):
    key, answer = both
    ours = grade(key, answer)
    agreed, weight = plain.shares(key, answer, plain.cut_between(key))
    if key.cuts is None or not ours.pairs_counted:
        assert ours.score is ours.gap_share is None
    else:
        assert ours.score == 50 - (weight - agreed)
        assert 0 <= ours.score <= 50
        assert ours.gap_share == (float(agreed / weight) if weight else None)


@settings(deadline=None, max_examples=100)
@given(keys_and_answers(largest=6))
def test_chance_is_a_count_over_all_orders_of_the_same_form(both):
    key, answer = both
    ours = grade(key, answer)
    assume(ours.share is not None)
    sizes = [len([d for d in group if d in key.ring]) for group in answer.order]
    sizes = [size for size in sizes if size]
    good = total = 0
    for order in orders_of_form(key.ring, sizes):
        agreed, counted = plain.shares(key, Answer(order))
        total += 1
        good += agreed * ours.pairs_counted >= Fraction(ours.pairs_agreed) * counted
    assert ours.random_as_good == Fraction(good, total)


def orders_of_form(dogs, sizes):
    """Every way of dealing dogs into groups of these sizes, the others unplaced."""
    for labels in product(range(len(sizes) + 1), repeat=len(dogs)):
        counts = [labels.count(group) for group in range(len(sizes))]
        if counts == sizes:
            yield tuple(
                tuple(dog for dog, at in zip(dogs, labels, strict=True) if at == group)
                for group in range(len(sizes))
            )


@settings(deadline=None, max_examples=300)
@given(keys_and_answers(smallest=2))
def test_same_figures_as_scipy(both):
    key, answer = both
    ours = grade(key, answer)
    mentor, trainee = (list(plain.places(p.order, key.ring)[0].values()) for p in both)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", stats.ConstantInputWarning)
        theirs = {
            "tau_b": stats.kendalltau(mentor, trainee).statistic,
            "rho": stats.spearmanr(mentor, trainee).statistic,
            "weighted_tau": stats.weightedtau(
                -np.array(mentor), -np.array(trainee), rank=np.array(mentor) - 1
            ).statistic,
        }
    for name, value in theirs.items():
        assert same(getattr(ours, name), value), name


@settings(deadline=None, max_examples=200)
@given(keys_and_answers(answering=full_answers, smallest=2))
def test_share_is_somers_d_given_the_key(both):
    key, answer = both
    ours = grade(key, answer)
    assume(ours.share is not None)
    mentor, trainee = (list(plain.places(p.order, key.ring)[0].values()) for p in both)
    assume(len(set(trainee)) > 1)
    with np.errstate(divide="ignore"):  # in its p value, if every pair agrees
        theirs = stats.somersd(mentor, trainee).statistic
    assert 2 * ours.share - 1 == pytest.approx(theirs, **TIGHT)


@settings(deadline=None)
@given(st.data(), keys(smallest=2))
def test_a_faultless_answer_is_perfect(data, key):
    """Whatever order level dogs are written in, and whether or not ties are kept."""
    assume(len(key.group_sizes) > 1)
    order = []
    for group in key.order:
        shuffled = data.draw(st.permutations(group))
        order += [tuple(shuffled)] if data.draw(st.booleans()) else zip(shuffled)
    ours = grade(key, Answer(tuple(order), key.rulings))
    assert ours.share == 1
    assert ours.first_right is True
    assert ours.score == (None if key.cuts is None else 50)
    assert ours.rulings.right == tuple(d for d in key.dogs if d in key.rulings)
    assert not ours.rulings.missed
    assert not ours.rulings.wrong


@settings(deadline=None)
@given(keys(smallest=2))
def test_the_reversed_answer_has_nothing_right(key):
    assume(len(key.group_sizes) > 1)
    ours = grade(key, Answer(tuple((dog,) for dog in reversed(key.ring))))
    assert (ours.share, ours.first_right) == (0, False)
    assert ours.random_as_good == 1


@settings(deadline=None)
@given(keys_and_answers(answering=full_answers))
def test_reversing_the_answer_turns_the_share_round(both):
    key, answer = both
    forwards = grade(key, answer)
    backwards = grade(key, Answer(answer.order[::-1]))
    assert forwards.pairs_agreed + backwards.pairs_agreed == forwards.pairs_counted


@settings(deadline=None)
@given(st.data(), keys_and_answers())
def test_other_names_change_nothing(data, both):
    key, answer = both
    names = data.draw(st.permutations([f"dog {dog}" for dog in key.dogs]))
    name = dict(zip(key.dogs, names, strict=True))

    def renamed(placing):
        order = tuple(tuple(name[dog] for dog in group) for group in placing.order)
        rulings = {name[dog]: ruling for dog, ruling in placing.rulings.items()}
        return order, rulings

    order, rulings = renamed(key)
    other = Key(order, key.cuts, rulings, tuple(name[dog] for dog in key.unplaced))
    ours, theirs = grade(key, answer), grade(other, Answer(*renamed(answer)))
    assert replace(ours, pairs=(), rulings=None) == replace(
        theirs, pairs=(), rulings=None
    )
    assert [p.verdict for p in ours.pairs] == [p.verdict for p in theirs.pairs]
    assert tuple(name[dog] for dog in ours.rulings.wrong) == theirs.rulings.wrong


@settings(deadline=None, max_examples=60)
@given(st.data(), keys())
def test_many_at_once_are_the_same_as_one_by_one(data, key):
    room = data.draw(st.lists(answers(key), min_size=1, max_size=12))
    grades = grade_many(key, room)
    assert [grades.grade(at) for at in range(len(room))] == [
        grade(key, answer) for answer in room
    ]
