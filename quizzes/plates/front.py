"""The dog seen from the front."""

from collections.abc import Callable

import numpy as np

from .engraving import smoothstep
from .face import face_layers
from .furniture import contour, ground
from .half import (
    Heights,
    Leg,
    fade_below,
    front_heights,
    leg,
    leg_outline,
    level_patch,
    mirrored,
    rear_heights,
    toe_lines,
)
from .layers import Ink, Scene, by_station, edge_locks, hair_layer, rib_layer, shade
from .light import Bump
from .patches import Spots
from .rear import hind_leg
from .splines import Array, smooth
from .svg import Drawing

# Height on the neutral dog, outer and inner distance from the leg's axis.
_OUTER = (
    (71, 4.2),
    (64, 4.6),
    (57, 4.3),
    (49, 3.9),
    (44, 3.5),
    (37, 3.15),
    (30, 2.75),
    (23, 2.5),
    (19.5, 2.65),
    (16.5, 2.6),
    (12, 2.25),
    (8, 2.4),
)
_INNER = (
    (71, 4.4),
    (64, 4.6),
    (57, 4.5),
    (49, 3.7),
    (44, 3.1),
    (37, 2.6),
    (30, 2.35),
    (23, 2.5),
    (19.5, 2.5),
    (16.5, 2.45),
    (12, 2.15),
    (8, 2.4),
)


def _foreleg(s: Scene, heights: Heights, side: float) -> Leg:
    p = s.dog.params
    at = np.array(
        [
            (0, p["foot_w"]),
            (7.2, p["foot_w"]),
            (18, p["carpus_w"]),
            (47, p["elbow_w"]),
            (71, p["shoulder_w"]),
        ]
    )
    y = np.array([row[0] for row in _OUTER])
    bone = np.where(y < 50, p["bone"], 0.5 + 0.5 * p["bone"])
    x = _eased(y, at)
    outer = np.column_stack([x + bone * [row[1] for row in _OUTER], heights(y)])
    inner = np.column_stack([x - bone * [row[1] for row in _INNER], heights(y)])
    foot = (
        p["foot_w"],
        p["foot_spread"] * p["foot"] ** 0.5,
        p["toe_height"],
        p["fore_turn"],
    )
    return leg(np.column_stack([x, heights(y)]), outer, inner, foot, side)


def _eased(y: Array, knots: Array) -> Array:
    """The leg's axis between its joints, without a corner at them."""
    dense = np.linspace(0, 71, 72)
    x = np.interp(dense, knots[:, 0], knots[:, 1])
    padded = np.concatenate([[x[0]] * 4, x, [x[-1]] * 4])
    return np.interp(y, dense, np.convolve(padded, np.ones(9) / 9, mode="valid"))


def _body_line(s: Scene, heights: Heights, right: Leg) -> Array:
    """The right-hand outline of neck and shoulder, ending at the leg."""
    p = s.dog.params
    n, sh, chest = (
        p["neck_w"] * (0.5 + 0.5 * p["neck_th"]),
        p["shoulder_w"],
        p["chest_w"],
    )
    rows = [
        (121, 0.68 * n),
        (118, 0.74 * n),
        (111, 0.87 * n),
        (103, 1.02 * n),
        (95, 1.18 * n),
        (88, 1.4 * n),
    ]
    rows += [(81, 0.72 * sh + 3.2), (75, 0.55 * sh + 0.62 * chest)]
    upper = np.array([(x, float(heights(np.array(y)))) for y, x in rows])
    return smooth(np.vstack([upper, right.outer[5:13:3]]), 5)


def _bumps(s: Scene, heights: Heights) -> list[Bump]:
    p, k = s.dog.params, s.dog.params["muscle"] / 1.3
    y = {
        name: float(heights(np.array(at)))
        for name, at in (("sh", 71), ("chest", 66), ("neck", 95), ("arm", 60))
    }
    sh = p["shoulder_w"]
    rows = [
        Bump(0, y["chest"] + 4, 3.2 * k, 5, 9, 0),
        Bump(0, y["neck"], 1.4 * k, 2.2, 12, 0),
    ]
    for side in (-1.0, 1.0):
        rows += [
            Bump(side * (sh - 0.5), y["sh"] + 1, 2.6 * k, 4.2, 4.6, 0),
            Bump(side * 0.55 * sh, y["chest"] + 4, -2.0 * k, 2.0, 9, side * 18),
            Bump(side * 0.72 * sh, y["arm"] + 2, 1.8 * k, 3.2, 6, side * 12),
            Bump(
                side * 0.4 * p["neck_w"], y["neck"] - 4, -1.3 * k, 1.6, 11, side * -14
            ),
        ]
    return rows


def front_layers(s: Scene, drawing: Drawing) -> None:
    """Paint ribs, hind legs, body, forelegs and head, back to front."""
    heights = front_heights(s.dog)
    w = s.grain.contour
    reach = max(s.dog.params["foot_w"], s.dog.params["rear_foot_w"]) + 12
    drawing.ink(ground(-reach, reach, s.dog.seed, w))
    _behind(s, drawing)
    legs = [_foreleg(s, heights, side) for side in (-1.0, 1.0)]
    _body(s, drawing, heights, legs)
    for one in legs:
        _leg_layers(s, drawing, one, heights)
    face_layers(s, drawing)


