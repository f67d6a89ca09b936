"""What is true of a row: measured on the drawn dog itself, or between the landmarks of a photograph."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from math import hypot

from quizzes import plates
from quizzes.drawing.amounts import unit_of, value_of
from quizzes.kinds.eye.asked import MARKS, Estimate, Placed
from quizzes.plates import Measurement
from trainer.pictures.landmarks import FRONT_FOOT, REAR_FOOT, WITHERS, measured

Place = tuple[float, float]


@dataclass(frozen=True)
class Truth:
    """Measurements by name; places of landmarks in per cent of the picture, from the left and from the top.

    across, up : per cent of the dog's height that one per cent of the picture's width, or height, is;
    none where a photograph does not say where the ground is
    """

    measured: Mapping[str, Measurement]
    places: Mapping[str, Place]
    across: float = 0.0
    up: float = 0.0

    @property
    def has_scale(self) -> bool:
        return self.across > 0 and self.up > 0

    def value(self, name: str) -> float | None:
        one = self.measured.get(name)
        return None if one is None else value_of(one)

    def unit(self, name: str) -> str:
        return unit_of(self.measured[name])

    def apart(self, a: Place, b: Place) -> float:
        """In per cent of the dog's height."""
        return hypot((a[0] - b[0]) * self.across, (a[1] - b[1]) * self.up)


NOTHING = Truth({}, {})


def truth_of(row: Estimate, known: Placed) -> Truth:
    if row.is_photograph:
        return _of_photograph(known.photo) if known.photo else NOTHING
    return _of_plate(row) if row.drawing else NOTHING


def _of_plate(row: Estimate) -> Truth:
    return _of_drawing(json.dumps(row.drawing, sort_keys=True), row.view)


@lru_cache(maxsize=256)
def _of_drawing(drawing: str, view: str) -> Truth:
    """Measuring takes milliseconds, and a room has hundreds of answers to the same few plates."""
    row = Estimate(drawing=json.loads(drawing), view=view)
    dog = row.sketch.dog
    left, top, wide, high = plates.view_box([dog], row.view)
    places = {}
    if row.view in ("side", "head"):
        for name in MARKS.keys() & dog.side.keys():
            x, y = dog.side[name]
            across = 100 * (x - left) / wide
            found = (100 - across if dog.mirror else across, 100 * (-y - top) / high)
            places[name] = (round(found[0], 2), round(found[1], 2))
    inside = {name: one for name, one in places.items() if _inside(one)}
    return Truth(plates.measure(dog), inside, wide / 100, high / 100)


def _inside(place: Place) -> bool:
    return all(0 <= part <= 100 for part in place)


def _of_photograph(photo: Mapping) -> Truth:
    landmarks, wide, high = (photo[name] for name in ("landmarks", "width", "height"))
    points = {name: tuple(one) for name, one in landmarks.get("points", {}).items()}
    size = _height(points, wide, high)
    scale = (wide / size, high / size) if size else (0.0, 0.0)
    places = {name: one for name, one in points.items() if name in MARKS}
    return Truth(measured(landmarks, wide, high), places, *scale)


def _height(points: Mapping[str, Place], wide: float, high: float) -> float:
    """The height at the withers above the line through both feet, in pixels; 0 where it is not marked."""
    if not {WITHERS, FRONT_FOOT, REAR_FOOT} <= points.keys():
        return 0.0
    (wx, wy), (fx, fy), (rx, ry) = (
        (x * wide / 100, y * high / 100)
        for x, y in (points[name] for name in (WITHERS, FRONT_FOOT, REAR_FOOT))
    )
    along, down = rx - fx, ry - fy
    length = hypot(along, down)
    if not length:
        return 0.0
    return abs(along * (wy - fy) - down * (wx - fx)) / length
