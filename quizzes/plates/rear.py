"""The dog seen from behind."""

import numpy as np

from .face import head_behind
from .furniture import contour, ground
from .half import (
    Heights,
    Leg,
    leg,
    level_patch,
    mirrored,
    rear_heights,
    toe_lines,
)
from .layers import Ink, Scene, by_station, edge_locks, hair_layer, rib_layer, shade
from .light import Bump
from .splines import Array, smooth
from .surface import tail_patch_along
from .svg import Drawing


def _rows(s: Scene, heights: Heights) -> tuple[Array, Array]:
    """Outer and inner boundary of the right hind leg, from the croup down."""
    p = s.dog.params
    thigh, stifle, hock, foot = (
        p[name] for name in ("thigh_out_w", "stifle_w", "hock_w", "rear_foot_w")
    )
    b = p["bone"]
    lower = [0.65 * hock + 0.35 * foot, 0.35 * hock + 0.65 * foot, foot]
    outer = [
        (62, thigh),
        (54, 0.5 * (thigh + stifle)),
        (48, stifle),
        (40.5, 0.62 * stifle + 0.36 * (hock + 2.2 * b)),
    ]
    outer += [(33, hock + 2.2 * b), (26.8, hock + 2.3 * b), (21.8, hock + 2.1 * b)]
    outer += [(y, x + 2.0 * b) for y, x in zip((16.0, 11.0, 7.0), lower, strict=True)]
    inner = [
        (62, 0.8),
        (54, max(0.2 * hock, 0.9)),
        (48, 0.42 * hock),
        (40.5, 0.66 * hock - 0.6),
        (33, hock - 2.3 * b),
    ]
    inner += [(26.8, hock - 2.3 * b), (21.8, hock - 2.1 * b)]
    inner += [(y, x - 2.0 * b) for y, x in zip((16.0, 11.0, 7.0), lower, strict=True)]
    pairs = []
    for rows in (outer, inner):
        table = np.array(rows)
        pairs.append(np.column_stack([table[:, 1], heights(table[:, 0])]))
    return pairs[0], pairs[1]


def hind_leg(s: Scene, heights: Heights, side: float) -> Leg:
    """A hind leg from the thigh down."""
    p = s.dog.params
    outer, inner = _rows(s, heights)
    foot = (p["rear_foot_w"], 3.0 * p["foot"], 5.4 * p["foot"] ** 0.6, p["rear_turn"])
    return leg(outer, outer, inner, foot, side, back=True)


def rear_layers(s: Scene, drawing: Drawing) -> None:
    """Paint neck and head beyond, ribs, quarters, legs and tail."""
    heights = rear_heights(s.dog)
    w = s.grain.contour
    reach = s.dog.params["rear_foot_w"] + 13
    drawing.ink(ground(-reach, reach, s.dog.seed, w))
    head_behind(s, drawing)
    _beyond(s, drawing)
    legs = [hind_leg(s, heights, side) for side in (-1.0, 1.0)]
    _quarters(s, drawing, heights, legs)
    _tail(s, drawing)


def _beyond(s: Scene, drawing: Drawing) -> None:
    """Ribs and belly beyond the quarters."""
    p, m = s.dog.params, s.dog.side
    high, low = m["withers"][1] - 7, m["brisket"][1] - 0.5
    t = np.linspace(np.pi / 2, -np.pi / 2, 25)
    barrel = np.column_stack(
        [
            p["rib_w"] * np.abs(np.cos(t)) ** 0.62,
            0.5 * (high + low)
            + 0.5 * (high - low) * np.sign(np.sin(t)) * np.abs(np.sin(t)) ** 0.62,
        ]
    )
    drawing.shape(np.vstack([barrel, mirrored(barrel)[::-1]]))
    w = 0.8 * s.grain.contour
    drawing.ink(
        [
            shade(s, barrel, mirrored(barrel), (0.36, 0.0)),
            contour(barrel, 1.0, s.theme, w),
            contour(mirrored(barrel), -1.0, s.theme, w),
        ]
    )


def _bumps(s: Scene, heights: Heights) -> list[Bump]:
    p, k = s.dog.params, s.dog.params["muscle"] / 1.3

    def y(at: float) -> float:
        return float(heights(np.array(at)))

    rows = [Bump(0, y(70), -2.4 * k, 1.8, 14, 0)]
    for side in (-1.0, 1.0):
        rows += [
            Bump(side * 0.62 * p["hip_w"], y(90), 1.6 * k, 3.2, 3.4, 0),
            Bump(side * 0.34 * p["hip_w"], y(79), 1.4 * k, 2.0, 2.4, 0),
            Bump(side * 0.62 * p["thigh_out_w"], y(66), 3.6 * k, 5.5, 10, side * -4),
            Bump(side * 0.95 * p["stifle_w"], y(50), 1.0 * k, 2.6, 4.4, 0),
            Bump(side * (p["hock_w"] + 0.2), y(33), -0.9, 0.8, 5.0, 0),
        ]
    return rows


