"""Difficulty against scipy and against simulated trainees graded by the site's grading."""

from functools import lru_cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from quizzes.generator import TARGETS, Trainee, certainty, expected_share, pair_chances
from quizzes.generator.difficulty import TOLERANCE, normal_share
from quizzes.grading import AnswerArrays, Key, grade_many
from tests.generator.material import DIFFICULTIES, PRIORITIES, by_id, made

SKILLS = {
    "sharp": Trainee(0.5, 0.25),
    "standard": Trainee(1.0, 0.5),
    "new": Trainee(1.8, 0.9),
}
TRAINEES, CLASSES = 150, 24


def test_share_of_the_normal_distribution():
    x = np.linspace(-6, 6, 2401)
    # Abramowitz and Stegun state an error below 1.5e-7 for their formula 26.2.19.
    assert np.abs(normal_share(x) - stats.norm.cdf(x)).max() < 1.5e-7


def placings(levels, weights, trainee, rng, count):
    """Places that many trainees of that skill give the dogs; shape (count, dogs)."""
    dogs, priorities = levels.shape
    seen = levels + rng.normal(0, trainee.level_error, (count, dogs, priorities))
    own = weights * (1 + rng.normal(0, trainee.weight_error, (count, 1, priorities)))
    merit = (seen * own).sum(axis=2)
    return 1 + (-merit).argsort(axis=1).argsort(axis=1)


@pytest.mark.parametrize("skill", SKILLS)
def test_chance_of_a_pair_is_that_of_simulated_trainees(skill):
    levels = np.array([[4, 1, 3, 2], [2, 3, 2, 2], [1, 4, 0, 3]])
    weights = np.array([40, 30, 20, 10])
    rng, trainee = np.random.default_rng(11), SKILLS[skill]
    places = placings(levels, weights, trainee, rng, 40_000)
    chances = pair_chances(levels, weights.tolist(), trainee)
    for upper in range(3):
        for lower in range(upper + 1, 3):
            share = (places[:, upper] < places[:, lower]).mean()
            # Four standard errors; weight times level is nearly normal, not quite.
            assert chances[upper, lower] == pytest.approx(share, abs=0.01 + 0.012)


def test_a_dog_against_itself_and_the_other_way_round():
    levels = np.array([[4, 0], [0, 4], [4, 0]])
    chances = pair_chances(levels, [2, 1])
    assert chances[0, 2] == chances[0, 0] == pytest.approx(0.5, abs=1.5e-7)
    assert chances[0, 1] + chances[1, 0] == pytest.approx(1)


def test_mixed_virtues_are_harder_than_plain_ones():
    """The same difference of merit, once all on one side and once set against faults."""
    plain = pair_chances(np.array([[3, 3], [2, 2]]), [1, 1])[0, 1]
    mixed = pair_chances(np.array([[4, 1], [0, 3]]), [1, 1])[0, 1]
    assert mixed < plain


def test_pairs_that_the_key_does_not_separate_are_left_out():
    levels, weights = np.array([[4, 4], [3, 3], [3, 2], [0, 0]]), [1, 1]
    chances = pair_chances(levels, weights)
    without = expected_share(levels, weights, level=[1])
    counted = [chances[a, b] for a, b in ((0, 1), (0, 2), (0, 3), (1, 3), (2, 3))]
    assert without == pytest.approx(np.mean(counted), abs=1e-4)
    placed = expected_share(levels, weights, placed=1)
    assert placed == pytest.approx(chances[0, 1:].mean(), abs=1e-4)
    assert np.isnan(expected_share(levels, weights, level=[0, 1, 2]))


@lru_cache
def classes(size, difficulty):
    """(levels best first, class) of classes with fixed seeds."""
    rows = []
    for seed in range(CLASSES):
        one = made(size, difficulty, seed)
        dogs = by_id(one.content)
        levels = [list(dogs[dog]["levels"].values()) for dog in one.key["order"]]
        rows.append((np.array(levels), one))
    return rows


