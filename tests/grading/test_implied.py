"""Weights that follow from placings, against published estimates and known weights."""

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quizzes.grading.implied import (
    Fit,
    NoMaximum,
    Ranking,
    Share,
    enough,
    fit,
    shares,
)

DATA = Path(__file__).parent / "data"


def test_travellers_choices_as_published():
    """Greene, W. H. (2003), Econometric Analysis, 5th ed., ch. 21: 210 travellers, four modes.

    Data: statsmodels.datasets.modechoice, in the public domain. A choice among four is a placing
    whose first place alone is known.
    """
    rows = list(csv.DictReader((DATA / "modechoice.csv").open(), delimiter=";"))
    people = {}
    for row in rows:
        mode = int(float(row["mode"]))
        air = mode == 1
        features = [float(row["gc"]), float(row["ttme"]), air * float(row["hinc"])]
        features += [float(mode == which) for which in (1, 2, 3)]
        chosen = float(row["choice"]) == 1
        people.setdefault(row["individual"], []).append((chosen, features))
    placings = []
    for modes in people.values():
        modes.sort(key=lambda one: not one[0])
        placings.append(Ranking(np.array([f for _chosen, f in modes]), placed=1))
    found = fit(placings)
    assert len(placings) == 210
    printed = [-0.0155, -0.0961, 0.0133, 5.2074, 3.8690, 3.1632]
    assert found.coefficients == pytest.approx(printed, abs=5e-5)
    errors = [0.004408, 0.010440, 0.010262, 0.779055, 0.443127, 0.450266]
    assert found.errors == pytest.approx(errors, abs=1e-5)
    assert found.log_likelihood == pytest.approx(-199.128369, abs=1e-5)


def placed_by(weights, rng, classes, dogs=6, noise=1.0):
    """Placings of somebody who rewards those weights, with the errors of a logit."""
    weights = np.array(weights)
    found = []
    for _ in range(classes):
        levels = rng.integers(0, 5, (dogs, len(weights))).astype(float)
        seen = levels @ weights + noise * rng.gumbel(size=dogs)
        found.append(Ranking(levels[np.argsort(-seen)]))
    return found


def test_known_weights_are_found():
    truth = np.array([1.5, 0.9, 0.4, 0.2])
    found = fit(placed_by(truth, np.random.default_rng(5), 400))
    assert found.coefficients == pytest.approx(truth, abs=0.12)
    parts = shares(found)
    assert [round(part.share) for part in parts] == pytest.approx(
        100 * truth / truth.sum(), abs=3
    )


def test_intervals_hold_the_truth_about_as_often_as_they_say():
    """Over 120 people of 12 classes each: nine in ten, less the error of such a count."""
    truth = np.array([1.2, 0.8, 0.5])
    rng, held = np.random.default_rng(8), 0
    for _ in range(120):
        parts = shares(fit(placed_by(truth, rng, 12)), level=0.9)
        aim = 100 * truth / truth.sum()
        held += sum(
            part.low <= want <= part.high for part, want in zip(parts, aim, strict=True)
        )
    assert 0.84 < held / 360 < 0.95


def test_a_faultless_sorter_has_no_best_weights():
    levels = np.array([[4.0, 1.0], [3.0, 2.0], [2.0, 0.0], [1.0, 3.0]])
    with pytest.raises(NoMaximum):
        fit([Ranking(levels)] * 3)
    held = fit([Ranking(levels)] * 3, toward=[0.5, 0.2], strength=1.0)
    assert np.isfinite(held.coefficients).all()


def test_levels_that_never_differ_leave_the_weight_open():
    levels = np.array([[4.0, 2.0], [1.0, 2.0], [3.0, 2.0]])
    with pytest.raises(NoMaximum):
        fit([Ranking(levels), Ranking(levels[::-1])])


def test_a_strong_pull_gives_what_it_pulls_toward():
    found = fit(
        placed_by([1, 1], np.random.default_rng(1), 5), toward=[0.3, 0.7], strength=1e7
    )
    assert found.coefficients == pytest.approx([0.3, 0.7], abs=1e-4)


@settings(max_examples=30)
@given(st.integers(0, 10**6), st.permutations(range(3)))
def test_the_order_of_the_priorities_changes_nothing(seed, order):
    rng = np.random.default_rng(seed)
    placings = placed_by([1.0, 0.5, 0.3], rng, 6)
    turned = [Ranking(one.levels[:, order]) for one in placings]
    pull = {"toward": [0.5, 0.5, 0.5], "strength": 0.5}
    assert fit(turned, **pull).coefficients == pytest.approx(
        fit(placings, **pull).coefficients[list(order)], abs=1e-6
    )


def test_only_the_places_given_count():
    levels = np.arange(12, dtype=float).reshape(6, 2)
    assert Ranking(levels).choices == 5
    assert Ranking(levels, placed=3).choices == 3
    assert Ranking(levels[:1]).choices == 0
    assert not enough([Ranking(levels)] * 4)
    assert enough([Ranking(levels)] * 5)


@pytest.mark.parametrize(("mentor", "said"), [(10, 1), (25, 0), (60, -1)])
def test_a_departure_is_outside_the_interval(mentor, said):
    assert Share(30, 20, 40).departs(mentor) == said


def test_nothing_rewarded_is_said_so():
    found = Fit(np.array([-1.0, -2.0]), np.eye(2) * 0.01, -5.0, 20)
    with pytest.raises(ValueError, match="none of the priorities"):
        shares(found)


@pytest.mark.parametrize(
    "rankings",
    [[], [Ranking(np.ones((1, 2)))], [Ranking(np.eye(3)), Ranking(np.eye(2))]],
)
def test_what_is_no_placing_is_refused(rankings):
    with pytest.raises(ValueError, match="placings"):
        fit(rankings)


def test_levels_that_are_none_are_refused():
    with pytest.raises(ValueError, match="finite"):
        Ranking(np.array([[1.0, np.nan]]))
