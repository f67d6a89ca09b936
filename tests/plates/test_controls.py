"""A dog built by hand stays drawable wherever its controls stand, in any coat, ear and pattern."""

import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from quizzes.plates import (
    BREEDS,
    CONTROLS,
    FAULTS,
    adjustment,
    conformation,
    draw,
    measure,
    outline,
)
from quizzes.plates.breeds import BASE
from quizzes.plates.markings import WORDS


def assert_drawable(dog):
    for shape in outline(dog):
        assert Polygon(shape).is_valid


@pytest.mark.parametrize("slug", BREEDS)
@pytest.mark.parametrize("name", CONTROLS)
def test_both_ends_of_every_control_draw(slug, name):
    breed = BREEDS[slug]
    low, own, high = CONTROLS[name].span(breed)
    assert low < own < high
    for value in (low, high):
        dog = conformation(breed, adjust=adjustment(breed, {name: value}))
        assert_drawable(dog)
        assert dog.params[name] != own


positions = st.dictionaries(
    st.sampled_from(sorted(CONTROLS)), st.floats(0, 1), max_size=12
)


@settings(
    max_examples=400,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow],
)
@given(st.sampled_from(sorted(BREEDS)), positions)
def test_any_mixture_of_controls_draws(slug, shares):
    breed = BREEDS[slug]
    values = {}
    for name, share in shares.items():
        low, _, high = CONTROLS[name].span(breed)
        values[name] = low + share * (high - low)
    assert_drawable(conformation(breed, adjust=adjustment(breed, values)))


COATS = ("smooth", "broken", "curly", "feathered", "double")
EARS = ("prick", "semi-prick", "drop-short", "drop")
ends = st.dictionaries(st.sampled_from(sorted(CONTROLS)), st.booleans(), max_size=40)
faulty = st.dictionaries(st.sampled_from(sorted(FAULTS)), st.floats(0, 1), max_size=6)


@st.composite
def dogs_of_own_breeds(draw):
    """A breed built to the ends of its controls, in another coat, ear and pattern, with faults."""
    breed = replace(
        BREEDS[draw(st.sampled_from(sorted(BREEDS)))],
        coat=draw(st.sampled_from(COATS)),
        ear=draw(st.sampled_from(EARS)),
        patterns=(draw(st.sampled_from(sorted(WORDS))),),
    )
    values = {
        name: CONTROLS[name].span(breed)[2 if high else 0]
        for name, high in draw(ends).items()
    }
    faults, seed = draw(faulty), draw(st.integers(0, 10**5))
    adjust = adjustment(breed, values)
    return conformation(breed, faults, seed=seed, adjust=adjust)


@settings(
    max_examples=300,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow],
)
@given(dogs_of_own_breeds())
def test_outlines_of_own_breeds_stay_closed_and_free_of_crossings(dog):
    assert_drawable(dog)
    assert all(abs(one.value) < 1000 for one in measure(dog).values())


@settings(
    max_examples=60,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow],
)
@given(dogs_of_own_breeds(), st.sampled_from(["side", "front", "rear", "top", "head"]))
def test_own_breeds_are_drawn_in_every_view(dog, view):
    for shape in outline(dog, view):
        assert Polygon(shape).is_valid
    assert ET.fromstring(draw(dog, view)).tag.endswith("svg")


def test_wishes_beyond_the_range_are_held_at_its_end():
    breed = BREEDS["unnamed-dog"]
    assert adjustment(breed, {"layback": 90.0}) == {"layback": CONTROLS["layback"].more}
    assert adjustment(breed, {"layback": breed.values()["layback"]}) == {"layback": 0.0}


def test_a_parameter_without_a_control_is_refused():
    with pytest.raises(KeyError):
        adjustment(BREEDS["unnamed-dog"], {"colour": 1.0})


def test_controls_move_parameters_that_exist():
    assert set(CONTROLS) <= set(BASE)
