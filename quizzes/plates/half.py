"""Shapes that are alike left and right of a midline: front, rear and top views.

Half-widths come from the dog's numbers, so both sides measure alike; only the light tells them apart.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from .conformation import Conformation
from .engraving import smoothstep
from .furniture import contour, stroke
from .layers import Fade, Ink, Scene
from .light import Bump
from .patches import Patch, between
from .splines import Array, smooth

Heights = Callable[[Array], Array]
BASE_HEIGHTS = (0.0, 7.2, 18.0, 47.0, 71.0, 100.0, 130.0)
REAR_HEIGHTS = (0.0, 6.0, 21.8, 48.0, 80.5, 97.0, 130.0)


def front_heights(dog: Conformation) -> Heights:
    """Heights on the neutral dog to heights on this dog, through the joints of the foreleg and the head."""
    m = dog.side
    names = (
        "front_fetlock",
        "carpus",
        "elbow_joint",
        "point_of_shoulder",
        "withers",
        "occiput",
    )
    at = [0.0, *(m[name][1] for name in names)]
    return lambda y: np.interp(y, BASE_HEIGHTS, np.maximum.accumulate(at))


def rear_heights(dog: Conformation) -> Heights:
    """The same through the joints of the hind leg and the croup."""
    m = dog.side
    names = ("rear_fetlock", "hock_joint", "stifle", "hip_joint")
    at = [
        0.0,
        *(m[name][1] for name in names),
        dog.params["croup"] + 1,
        m["occiput"][1],
    ]
    return lambda y: np.interp(y, REAR_HEIGHTS, np.maximum.accumulate(at))


def half_line(
    table: Sequence[tuple[float, float]], heights: Heights, per_span: int = 5
) -> Array:
    """A smooth right-hand outline (n, 2) from (height on the neutral dog, half-width), top first."""
    rows = np.array(table)
    return smooth(np.column_stack([rows[:, 1], heights(rows[:, 0])]), per_span)


def mirrored(line: Array) -> Array:
    """The same line on the other side of the midline."""
    return line * (-1.0, 1.0)


def level_patch(
    right: Array,
    left: Array,
    flatness: float,
    sag: float,
    bumps: list[Bump],
    stations: int = 13,
) -> Patch:
    """A patch whose lines run level from left to right and sag, stations from the top down."""
    sags = [(0, sag), (stations - 1, sag)]
    return between(right, left, stations, flatness, sags, bumps)


@dataclass(frozen=True)
class Leg:
    """One leg seen end on: right and left boundary from the top down, and the foot's outline."""

    right: Array
    left: Array
    foot: Array
    toes: list[Array]
    side: float

    @property
    def outer(self) -> Array:
        """The boundary away from the midline."""
        return self.right if self.side > 0 else self.left

    @property
    def inner(self) -> Array:
        """The boundary towards the midline."""
        return self.left if self.side > 0 else self.right


def leg(
    axis: Array,
    outer: Array,
    inner: Array,
    foot: tuple[float, float, float, float],
    side: float,
    back: bool = False,
) -> Leg:
    """A leg from rows of points on its outer and inner boundary (side +1: right of the midline), top first.

    foot: centre, half-width, height and turn-out of the toes in degrees.
    """
    out, inn = smooth(outer, 5), smooth(inner, 5)
    centre, wide, high, turn = foot
    shift = 5.2 * np.sin(np.radians(turn))
    paw = _paw(outer[-1], inner[-1], centre, wide, high, shift)
    lines = _toes(centre, wide, high, shift, back)
    if side < 0:
        out, inn, paw = mirrored(out), mirrored(inn), mirrored(paw)
        lines = [mirrored(line) for line in lines]
    right, left = (out, inn) if side > 0 else (inn, out)
    return Leg(right, left, paw, lines, side)


def _paw(
    outer: Array, inner: Array, centre: float, wide: float, high: float, shift: float
) -> Array:
    """From the leg's outer end round the toes to its inner end."""
    shape = (
        (0.80, 0.86),
        (1.0, 0.46),
        (0.97, 0.12),
        (0.6, 0.0),
        (0.0, -0.02),
        (-0.6, 0.0),
        (-0.97, 0.12),
        (-1.0, 0.46),
        (-0.80, 0.86),
    )
    points = [(centre + a * wide + shift * (1 - 0.55 * b), b * high) for a, b in shape]
    return smooth(np.vstack([outer, points, inner]), 4)


def _toes(
    centre: float, wide: float, high: float, shift: float, back: bool
) -> list[Array]:
    if back:
        # from behind: the large pad
        pad = [(-0.55, 0.30), (-0.3, 0.52), (0.0, 0.42), (0.3, 0.52), (0.55, 0.30)]
        return [np.array([(centre + a * wide + shift * 0.4, b * high) for a, b in pad])]
    lines = []
    for a in (-0.5, 0.0, 0.5):
        rows = ((a * 0.75, 0.68 - 0.1 * abs(a)), (a * 0.95, 0.36), (a, 0.0))
        lines.append(
            np.array(
                [
                    (centre + x * wide + shift * (1 - 0.55 * y), y * high)
                    for x, y in rows
                ]
            )
        )
    return lines


def toe_lines(one: Leg, weight: float, gap: float) -> Ink:
    """Lines between the toes; splayed toes leave gaps."""
    return [
        stroke(line, (0.34 + 1.1 * gap) * weight**0.7, (0.1, 1.0)) for line in one.toes
    ]


def leg_outline(s: Scene, one: Leg, inner_from: float) -> Ink:
    """Contours of a leg: the outer line from the top, the inner line from a share of its length, and the foot."""
    start = int(inner_from * len(one.inner))
    w = s.grain.contour
    outward = 1.0 if one.side > 0 else -1.0
    return [
        contour(one.outer, outward, s.theme, w, (0.08, 0.0)),
        contour(one.inner[start:], -outward, s.theme, w, (0.10, 0.0)),
        contour(one.foot, -outward, s.theme, w, (0.0, 0.0), 0.8),
    ]


def fade_below(height: float, over: float) -> Fade:
    """Presence of lines that begin `over` above a height and are full at it."""
    return lambda spot: np.asarray(
        1 - smoothstep(height, height + over, spot.points[:, 1])
    )