def _quarters(s: Scene, drawing: Drawing, heights: Heights, legs: list[Leg]) -> None:
    p = s.dog.params
    hip = p["hip_w"]
    top = [
        (97.4, 0.0),
        (97.0, 3.2),
        (95.4, 7.0),
        (91.5, 0.8 * hip + 0.4),
        (86, 0.94 * hip),
        (80, hip),
        (71, 0.5 * hip + 0.5 * p["thigh_out_w"]),
    ]
    rows = np.array(top)
    upper = np.column_stack([rows[:, 1], heights(rows[:, 0])])
    for one in legs:
        outer = smooth(np.vstack([upper, _rows(s, heights)[0]]) * (one.side, 1.0), 5)
        crotch = np.array(
            [
                (0.0, upper[0, 1]),
                (0.0, heights(np.array(80.0))),
                (0.2 * one.side, heights(np.array(68.0))),
            ]
        )
        inner = smooth(np.vstack([crotch, _rows(s, heights)[1] * (one.side, 1.0)]), 5)
        shape = np.vstack([outer, one.foot[1:], inner[::-1]])
        drawing.shape(shape)
        _quarter_ink(s, drawing, one, outer, inner, heights)


def _quarter_ink(
    s: Scene, drawing: Drawing, one: Leg, outer: Array, inner: Array, heights: Heights
) -> None:
    right, left = (outer, inner) if one.side > 0 else (inner, outer)
    p = level_patch(right, left, 1.25, 0.12, _bumps(s, heights), 21)
    lines: Ink = []
    if s.coat.is_smooth:
        lines.append(
            rib_layer(
                s,
                "rear",
                p,
                0.9 * s.grain.trunk,
                17,
                by_station((0, 1), (19, 1), (20, 0.3)),
            )
        )
    else:
        lines.append(
            hair_layer(
                s,
                "rear",
                p,
                0.95 * s.grain.trunk,
                by_station((0.8, 0.4), (2, 1), (11, 1), (13, 0)),
                0.9,
                13,
                0.0,
                15 + int(one.side),
            )
        )
        lines.append(
            rib_layer(
                s,
                "rear",
                p,
                s.grain.leg,
                9,
                by_station((10.5, 0), (13, 1), (19, 1), (20, 0.3)),
                10.5,
            )
        )
    w = s.grain.contour
    start = int(0.30 * len(inner))
    lines += [
        contour(outer, one.side, s.theme, w),
        contour(inner[start:], -one.side, s.theme, w, (0.06, 0.0)),
        contour(one.foot, -one.side, s.theme, w, (0, 0), 0.8),
        *toe_lines(one, w, 0.0),
    ]
    n = len(outer)
    lines += edge_locks(
        s, "rump", outer[int(0.1 * n) : int(0.35 * n)], one.side, (0.4, 0.7, 0.8), 41
    )
    lines += edge_locks(
        s, "breech", outer[int(0.35 * n) : int(0.62 * n)], one.side, (0.5, 0.6, 0.2), 42
    )
    lines += edge_locks(
        s,
        "breech",
        inner[start : start + int(0.25 * n)],
        -one.side,
        (0.3, 0.7, 0.4, 0.1),
        43,
    )
    drawing.ink(lines)


def _tail(s: Scene, drawing: Drawing) -> None:
    """The tail hangs in the middle, or stands up as the dog carries it; seen end on it is foreshortened."""
    line = s.shape.tail_axis
    root = s.dog.side["tail_set"][1] + 1.0
    hangs = root - line[:, 1].min() > line[:, 1].max() - root
    end = min(line[-1, 1], root - 8) if hangs else max(line[:, 1].max(), root + 8)
    sway = 0.9 * np.sin(np.linspace(0, 2.6, len(line)))
    axis = np.column_stack([sway, np.linspace(root, end, len(line))])
    thick = np.interp(np.arange(len(line)), [0, 4], [0.45, 0.95])
    p = tail_patch_along(axis, s.shape.tail_radius * thick)
    drawing.shape(np.vstack([p.upper, p.lower[::-1]]))
    lines: Ink = []
    everywhere = by_station((0, 0.3), (1.5, 1), (12, 1))
    if s.coat.is_smooth:
        lines.append(rib_layer(s, "tail", p, 0.8 * s.grain.leg, 7, everywhere))
    else:
        lines.append(
            hair_layer(s, "tail", p, 0.8 * s.grain.leg, everywhere, 0, 12, 0.0, 17)
        )
    thin = s.grain.contour * (0.6 if "undertail" in s.coat.edges else 1.0)
    lines += [
        contour(p.upper, 1.0, s.theme, thin, (0.1, 0)),
        contour(p.lower, -1.0, s.theme, thin, (0.1, 0)),
    ]
    lines += edge_locks(s, "tail", p.lower, -1.0, (0.2, 0.8, 1, 0.9, 0.6), 45)
    lines += edge_locks(s, "tail", p.upper, 1.0, (0.2, 0.8, 1, 0.9, 0.6), 46)
    drawing.ink(lines)
