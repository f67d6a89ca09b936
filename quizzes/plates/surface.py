"""The patches of the side view: which boundary points face each other, and the muscle and bone under the skin."""

import numpy as np

from .breeds import BASE
from .conformation import Conformation, side_landmarks
from .contours import BASE_SHAPE, SideShape, nearest
from .light import Bump
from .patches import Patch, patch
from .splines import Array, directions, even, turned

_TRUNK = """-2,128/-8,107 8,118/-6,94 12,111/-3,84 17,104/-2,76 20,100/-3,69 22,99/0,61 27,99/10,55 35,97/24,51
49,96/36,51 61,96/55,55 72,96/70,59 88,94/73,60 98,88/77,62 103,82/80,63 105,78/82,63 106,72/83,60 105,65/83,56
104,57/84,52 104,49/85,48 105,42/88,43 108,36/92,38 112,31/99,32 115,28/104,27 116,22/107,23 114,10/108,19
114,3/109,14"""
_FORELEG = """29,64/5,65 29.6,58/8.5,60 30.3,51.6/12,55 31,48/15.4,49 30.4,44/17.4,43.5 28.9,38/18.6,37.5 27.2,30/20,29.5
26.5,23/20.8,23 27.4,17.5/20.4,18 26,13.5/19.9,13.2 24.6,8.5/18.4,9.4 24.5,5/14,5.8"""
# Pairs of outline knots, skull against jaw, from the neck to the nose.
_HEAD = """0/30 1/29.5 2/29 3/28 4/27 5.2/26.4 7/26 8/25.4 8.6/24.8 9.2/24.2 10/23.3 11/22.5 11.7/21.6"""

LEGS_FROM, STIFLE, HOCK = 15.0, 18.0, 22.0

# x, y, height, length, width, angle | landmarks it hangs on | bone it turns with
_BUMPS = """
13,84 1.9 11 3.6 58 | scapula_top shoulder_joint | layback
22,84 -1.7 9 3.6 58 | scapula_top shoulder_joint | layback
6,85 -2.4 10 3 58 | scapula_top shoulder_joint | layback
2,72 2.2 4 3.4 0 | point_of_shoulder |
21,63 3.6 8 5 -32 | elbow_joint shoulder_joint | arm
35,57 -3.2 10 3.4 68 | point_of_elbow brisket |
11,56 -1.6 9 2 -50 | elbow_joint shoulder_joint | arm
14,60 1.2 9 2.6 -50 | elbow_joint shoulder_joint | arm
35,75 2.4 15 13 0 | brisket withers back_mid | ribs
51,64 -1.2 10 2.4 38 | sternum_end loin_start |
35,68 .35 9 1.3 68 | brisket withers back_mid |
41,69.2 .35 9 1.3 68 | brisket back_mid |
47,70.4 .35 9 1.3 68 | sternum_end back_mid |
53,71.6 .35 9 1.3 68 | sternum_end loin_start |
73,76 -3.8 10 6 80 | loin_mid flank |
81,92 1.6 3.5 2.4 0 | ilium |
94,65 4.4 12 7 80 | hip_joint stifle |
83,64 -2.4 10 2.2 100 | flank |
102,58 -2 12 1.9 72 | point_of_buttock stifle hock_joint |
89,48 1.5 3 2.6 0 | stifle |
104,37 -1.5 9 1.6 -48 | stifle hock_joint | shank
104,31 .8 8 1.8 -48 | hock_joint | shank
3,103 1.5 13 3.4 99 | withers occiput throat neck_base_front |
-4,96 -1.2 12 2 99 | throat neck_base_front |
"""
_TURNS = {"layback": -1.0, "arm": 1.0, "shank": -1.0}


def _pairs(text: str) -> Array:
    cells = [cell.replace(",", "/").split("/") for cell in text.split()]
    return np.array(cells, dtype=float)


def _index(text: str, upper: Array, lower: Array) -> Array:
    pairs = _pairs(text)
    return np.column_stack([nearest(upper, pairs[:, :2]), nearest(lower, pairs[:, 2:])])


def _foreleg_lines(shape: SideShape) -> tuple[Array, Array]:
    back = np.vstack(
        [shape.fore_back[0] + [(-1.3, 12.4), (-0.7, 6.4)], shape.fore_back]
    )
    front = np.vstack([shape.fore_front[0] + (-2, 3), shape.fore_front])
    return back, front


_TRUNK_AT = _index(_TRUNK, BASE_SHAPE.top, BASE_SHAPE.under)
_FORELEG_AT = _index(_FORELEG, *_foreleg_lines(BASE_SHAPE))
_HEAD_AT = _pairs(_HEAD) * BASE_SHAPE.head.span
_MARKS = side_landmarks(BASE)


