"""The neutral dog measures what its design table says, and independent geometry agrees.

The design figures are this project's own; the ranges they must lie in are: blade about 30 degrees from vertical with the
forearm upright, blade and upper arm equal (Zink & Van Dyke, Canine Sports Medicine and Rehabilitation, 2013, p. 15).
"""

import numpy as np
import pytest
from shapely import affinity
from shapely.geometry import LineString, Point, Polygon

from quizzes.plates import BREEDS, conformation, measure, outline
from quizzes.plates.breeds import BASE

# measurement, design value, accepted in a correct dog
DESIGN = [
    ("layback", 32.0, (28, 36)),
    ("upper_arm", 40.0, (36, 46)),
    ("shoulder_angle", 108.0, (100, 115)),
    ("layback_felt", 38.1, (28, 45)),
    ("shoulder_angle_felt", 88.3, (80, 115)),
    ("blade_to_arm_felt", 0.97, (0.90, 1.10)),
    ("arm_to_blade", 1.0, (0.95, 1.05)),
    ("elbow_behind_blade", 3.5, (0, 6)),
    ("elbow_angle", 140.0, (130, 145)),
    ("pastern", 12.0, (8, 20)),
    ("pelvis", 30.0, (25, 35)),
    ("croup", 19.0, (15, 25)),
    ("pelvis_to_thigh", 112.0, (100, 120)),
    ("stifle", 132.0, (125, 140)),
    ("hock", 140.0, (135, 150)),
    ("rear_pastern", 0.0, (-3, 3)),
    ("length", 1.05, (1.00, 1.10)),
    ("length_breastbone", 1.08, (1.03, 1.14)),
    ("withers_to_elbow", 0.97, (0.90, 1.10)),
    ("depth", 49.4, (45, 52)),
    ("head_length", 40.0, (37, 43)),
    ("muzzle_to_skull", 1.0, (0.85, 1.1)),
    ("planes", 0.0, (-3, 3)),
    ("stop", 3.0, (2, 4)),
    ("neck", 39.7, (36, 44)),
    ("front_shoulder", 10.0, (9, 11)),
    ("front_chest", 12.5, (11.5, 13.5)),
    ("front_elbow", 10.3, (9.3, 11.3)),
    ("front_carpus", 10.0, (9, 11)),
    ("front_foot", 10.0, (9, 11)),
    ("rear_hip", 11.5, (10.5, 12.5)),
    ("rear_stifle", 12.0, (11, 13)),
    ("rear_hock", 9.2, (8.2, 10.2)),
    ("rear_foot", 9.2, (8.2, 10.2)),
    ("rear_toes", 2.0, (0, 5)),
]
BONES = [
    ("shoulder_joint", "scapula_top", 31),
    ("shoulder_joint", "elbow_joint", 31),
    ("elbow_joint", "carpus", 29),
    ("carpus", "front_fetlock", 11),
    ("ilium", "point_of_buttock", 30),
    ("hip_joint", "stifle", 33),
    ("stifle", "hock_joint", 34),
]


@pytest.fixture(scope="module")
def dog():
    return conformation("unnamed-dog")


@pytest.mark.parametrize(
    ("name", "value", "accepted"), DESIGN, ids=[row[0] for row in DESIGN]
)
def test_design_value_within_half_a_unit(dog, name, value, accepted):
    found = measure(dog)[name]
    tolerance = 0.5 if found.unit != "ratio" else 0.005
    assert found.value == pytest.approx(value, abs=tolerance)
    assert accepted[0] <= found.value <= accepted[1]


@pytest.mark.parametrize(("start", "end", "length"), BONES)
def test_bones_have_their_design_length(dog, start, end, length):
    assert LineString([dog.side[start], dog.side[end]]).length == pytest.approx(
        length, abs=0.15
    )


def test_balance_line_falls_on_the_rear_foot(dog):
    x = dog.side["point_of_buttock"][0]
    assert dog.side["rear_toe"][0] <= x <= dog.side["rear_heel"][0]


@pytest.mark.parametrize("slug", BREEDS)
def test_angles_agree_with_turning_the_bone_in_shapely(slug):
    """Turning one bone by the measured angle about the joint lays it on the other bone."""
    dog = conformation(slug, {"F1": 0.4, "F13": 0.3, "F17": 0.5})
    found = measure(dog)
    for name in (
        "shoulder_angle",
        "shoulder_angle_felt",
        "elbow_angle",
        "stifle",
        "hock",
    ):
        first, corner, second = (dog.side[point] for point in found[name].points)
        bone = LineString([corner, first])
        turned = [
            affinity.rotate(bone, side * found[name].value, origin=corner)
            for side in (1, -1)
        ]
        scale = LineString([corner, second]).length / bone.length
        ends = [
            affinity.scale(line, scale, scale, origin=corner).coords[-1]
            for line in turned
        ]
        assert min(Point(end).distance(Point(second)) for end in ends) < 1e-9


def test_slopes_agree_with_complex_arguments(dog):
    found = measure(dog)
    for name in ("layback", "layback_felt", "upper_arm"):
        start, end = (complex(*dog.side[point]) for point in found[name].points)
        up = end - start if end.imag > start.imag else (end - start).conjugate()
        assert found[name].value == pytest.approx(
            90 - np.degrees(np.angle(up)), abs=1e-9
        )


def test_outline_areas_agree_with_the_shoelace_sum(dog):
    for shape in outline(dog):
        x, y = shape.T
        shoelace = 0.5 * abs(np.dot(x, np.roll(y, 1)) - np.dot(y, np.roll(x, 1)))
        assert Polygon(shape).area == pytest.approx(shoelace, rel=1e-9)


def test_trunk_area_follows_depth_and_length():
    """A body drawn as one shape grows by about length times the added depth."""
    body = {
        k: Polygon(outline(conformation("unnamed-dog", f))[3]).area
        for k, f in (("", {}), ("deep", {"F21": 1.0}), ("long", {"F4": 1.0}))
    }
    assert 100 < body["deep"] - body[""] < 8 * 105
    assert 0.5 * 12 * 45 < body["long"] - body[""] < 1.5 * 12 * 50


def test_every_breed_knows_every_parameter():
    for breed in BREEDS.values():
        assert set(breed.params) <= set(BASE)


def test_three_breeds_of_clearly_different_outline():
    shapes = [measure(conformation(slug)) for slug in BREEDS]
    assert (
        max(m["length"].value for m in shapes) - min(m["length"].value for m in shapes)
        > 0.3
    )
    ratios = [m["withers_to_elbow"].value for m in shapes]
    assert max(ratios) > 1.4
    assert min(ratios) < 0.8


def test_measurements_name_points_and_axis(dog):
    views = {"side": dog.side, "front": dog.front, "rear": dog.rear, "top": dog.top}
    for found in measure(dog).values():
        assert found.axis
        assert found.points
        assert all(point in views[found.view] for point in found.points)
        if (
            "from vertical" not in found.label
            and found.unit == "degrees"
            and len(found.points) == 2
        ):
            assert "horizontal" in found.label or "toes" in found.label
