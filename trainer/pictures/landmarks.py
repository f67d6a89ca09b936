"""Landmarks of a dog seen from the side, placed on a photograph, and what is measured between them.

The measuring itself is that of the drawn dogs (quizzes.plates).
"""

from __future__ import annotations

from collections.abc import Mapping
from math import hypot

from django.utils.translation import gettext_lazy as _

from quizzes.plates import Measurement, measure_side
from quizzes.plates.measuring import UNITS

LEFT, RIGHT = "left", "right"
FACINGS = {LEFT: _("to the left"), RIGHT: _("to the right")}
FRONT_FOOT, REAR_FOOT, WITHERS = "front_foot", "rear_foot", "withers"

GROUPS = (
    (
        _("Height and ground"),
        {
            WITHERS: _("Withers, highest point"),
            FRONT_FOOT: _("Ground under the near front foot"),
            REAR_FOOT: _("Ground under the near hind foot"),
        },
    ),
    (
        _("Forequarter"),
        {
            "scapula_top": _("Top of the shoulder blade"),
            "point_of_shoulder": _("Point of shoulder"),
            "shoulder_joint": _("Shoulder joint"),
            "point_of_elbow": _("Point of elbow"),
            "elbow_joint": _("Elbow joint"),
            "carpus": _("Front pastern joint (carpus)"),
            "front_fetlock": _("Front foot, where the pastern ends"),
            "prosternum": _("Breastbone, foremost point"),
        },
    ),
    (
        _("Back and body"),
        {
            "back_mid": _("Middle of the back"),
            "loin_start": _("Beginning of the loin"),
            "croup_top": _("Highest point of the croup"),
            "tail_set": _("Set of the tail"),
            "brisket": _("Lowest point of the chest"),
            "tuck": _("Belly at the tuck-up"),
        },
    ),
    (
        _("Hindquarter"),
        {
            "ilium": _("Front of the pelvis (ilium)"),
            "point_of_buttock": _("Point of buttock"),
            "hip_joint": _("Hip joint"),
            "stifle": _("Stifle"),
            "hock_joint": _("Hock joint"),
            "rear_fetlock": _("Hind foot, where the pastern ends"),
            "rear_toe": _("Hind toes, foremost point"),
        },
    ),
    (
        _("Head and neck"),
        {
            "occiput": _("Occiput"),
            "nape_mid": _("Crest, middle of the neck"),
            "stop_high": _("Stop, upper end"),
            "stop_low": _("Stop, lower end"),
            "nose": _("Nose, foremost point"),
        },
    ),
)
NAMES = {name: label for _group, names in GROUPS for name, label in names.items()}


def measured(landmarks: Mapping, width: int, height: int) -> dict[str, Measurement]:
    """What follows from the landmarks, by name.

    landmarks : {"facing", "points"}, see models.Picture
    width, height : of the picture in pixels; only their ratio counts

    The line through both feet is taken as level. Without it, the picture's lower edge is, and
    nothing that needs the ground or the dog's height is measured.
    """
    if not landmarks:
        return {}
    points = _turned_left(landmarks, width, height)
    grounded = {FRONT_FOOT, REAR_FOOT, WITHERS} <= points.keys()
    if grounded:
        points = _on_ground(points)
    return {
        name: one
        for name, one in measure_side(points).items()
        if (grounded or not _needs_ground(one)) and _apart(one, points)
    }


def _apart(one: Measurement, points) -> bool:
    """False where two of its points lie in one place, between which there is no angle."""
    return len({points[name] for name in one.points}) == len(one.points)


def _turned_left(landmarks, width, height) -> dict[str, tuple[float, float]]:
    """In units that are the same across and up, y upwards, the dog's head to the left."""
    sign = 1 if landmarks["facing"] == LEFT else -1
    return {
        name: (sign * x * width / 100, -y * height / 100)
        for name, (x, y) in landmarks["points"].items()
    }


def _on_ground(points):
    """Turned and sized so that the feet stand on y = 0 and the withers at y = 100.

    Feet in one place or a dog upside down give no ground: then nothing is left.
    """
    (fx, fy), (rx, ry) = points[FRONT_FOOT], points[REAR_FOOT]
    along, up = rx - fx, ry - fy
    length = hypot(along, up)
    if along <= 0:
        return {}
    level = {
        name: (
            ((x - fx) * along + (y - fy) * up) / length,
            ((y - fy) * along - (x - fx) * up) / length,
        )
        for name, (x, y) in points.items()
    }
    high = level[WITHERS][1]
    if high <= 0:
        return {}
    return {name: (100 * x / high, 100 * y / high) for name, (x, y) in level.items()}


def _needs_ground(one: Measurement) -> bool:
    return one.unit == UNITS or one.axis == "level and plumb"