def _behind(s: Scene, drawing: Drawing) -> None:
    """Ribs and hind legs, in shade."""
    p, m = s.dog.params, s.dog.side
    high, low = m["withers"][1] - 7, m["brisket"][1] + 2.5
    middle, tall = 0.5 * (high + low), 0.5 * (high - low)
    t = np.linspace(-np.pi / 2, np.pi / 2, 25)
    barrel = np.column_stack(
        [
            p["rib_w"] * np.abs(np.cos(t)) ** 0.62,
            middle + tall * np.sign(np.sin(t)) * np.abs(np.sin(t)) ** 0.62,
        ]
    )[::-1]
    for side in (-1.0, 1.0):
        one = hind_leg(s, rear_heights(s.dog), side)
        shape = np.vstack([one.outer, one.foot, one.inner[::-1]])
        drawing.shape(shape)
        drawing.ink(
            [
                shade(s, one.right, one.left, (0.36, 0.3)),
                shade(s, one.right, one.left, (0.2, -0.3)),
                *leg_outline(s, one, 0.3),
            ]
        )
    drawing.shape(np.vstack([barrel, mirrored(barrel)[::-1]]))
    drawing.ink(
        [
            shade(s, barrel, mirrored(barrel), (0.36, 0.0)),
            contour(barrel, 1.0, s.theme, s.grain.contour),
            contour(mirrored(barrel), -1.0, s.theme, s.grain.contour),
        ]
    )


def _clear_of_legs(
    elbow: float, height: float, floor: float
) -> Callable[[Spots], Array]:
    """Lines of the body die away where the forelegs stand before it, and at the chest's floor."""

    def presence(spot: Spots) -> Array:
        x, y = np.abs(spot.points[:, 0]), spot.points[:, 1]
        leg = smoothstep(elbow - 6.0, elbow - 3.5, x)
        clear = 1 - leg * smoothstep(0.0, 5.0, height - y)
        return np.asarray(clear * smoothstep(-0.5, 3.5, y - floor))

    return presence


def _body(s: Scene, drawing: Drawing, heights: Heights, legs: list[Leg]) -> None:
    p, m = s.dog.params, s.dog.side
    right = _body_line(s, heights, legs[1])
    floor = m["brisket"][1] - 0.3
    bottom = smooth(
        np.array(
            [
                right[-1],
                (0.98 * p["elbow_w"], floor + 2.6),
                (0.55 * p["elbow_w"], floor + 0.5),
                (0.0, floor),
            ]
        ),
        5,
    )
    edge = np.vstack([right, bottom[1:]])
    drawing.shape(np.vstack([edge, mirrored(edge)[::-1]]))
    patch = level_patch(
        edge[:-2], mirrored(edge)[:-2], 1.3, 0.17, _bumps(s, heights), 15
    )
    fade = _clear_of_legs(p["elbow_w"], float(heights(np.array(60.0))), floor)
    lines: Ink = []
    if s.coat.is_smooth:
        lines.append(rib_layer(s, "front", patch, 0.95 * s.grain.trunk, 25, fade))
    else:
        lines.append(
            hair_layer(
                s,
                "front",
                patch,
                0.9 * s.grain.trunk,
                fade,
                0,
                14,
                0.0,
                11,
            )
        )
    thin = s.grain.contour * (1.0 if s.coat.is_smooth else 0.7)
    lines += [
        contour(right, 1.0, s.theme, thin),
        contour(mirrored(right), -1.0, s.theme, thin),
        contour(
            np.vstack([bottom[4:], mirrored(bottom[4:])[::-1]]),
            1.0,
            s.theme,
            thin,
            (0.1, 0.1),
        ),
    ]
    for salt, line, side in ((31, right, 1.0), (32, mirrored(right), -1.0)):
        lines += edge_locks(s, "throat", line, side, (0.3, 0.5, 0.7, 0.5, 0.5), salt)
    across = np.vstack([bottom[6:], mirrored(bottom[6:])[::-1]])
    lines += edge_locks(s, "belly", across, 1.0, (0.4, 0.9, 0.9, 0.4), 33)
    drawing.ink(lines)


def _leg_layers(s: Scene, drawing: Drawing, one: Leg, heights: Heights) -> None:
    cut = int(0.22 * len(one.right))
    shape = np.vstack([one.outer[cut:], one.foot, one.inner[cut:][::-1]])
    drawing.shape(shape)
    top = float(heights(np.array(57.0)))
    bumps = [
        Bump(
            one.side * s.dog.params["carpus_w"],
            s.dog.side["carpus"][1],
            0.8,
            2.2,
            2.4,
            0,
        )
    ]
    p = level_patch(one.right, one.left, 1.25, 0.16, bumps)
    starts = fade_below(top, 7.0)
    ends = by_station((0, 1), (11, 1), (12, 0.3))

    def fade(spot: Spots) -> Array:
        return np.asarray(starts(spot) * ends(spot))

    lines: Ink = []
    if s.coat.clothes_legs:
        lines.append(
            hair_layer(
                s,
                "frontleg",
                p,
                1.15 * s.grain.leg,
                fade,
                1.5,
                10.5,
                0.0,
                12 + int(one.side),
            )
        )
    else:
        lines.append(rib_layer(s, "frontleg", p, s.grain.leg, 11, fade))
    lines += leg_outline(s, one, 0.24) + toe_lines(
        one, s.grain.contour, s.dog.params["toe_gap"]
    )
    lines += edge_locks(s, "elbow", one.outer[15:40], one.side, (0.3, 0.5, 0.3), 35)
    lines += edge_locks(s, "shin", one.outer[28:52], one.side, (0.6, 0.8, 0.5), 36)
    lines += edge_locks(s, "shin", one.inner[28:52], -one.side, (0.6, 0.8, 0.5), 37)
    drawing.ink(lines)
