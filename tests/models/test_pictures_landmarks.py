"""Landmarks on a photograph measure what the same landmarks measure on a drawn dog."""

from math import cos, radians, sin

import pytest

from quizzes.plates import conformation, measure
from trainer.pictures.landmarks import NAMES, measured

WIDTH, HEIGHT = 1600, 1100


def photographed(side, *, facing="left", tilt=0.0, scale=5.0, without=()):
    """A drawn dog's landmarks as they lie on a photograph, in per cent.

    tilt : by how many degrees the camera was held askew
    scale : pixels for one per cent of the dog's height
    """
    ground = {"front_foot": (side["front_toe"][0], 0), "rear_foot": (115.0, 0)}
    turn, sign = radians(tilt), 1 if facing == "left" else -1
    points = {}
    for name, (x, y) in ({**side, **ground}).items():
        if name not in NAMES or name in without:
            continue
        across, up = sign * scale * x, scale * y
        turned = (
            across * cos(turn) - up * sin(turn),
            across * sin(turn) + up * cos(turn),
        )
        points[name] = [
            100 * (700 + turned[0]) / WIDTH,
            100 * (900 - turned[1]) / HEIGHT,
        ]
    return {"facing": facing, "points": points}


@pytest.fixture(scope="module")
def dog():
    return conformation("unnamed-dog")


def side_values(dog):
    """What is measured between landmarks of the side view, on the drawn dog."""
    return {
        name: one.value
        for name, one in measure(dog).items()
        if one.view == "side" and one.axis != "as drawn"
    }


def test_every_point_that_is_measured_from_can_be_placed(dog):
    measures = [measure(dog)[name] for name in side_values(dog)]
    assert len(measures) > 30
    used = {point for one in measures for point in one.points}
    assert set(NAMES) == used | {"front_foot", "rear_foot"}


@pytest.mark.parametrize("facing", ["left", "right"])
@pytest.mark.parametrize("tilt", [0, 4, -7.5])
@pytest.mark.parametrize("scale", [2.5, 5.0])
def test_every_measure_is_that_of_the_drawn_dog(dog, facing, tilt, scale):
    marks = photographed(dog.side, facing=facing, tilt=tilt, scale=scale)
    found = measured(marks, WIDTH, HEIGHT)
    assert {name: one.value for name, one in found.items()} == pytest.approx(
        side_values(dog), abs=1e-6
    )


def test_pixels_count_only_by_the_shape_of_the_picture(dog):
    marks = photographed(dog.side)
    small = measured(marks, WIDTH // 2, HEIGHT // 2)
    assert small["shoulder_angle"].value == pytest.approx(
        measured(marks, WIDTH, HEIGHT)["shoulder_angle"].value
    )


def test_right_angle_by_hand():
    """Blade up and back at 45 degrees, upper arm down and back at 45: a right angle."""
    points = {
        "scapula_top": [40, 20],
        "point_of_shoulder": [20, 40],
        "point_of_elbow": [40, 60],
    }
    found = measured({"facing": "left", "points": points}, 1000, 1000)
    assert found["shoulder_angle_felt"].value == pytest.approx(90)
    assert found["layback_felt"].value == pytest.approx(45)
    assert found["blade_to_arm_felt"].value == pytest.approx(1)


def test_sides_of_three_four_and_five():
    """The joint of a triangle of 3, 4 and 5 stands at 90 degrees; the sides are as 4 to 3."""
    points = {
        "hip_joint": [50, 20],
        "stifle": [50, 60],
        "hock_joint": [80, 60],
    }
    found = measured({"facing": "left", "points": points}, 1000, 1000)
    assert found["stifle"].value == pytest.approx(90)
    assert found["thigh_to_second_thigh"].value == pytest.approx(3 / 4)


def test_without_the_ground_nothing_is_told_against_the_height(dog):
    for lacking in ("front_foot", "rear_foot", "withers"):
        found = measured(photographed(dog.side, without=[lacking]), WIDTH, HEIGHT)
        assert "shoulder_angle" in found
        assert {"length", "depth", "hock_height", "neck"}.isdisjoint(found)


def test_measure_whose_point_is_missing_is_left_out(dog):
    found = measured(photographed(dog.side, without=["stifle"]), WIDTH, HEIGHT)
    assert {"stifle", "hock", "pelvis_to_thigh"}.isdisjoint(found)
    assert "shoulder_angle" in found


@pytest.mark.parametrize(
    "landmarks",
    [
        {},
        {"facing": "left", "points": {}},
        {"facing": "left", "points": {"withers": [0, 0]}},
        {"facing": "right", "points": {name: [50, 50] for name in NAMES}},
        {
            "facing": "left",
            "points": {"hip_joint": [9, 9], "stifle": [9, 9], "hock_joint": [9, 9]},
        },
        {
            "facing": "left",
            "points": {
                "withers": [50, 90],
                "front_foot": [20, 50],
                "rear_foot": [80, 50],
                "brisket": [40, 40],
            },
        },
    ],
    ids=[
        "none",
        "empty",
        "one",
        "all in one place",
        "three in one place",
        "upside down",
    ],
)
def test_points_that_measure_nothing(landmarks):
    assert measured(landmarks, 1000, 1000) == {}