def _parse_bumps() -> list[tuple[list[float], list[str], str]]:
    rows = []
    for row in _BUMPS.strip().splitlines():
        numbers, hangs, turn = (cell.strip() for cell in row.split("|"))
        rows.append(
            ([float(n) for n in numbers.replace(",", " ").split()], hangs.split(), turn)
        )
    return rows


_ROWS = _parse_bumps()
_HELD = sorted({name for _, hangs, _ in _ROWS for name in hangs})


def body_bumps(dog: Conformation) -> list[Bump]:
    """Muscle and bone of trunk and legs, moved and turned with the landmarks they hang on."""
    p, m = dog.params, dog.side
    moved = {name: np.subtract(m[name], _MARKS[name]).tolist() for name in _HELD}
    bumps = []
    for (x, y, height, length, width, angle), hangs, turn in _ROWS:
        shift = [
            sum(moved[name][axis] for name in hangs) / len(hangs) for axis in (0, 1)
        ]
        turned = (
            angle + _TURNS.get(turn, 0.0) * (p[turn] - BASE[turn])
            if turn in _TURNS
            else angle
        )
        scale = p["rib_w"] / 12.5 if turn == "ribs" else 1.0
        bumps.append(
            Bump(
                x + shift[0],
                y + shift[1],
                height * scale * p["muscle"],
                length,
                width,
                turned,
            )
        )
    return bumps


def trunk_patch(shape: SideShape, bumps: list[Bump]) -> Patch:
    """From the throat over the body into the hind leg, in one piece, so that there is no seam at the thigh."""
    flat = np.interp(np.arange(len(_TRUNK_AT)), [13, 17], [1.75, 1.25])
    bulge = [
        (0, -0.10),
        (3, -0.12),
        (6, 0.12),
        (10, 0.12),
        (14, 0.03),
        (19, 0.12),
        (25, 0.14),
    ]
    return patch(_TRUNK_AT, shape.top, shape.under, flat, bulge, bumps)


def foreleg_patch(shape: SideShape, bumps: list[Bump]) -> Patch:
    """From the upper arm to the toes; the back of the leg is the upper boundary."""
    return patch(
        _FORELEG_AT, *_foreleg_lines(shape), 1.25, [(0, 0.10), (11, 0.14)], bumps
    )


def head_patch(shape: SideShape) -> Patch:
    """From the neck to the nose; the skull and bridge are the upper boundary."""
    line = shape.head.outline
    return patch(_HEAD_AT, line, line, 1.9, [(0, 0.06), (12, 0.05)], head_bumps(shape))


def head_bumps(shape: SideShape) -> list[Bump]:
    """Cheek, cheek bone, temple, eye socket, brow, stop and lips."""
    h = shape.head
    s, m, wide, deep = h.skull, h.muzzle, h.wide, h.deep
    slope = h.frame.slope
    skull = [
        (0.42 * s, -12.5 * wide, 2.2, 4.6, 4.2),
        (0.64 * s, -8.8 * wide, 1.3, 4.5, 1.2),
        (0.55 * s, -4.4 * wide, -1.0, 4.0, 1.6),
        (0.89 * s, -h.frame.stop - 3.4, -1.2, 3.0, 2.2),
        (0.86 * s, -1.4, 1.1, 2.8, 1.2),
    ]
    muzzle = [
        (0.12, -3.6, -1.3, 3.0, 2.4),
        (0.74, -4.6 * deep, 1.6, 4.0, 2.6),
        (0.5, -8.4 * deep, -0.7, 6.0, 0.9),
    ]
    rows = [
        (*h.frame.at(a, b), height, length, width)
        for a, b, height, length, width in skull
    ]
    rows += [
        (*h.frame.on_muzzle(s + a * m, b), height, length, width)
        for a, b, height, length, width in muzzle
    ]
    return [
        Bump(x, y, height, length, width, slope) for x, y, height, length, width in rows
    ]


def tail_patch(shape: SideShape) -> Patch:
    """Along the tail of the side view."""
    return tail_patch_along(shape.tail_axis, shape.tail_radius)


def tail_patch_along(axis: Array, radius: Array) -> Patch:
    """Along any tail, twelve stations from root to tip."""
    side = radius[:, None] * turned(directions(axis))
    at = even(0, len(axis) - 1, 13)
    upper, lower = axis + side, axis - side
    pairs = np.column_stack([at, at])
    return patch(pairs, upper, lower, 1.2, [(0, 0.15), (12, 0.15)])
