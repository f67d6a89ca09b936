"""The dog seen from above, head to the left, on the side view's own x."""

import numpy as np

from .furniture import blob, contour, stroke
from .layers import Ink, Scene, by_station, edge_locks, hair_layer, rib_layer
from .light import Bump
from .patches import between
from .splines import Array, smooth
from .surface import tail_patch_along
from .svg import Drawing


def _half(s: Scene) -> tuple[Array, float, float]:
    """The upper outline from the nose to the buttock, and where the skull ends and the body begins."""
    p, m = s.dog.params, s.dog.side
    x = {
        name: m[name][0]
        for name in (
            "nose",
            "stop_low",
            "occiput",
            "withers",
            "back_mid",
            "loin_mid",
            "hip_joint",
            "point_of_buttock",
            "eye",
        )
    }
    n = p["neck_w"] * (0.5 + 0.5 * p["neck_th"])
    muzzle = p["muzzle_w"] * (1 - 0.5 * p["snipe"])
    span = x["withers"] - x["occiput"]
    rows = [
        (x["nose"] - 0.6, 0.0),
        (x["nose"] - 0.2, 0.42 * muzzle),
        (x["nose"] + 1.8, 0.78 * muzzle),
        (0.5 * (x["nose"] + x["stop_low"]), 0.95 * muzzle),
        (x["stop_low"] + 0.6, 1.12 * muzzle),
        (0.6 * x["stop_low"] + 0.4 * x["occiput"], p["skull_w"]),
        (0.22 * x["stop_low"] + 0.78 * x["occiput"], 0.93 * p["skull_w"]),
        (x["occiput"] + 0.10 * span, 0.80 * n),
        (x["occiput"] + 0.45 * span, 0.80 * n),
        (x["occiput"] + 0.75 * span, 0.95 * n),
        (x["withers"] - 1.0, 0.6 * n + 0.55 * p["shoulder_w"]),
        (x["withers"] + 5.0, 0.75 * 1.2 * p["shoulder_w"] + 0.25 * p["rib_w"]),
        (x["back_mid"], p["rib_w"]),
        (
            0.45 * x["back_mid"] + 0.55 * x["loin_mid"],
            0.55 * p["rib_w"] + 0.45 * p["loin_w"],
        ),
        (x["loin_mid"], p["loin_w"]),
        (0.5 * (x["loin_mid"] + x["hip_joint"]), 0.4 * p["loin_w"] + 0.6 * p["hip_w"]),
        (x["hip_joint"], 1.04 * p["hip_w"]),
        (x["point_of_buttock"] - 3.5, 0.66 * p["hip_w"]),
        (x["point_of_buttock"] - 0.4, 0.3 * p["hip_w"]),
        (x["point_of_buttock"] + 0.3, 0.0),
    ]
    return smooth(np.array(rows), 6), x["occiput"], x["withers"]


def _bumps(s: Scene) -> list[Bump]:
    p, m = s.dog.params, s.dog.side
    k = p["muscle"] / 1.3
    rows = [Bump(0.5 * (m["back_mid"][0] + m["loin_mid"][0]), 0, 1.0 * k, 30, 1.3, 0)]
    for side in (-1.0, 1.0):
        rows += [
            Bump(m["withers"][0] + 2, side * 4.0, 1.6 * k, 7, 2.0, side * -14),
            Bump(m["withers"][0] + 12, side * 7.5, -1.2 * k, 3.0, 6, side * 20),
            Bump(m["loin_mid"][0], side * 0.85 * p["loin_w"], -1.6 * k, 6, 3.0, 0),
            Bump(m["ilium"][0] + 2, side * 0.62 * p["hip_w"], 1.8 * k, 3.0, 2.4, 0),
            Bump(m["hip_joint"][0], side * 0.75 * p["hip_w"], 1.8 * k, 5.0, 3.4, 0),
            Bump(m["occiput"][0] - 11, side * 0.5 * p["skull_w"], -0.8, 4, 1.6, 0),
        ]
    return rows


def top_layers(s: Scene, drawing: Drawing) -> None:
    """Paint tail, body and head from above."""
    line, _, _ = _half(s)
    _tail(s, drawing)
    lower = line * (1.0, -1.0)
    drawing.shape(np.vstack([line, lower[::-1]]))
    sags = [(0, -0.1), (10, 0.14), (30, 0.12)]
    p = between(line, lower, 31, 1.7, sags, _bumps(s))
    lines: Ink = []
    if s.coat.is_smooth:
        lines.append(
            rib_layer(
                s, "top", p, 0.9 * s.grain.trunk, 19, by_station((0, 1), (30, 1)), 0.6
            )
        )
    else:
        lines.append(
            rib_layer(
                s,
                "top",
                p,
                s.grain.head,
                13,
                by_station((0, 1), (5, 1), (7, 0)),
                0.6,
                7,
            )
        )
        lines.append(
            hair_layer(
                s,
                "top",
                p,
                0.95 * s.grain.trunk,
                by_station((5, 0), (7, 1), (30, 1)),
                5,
                29.6,
                0.0,
                61,
            )
        )
    thin = s.grain.contour * (1.0 if s.coat.is_smooth else 0.75)
    lines += [
        contour(line, -1.0 if line[0, 0] > line[-1, 0] else 1.0, s.theme, thin),
        contour(lower, 1.0 if line[0, 0] > line[-1, 0] else -1.0, s.theme, thin),
    ]
    n = len(line)
    for k, (edge, side) in enumerate(((line, 1.0), (lower, -1.0))):
        lines += edge_locks(
            s,
            "crest",
            edge[int(0.38 * n) : int(0.55 * n)],
            side,
            (0.4, 0.8, 0.8),
            62 + k,
        )
        lines += edge_locks(
            s,
            "rump",
            edge[int(0.55 * n) : int(0.97 * n)],
            side,
            (0.7, 0.8, 0.8, 0.7),
            64 + k,
        )
    drawing.ink(lines)
    _head(s, drawing)


