"""A dog built by hand stays drawable wherever its controls stand."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from quizzes.plates import BREEDS, CONTROLS, adjustment, conformation, outline
from quizzes.plates.breeds import BASE


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


def test_wishes_beyond_the_range_are_held_at_its_end():
    breed = BREEDS["unnamed-dog"]
    assert adjustment(breed, {"layback": 90.0}) == {"layback": CONTROLS["layback"].more}
    assert adjustment(breed, {"layback": breed.values()["layback"]}) == {"layback": 0.0}


def test_a_parameter_without_a_control_is_refused():
    with pytest.raises(KeyError):
        adjustment(BREEDS["unnamed-dog"], {"colour": 1.0})


def test_controls_move_parameters_that_exist():
    assert set(CONTROLS) <= set(BASE)