def share_right(size, difficulty, trainee, seed=3):
    """Share of pairs that simulated trainees get right, graded as on the site."""
    rng = np.random.default_rng(seed)
    weights = np.array([priority.weight for priority in PRIORITIES])
    shares = []
    for levels, _class in classes(size, difficulty):
        places = placings(levels, weights, trainee, rng, TRAINEES).astype(np.int8)
        key = Key(tuple((dog,) for dog in range(size)))
        arrays = AnswerArrays(places, np.zeros_like(places))
        shares.append(grade_many(key, arrays).share.mean())
    return float(np.mean(shares))


@pytest.mark.parametrize("size", [3, 6, 10])
@pytest.mark.parametrize("skill", SKILLS)
def test_trainees_do_worse_on_harder_classes(size, skill):
    plain, middling, close = (
        share_right(size, difficulty, SKILLS[skill]) for difficulty in DIFFICULTIES
    )
    assert plain - middling > 0.04
    assert middling - close > 0.04
    assert close > 0.52


@pytest.mark.parametrize("difficulty", DIFFICULTIES)
def test_sharper_trainees_do_better_at_any_difficulty(difficulty):
    sharp, standard, new = (
        share_right(6, difficulty, skill) for skill in SKILLS.values()
    )
    assert sharp - standard > 0.03
    assert standard - new > 0.03


@pytest.mark.parametrize("difficulty", DIFFICULTIES)
@pytest.mark.parametrize("size", [3, 6, 10])
def test_a_standard_trainee_does_as_a_class_says(size, difficulty):
    said = np.mean(
        [one.difficulty_measured for _levels, one in classes(size, difficulty)]
    )
    assert said == pytest.approx(TARGETS[difficulty], abs=0.01)
    done = share_right(size, difficulty, SKILLS["standard"])
    assert done == pytest.approx(said, abs=0.015)


def test_harder_classes_are_harder_one_by_one():
    """Within what is measured: rank agreement of stated and simulated difficulty."""
    said, done = [], []
    rng = np.random.default_rng(8)
    weights = np.array([priority.weight for priority in PRIORITIES])
    for difficulty in DIFFICULTIES:
        for levels, one in classes(6, difficulty):
            places = placings(levels, weights, SKILLS["standard"], rng, 400)
            said.append(one.difficulty_measured)
            done.append((np.diff(places) > 0).mean())
    assert stats.kendalltau(said, done).statistic > 0.6


@pytest.mark.parametrize("difficulty", DIFFICULTIES)
@pytest.mark.parametrize("size", [3, 4, 6, 8, 12])
def test_every_class_meets_its_target(size, difficulty):
    for seed in range(20):
        one = made(size, difficulty, 500 + seed)
        assert abs(one.difficulty_measured - TARGETS[difficulty]) <= TOLERANCE
        assert not any("difficulty" in note for note in one.notes)


def test_certainty_is_that_of_normal_errors():
    levels, weights = np.array([[3, 2, 4], [3, 3, 2], [1, 2, 2]]), [50, 30, 20]
    rng, draws = np.random.default_rng(4), 200_000
    seen = levels + rng.normal(0, 0.35, (draws, 3, 3))
    own = np.maximum(weights * (1 + rng.normal(0, 0.2, (draws, 1, 3))), 0)
    merit = (seen * own).sum(axis=2)
    sure = certainty(levels, weights, draws=20_000)
    for upper in range(3):
        for lower in range(3):
            if upper != lower:
                share = (merit[:, upper] > merit[:, lower]).mean()
                assert sure[upper, lower] == pytest.approx(share, abs=0.012)


@given(st.integers(0, 10**6))
def test_certainty_of_two_ways_round_is_all_there_is(seed):
    levels = np.array([[4, 2], [2, 4], [3, 3]])
    sure = certainty(levels, [6, 4], draws=64, seed=seed)
    assert (sure + sure.T == 1).all()


def test_nothing_uncertain_is_certain():
    levels = np.array([[4, 2], [2, 4], [2, 4]])
    sure = certainty(levels, [6, 4], level_error=0, weight_error=0, draws=8)
    assert sure.tolist() == [[0.5, 1, 1], [0, 0.5, 0.5], [0, 0.5, 0.5]]