def _head(s: Scene, drawing: Drawing) -> None:
    p, m, w = s.dog.params, s.dog.side, s.grain.contour
    nose, stop, occiput = m["nose"][0], m["stop_low"][0], m["occiput"][0]
    tip = blob(np.array([nose + 0.5, 0.0]), 1.25, 0.42 * p["muzzle_w"])
    drawing.fill(s.theme.pitch, tip)
    lines: Ink = [
        stroke([(stop - 1, 0), (stop + 4, 0.02), (stop + 9, 0)], 0.3 * w**0.5)
    ]
    for side in (-1.0, 1.0):
        eye = np.array([stop + 2.6, side * 0.72 * p["skull_w"]])
        drawing.fill(s.theme.pitch, blob(eye, 1.3, 0.55, side * 0.5))
        lines.append(
            stroke(
                [
                    (eye[0] - 1.8, eye[1] - side * 0.5),
                    (eye[0], eye[1] - side * 0.9),
                    (eye[0] + 2.0, eye[1] - side * 0.2),
                ],
                0.34 * w**0.5,
            )
        )
        _ear(s, drawing, occiput, side)
    drawing.ink(lines)


_EAR_SHAPES = {
    "drop": [
        (-9.5, 0.62),
        (-9.0, 1.0),
        (-6.5, 1.5),
        (-3.0, 1.62),
        (-1.2, 1.3),
        (-2.0, 0.9),
        (-4.0, 0.66),
    ],
    "drop-short": [
        (-9.0, 0.55),
        (-10.5, 0.95),
        (-10.0, 1.35),
        (-7.0, 1.42),
        (-3.6, 1.15),
        (-2.4, 0.75),
        (-4.0, 0.5),
    ],
    "prick": [
        (-8.5, 0.45),
        (-8.8, 0.8),
        (-6.6, 1.12),
        (-3.6, 1.05),
        (-2.6, 0.7),
        (-4.0, 0.42),
    ],
    "semi-prick": [
        (-8.5, 0.45),
        (-10.4, 0.85),
        (-8.0, 1.25),
        (-4.0, 1.1),
        (-2.6, 0.7),
        (-4.0, 0.42),
    ],
}


def _ear(s: Scene, drawing: Drawing, occiput: float, side: float) -> None:
    skull = s.dog.params["head_len"] * (1 - s.dog.params["muzzle"]) / 20
    rows = [
        (occiput + a * skull, side * b * s.dog.params["skull_w"])
        for a, b in _EAR_SHAPES[s.dog.breed.ear]
    ]
    shape = smooth(np.array([*rows, rows[0]]), 5)
    drawing.shape(shape)
    half = len(shape) // 2
    p = between(shape[: half + 1], shape[half:][::-1], 7, 1.3, [(0, 0.1), (6, 0.1)])
    lines: Ink = [rib_layer(s, "ear", p, s.grain.head, 7, by_station((0, 1), (6, 1)))]
    lines.append(contour(shape, side, s.theme, s.grain.contour, (0, 0), 1.0))
    drawing.ink(lines)


def _tail(s: Scene, drawing: Drawing) -> None:
    # a tail carried over the back is shown drawn out behind, or it would hide the back
    axis = s.shape.tail_axis
    reach = max(axis[:, 0].max() - axis[0, 0], 0.35 * s.dog.params["tail_len"])
    along = np.linspace(axis[0, 0], axis[0, 0] + reach, len(axis))
    flat = np.column_stack([along, 0.9 * np.sin(np.linspace(0, 3.0, len(axis)))])
    p = tail_patch_along(flat, s.shape.tail_radius * np.linspace(0.9, 0.7, len(axis)))
    drawing.shape(np.vstack([p.upper, p.lower[::-1]]))
    lines: Ink = []
    everywhere = by_station((0, 1), (12, 1))
    if s.coat.is_smooth:
        lines.append(rib_layer(s, "tail", p, 0.8 * s.grain.leg, 7, everywhere))
    else:
        lines.append(
            hair_layer(s, "tail", p, 0.8 * s.grain.leg, everywhere, 0, 12, 0.0, 66)
        )
    lines += [
        contour(p.upper, 1.0, s.theme, s.grain.contour),
        contour(p.lower, -1.0, s.theme, s.grain.contour),
    ]
    lines += edge_locks(s, "tail", p.upper, 1.0, (0.3, 0.8, 0.8, 0.5), 67) + edge_locks(
        s, "tail", p.lower, -1.0, (0.3, 0.8, 0.8, 0.5), 68
    )
    drawing.ink(lines)
