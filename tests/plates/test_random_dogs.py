"""Thousands of random dogs: parts closed and free of crossings (shapely is the outside reference), all in the frame."""

import xml.etree.ElementTree as ET

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from quizzes.plates import BREEDS, FAULTS, conformation, draw, outline, view_box

faults = st.dictionaries(st.sampled_from(sorted(FAULTS)), st.floats(0, 1), max_size=6)
builds = st.fixed_dictionaries(
    {
        "bone": st.floats(-0.15, 0.25),
        "thigh_w": st.floats(-0.1, 0.12),
        "neck_th": st.floats(-0.1, 0.2),
    }
)
dogs = st.builds(
    conformation,
    st.sampled_from(sorted(BREEDS)),
    faults,
    st.sampled_from(["dog", "bitch"]),
    st.integers(0, 10**6),
    st.booleans(),
    builds,
)
quick = settings(
    max_examples=600,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
    derandomize=True,
)
slow = settings(
    max_examples=40,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
    derandomize=True,
)


def assert_sound(dog, view):
    x, y, wide, high = view_box([dog], view)
    for shape in outline(dog, view):
        part = Polygon(shape)
        assert np.isfinite(shape).all()
        assert part.is_valid
        assert part.area > 0.5
        left, low, right, top = part.bounds
        assert x <= left
        assert right <= x + wide
        assert -(y + high) <= low
        assert top <= -y


@quick
@given(dogs)
def test_side_outlines_are_sound_and_inside_the_frame(dog):
    assert_sound(dog, "side")


@slow
@given(dogs, st.sampled_from(["front", "rear", "top", "head"]))
def test_other_views_are_sound_and_inside_the_frame(dog, view):
    assert_sound(dog, view)


@quick
@given(dogs)
def test_withers_stay_up_and_feet_stay_down(dog):
    assert dog.side["withers"][1] == 100
    hind, foreleg = outline(dog)[4:6]
    for leg in (hind, foreleg):
        assert -0.4 < leg[:, 1].min() < 0.2


@quick
@given(dogs)
def test_joints_stay_joined(dog):
    """Each bone starts where the bone above it ends, so the chain's steps add up to the whole."""
    for chain in (
        ["scapula_top", "shoulder_joint", "elbow_joint", "carpus", "front_fetlock"],
        ["hip_joint", "stifle", "hock_joint", "rear_fetlock"],
    ):
        heights = [dog.side[name][1] for name in chain]
        assert heights == sorted(heights, reverse=True)
        assert heights[-1] > 0
    _, _, _, body, hind, fore = outline(dog)[:6]
    assert Polygon(body).intersects(Polygon(fore))
    assert Polygon(body).intersection(Polygon(hind)).area > 0.9 * Polygon(hind).area


@settings(parent=slow, max_examples=30)
@given(
    dogs,
    st.sampled_from(["side", "front", "rear", "top", "head"]),
    st.sampled_from(["light", "dark", "print", "contrast"]),
    st.sampled_from(["thumb", "card", "large"]),
)
def test_every_plate_is_valid_xml_with_unique_ids(dog, view, theme, size):
    root = ET.fromstring(
        draw(
            dog,
            view,
            theme,
            size,
            measures=["layback", "stifle"] if view == "side" else [],
        )
    )
    ids = [node.get("id") for node in root.iter() if node.get("id")]
    assert len(ids) == len(set(ids))
    assert root.tag == "{http://www.w3.org/2000/svg}svg"


@pytest.mark.parametrize("slug", BREEDS)
def test_class_box_holds_every_dog_of_the_class(slug):
    line = [
        conformation(slug, {"F4": 1.0}),
        conformation(slug, {"F12": 1.0}),
        conformation(slug),
    ]
    x, y, wide, high = view_box(line)
    for dog in line:
        a, b, c, d = view_box([dog])
        assert x <= a
        assert y <= b
        assert a + c <= x + wide + 1e-9
        assert b + d <= y + high + 1e-9
