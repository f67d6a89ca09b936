"""The head from the front, and what shows of it from behind."""

from dataclasses import dataclass

import numpy as np

from .furniture import blob, contour, stroke
from .half import level_patch, mirrored
from .layers import Ink, Scene, by_station, edge_locks, hair_layer, rib_layer, shade
from .light import Bump
from .splines import Array, smooth
from .svg import Drawing

# Right-hand outline of the face: half-width as share of skull (first) and of muzzle (second), and height.
_OUTLINE = (
    (0.0, 0.0, 14.2),
    (0.34, 0.0, 13.9),
    (0.66, 0.0, 12.7),
    (0.92, 0.0, 9.8),
    (1.0, 0.0, 6.2),
    (0.95, 0.0, 3.0),
    (0.62, 0.30, -0.4),
    (0.28, 0.70, -3.6),
    (0.0, 1.03, -7.0),
    (0.0, 1.0, -10.0),
    (0.0, 0.80, -12.2),
    (0.0, 0.42, -13.5),
    (0.0, 0.0, -13.8),
)


@dataclass(frozen=True)
class Face:
    """Scales of a head seen from the front; heights count from between eye and nose."""

    skull: float
    muzzle: float
    tall: float
    centre: float

    def at(self, points: list[tuple[float, float]]) -> Array:
        """Face coordinates of the neutral head to the plate."""
        p = np.array(points)
        wide = np.interp(p[:, 1], [-6, 4], [self.muzzle / 4.5, self.skull / 7.5])
        return np.column_stack([p[:, 0] * wide, self.centre + self.tall * p[:, 1]])


def face(s: Scene) -> Face:
    """The scales for a dog: the head is shown carried a little low, so that nose and eyes do not fall together."""
    p = s.dog.params
    tall = (
        0.5 * (p["skull_d"] / 20 + p["muz_d"] / 11.2) * (0.6 + 0.4 * p["head_len"] / 40)
    )
    return Face(
        p["skull_w"],
        p["muzzle_w"] * (1 - 0.5 * p["snipe"]),
        tall,
        s.dog.side["occiput"][1] - 13.2 * tall,
    )


def _outline(f: Face) -> Array:
    rows = np.array(_OUTLINE)
    x = rows[:, 0] * f.skull + rows[:, 1] * f.muzzle
    return smooth(np.column_stack([x, f.centre + f.tall * rows[:, 2]]), 5)


def _bumps(f: Face) -> list[Bump]:
    t = f.tall
    rows = [
        Bump(0, f.centre - 1.5 * t, 1.6, 1.6, 6 * t, 0),
        Bump(0, f.centre + 9 * t, -1.0, 0.9, 4.5 * t, 0),
    ]
    for side in (-1.0, 1.0):
        k = f.skull / 7.5
        rows += [
            Bump(side * 3.3 * k, f.centre + 7.6 * t, 1.3, 2.2, 1.3, side * 14),
            Bump(side * 3.5 * k, f.centre + 4.0 * t, -1.4, 1.9, 1.6, 0),
            Bump(side * 5.8 * k, f.centre + 2.0 * t, 1.2, 1.8, 2.6, side * -24),
            Bump(side * 2.6 * f.muzzle / 4.5, f.centre - 8.0 * t, 1.5, 1.7, 3.0, 0),
            Bump(side * 1.9 * k, f.centre + 0.5 * t, -0.9, 0.9, 4.0, side * 10),
        ]
    return rows


def face_layers(s: Scene, drawing: Drawing) -> None:
    """Far parts of the ears, the face, its features, and hanging ears last."""
    f = face(s)
    right = _outline(f)
    hanging = s.dog.breed.ear in ("drop", "drop-short")
    if not hanging:
        _ears(s, drawing, f)
    drawing.shape(np.vstack([right, mirrored(right)[::-1]]))
    p = level_patch(right, mirrored(right), 1.7, 0.12, _bumps(f), 15)
    lines: Ink = []
    if s.coat.is_smooth or not s.coat.face:
        lines.append(
            rib_layer(s, "face", p, s.grain.head, 21, by_station((0, 1), (14, 1)))
        )
    else:
        lines.append(
            hair_layer(
                s,
                "face",
                p,
                1.1 * s.grain.head,
                by_station((1.8, 0), (2.6, 0.6), (5, 0.7), (8.4, 0)),
                0.9,
                9,
                0.0,
                19,
            )
        )
        lines.append(
            rib_layer(
                s,
                "face",
                p,
                s.grain.head,
                17,
                by_station((6.5, 0), (9, 1), (14, 1)),
                6.5,
            )
        )
    w = s.grain.contour
    lines += [
        contour(right, 1.0, s.theme, w, (0.05, 0.0), 1.0),
        contour(mirrored(right), -1.0, s.theme, w, (0.05, 0.0), 1.0),
    ]
    drawing.ink(lines)
    _features(s, drawing, f)
    if s.coat.face:
        chin = np.vstack([right[-22:], mirrored(right)[-22:][::-1]])
        brows = [
            smooth(f.at([(side * 5.2, 6.6), (side * 3.5, 7.5), (side * 1.9, 7.0)]))
            for side in (-1.0, 1.0)
        ]
        drawing.ink(edge_locks(s, "throat", chin, 1.0, (0.6, 0.9, 0.9, 0.6), 51))
        for k, brow in enumerate(brows):
            drawing.ink(
                edge_locks(s, "leg", brow, 1.0 if k else -1.0, (0.5, 0.8, 0.5), 52 + k)
            )
    if hanging:
        _ears(s, drawing, f)


def _features(s: Scene, drawing: Drawing, f: Face) -> None:
    w, t = s.grain.contour, s.theme
    size = s.dog.params["eye_size"]
    lines: Ink = []
    sparks = []
    for side in (-1.0, 1.0):
        centre = f.at([(side * 3.45, 4.6)])[0]
        shape = np.array(
            [
                (-1.75, -0.35),
                (-0.9, 0.55),
                (0.1, 0.95),
                (1.1, 0.6),
                (1.85, 0.15),
                (0.9, -0.7),
                (-0.2, -0.85),
                (-1.75, -0.35),
            ]
        )
        almond = centre + smooth(shape * (side * size * f.skull / 7.5, size * f.tall))
        if s.coat.face:
            # Hair parts around the eye, or its strokes would run through it.
            drawing.fill(t.leaf, centre + 1.5 * (almond - centre))
        drawing.fill(t.pitch, almond)
        sparks.append(
            blob(np.add(centre, (-0.35, 0.35 * size)), 0.3 * w**0.5, 0.3 * w**0.5)
        )
        lid = [
            (side * 5.6, 4.3),
            (side * 4.4, 5.5),
            (side * 3.2, 5.7),
            (side * 2.2, 5.1),
            (side * 1.5, 3.9),
        ]
        lines += [
            stroke(f.at(lid), 0.5 * w**0.5, (0.2, 0.6)),
            stroke(
                f.at(
                    [
                        (side * 5.9, 1.6),
                        (side * 4.9, -0.6),
                        (side * 4.0, -2.6),
                        (side * 3.7, -4.6),
                        (side * 4.3, -6.6),
                    ]
                ),
                0.4 * w**0.5,
                (0.0, 0.3),
            ),
            stroke(
                f.at(
                    [
                        (side * 1.5, 3.9),
                        (side * 1.75, 2.0),
                        (side * 1.9, -1.0),
                        (side * 1.75, -4.0),
                    ]
                ),
                0.24 * w**0.5,
                (0.5, 0.1),
            ),
            stroke(
                f.at(
                    [
                        (side * 0.15, -8.5),
                        (side * 1.2, -9.9),
                        (side * 2.7, -10.3),
                        (side * 3.8, -9.2),
                        (side * 4.3, -7.2),
                    ]
                ),
                0.42 * w**0.5,
                (0.8, 0.1),
            ),
        ]
    lines.append(
        stroke(f.at([(0, -6.9), (0.02, -7.8), (0, -8.6)]), 0.34 * w**0.5, (0.8, 0.8))
    )
    lines.append(stroke(f.at([(-1.9, -11.6), (0, -11.95), (1.9, -11.6)]), 0.3 * w**0.5))
    leather = f.at(
        [
            (0, -3.9),
            (1.4, -3.9),
            (2.5, -4.5),
            (2.6, -5.5),
            (1.6, -6.4),
            (0.6, -7.0),
            (0, -7.2),
        ]
    )
    half = smooth(leather, 4)
    drawing.fill(t.pitch, np.vstack([half, mirrored(half)[::-1]]))
    shine = [
        stroke(f.at([(-1.3, -4.35), (0, -4.2), (1.2, -4.4)]), 0.34 * w**0.4, (0.1, 0.1))
    ]
    shine += [
        stroke(
            f.at([(side * 0.75, -5.4), (side * 1.3, -5.1), (side * 1.7, -5.5)]),
            0.26,
            (0.2, 0.1),
        )
        for side in (-1.0, 1.0)
    ]
    drawing.shine(shine)
    for spark in sparks:
        drawing.fill(t.light, spark)
    drawing.ink(lines, 0.02)


# Ears from the front: outer edge down to the tip, then the inner edge back up, in face coordinates.
_EARS = {
    "drop": (
        [(4.6, 12.2), (7.6, 12.6), (10.0, 9.8), (11.2, 5.0), (11.0, -0.4), (9.4, -4.2)],
        [(9.4, -4.2), (7.8, -3.4), (7.0, 0.6), (7.0, 5.2), (6.6, 9.0), (4.6, 12.2)],
    ),
    "drop-short": (
        [(3.6, 13.0), (6.2, 15.0), (8.8, 13.6), (10.3, 9.8), (10.2, 5.6), (8.9, 2.6)],
        [(8.9, 2.6), (7.5, 4.6), (6.2, 7.6), (4.8, 10.6), (3.6, 13.0)],
    ),
    "prick": (
        [(8.0, 9.0), (9.4, 14.5), (9.0, 20.5), (7.9, 26.0)],
        [(7.9, 26.0), (4.8, 21.5), (2.6, 16.6), (1.8, 12.0)],
    ),
    "semi-prick": (
        [(7.6, 9.4), (9.2, 12.5), (10.2, 16.6)],
        [(10.2, 16.6), (7.4, 18.2), (4.6, 17.2), (2.6, 12.4)],
    ),
}
_FLAP = [
    (10.2, 16.6),
    (7.4, 18.2),
    (4.6, 17.2),
    (5.8, 14.0),
    (7.9, 11.0),
    (9.4, 13.8),
    (10.2, 16.6),
]


def _ears(s: Scene, drawing: Drawing, f: Face) -> None:
    w = s.grain.contour
    kind = s.dog.breed.ear
    for side in (-1.0, 1.0):
        outer, inner = (
            smooth(f.at([(side * x, y) for x, y in part])) for part in _EARS[kind]
        )
        drawing.shape(np.vstack([outer, inner]))
        right, left = (outer, inner[::-1]) if side > 0 else (inner[::-1], outer)
        p = level_patch(right, left, 1.3, 0.12, [], 7)
        lines: Ink = [
            rib_layer(s, "ear", p, s.grain.head, 9, by_station((0, 1), (6, 1)))
        ]
        lines += [
            contour(
                outer,
                side if kind.startswith("drop") else -side,
                s.theme,
                w,
                (0, 0),
                1.0,
            ),
            contour(
                inner,
                side if kind.startswith("drop") else -side,
                s.theme,
                w,
                (0, 0.1),
                1.0,
            ),
        ]
        if kind.startswith("drop"):
            lines += edge_locks(s, "leg", outer[6:], side, (0.3, 0.8, 1), 55)
        drawing.ink(lines)
        if kind == "semi-prick":
            flap = smooth(f.at([(side * x, y) for x, y in _FLAP]), 4)
            drawing.shape(flap)
            half = len(flap) // 2
            a, b = flap[:half], flap[half:][::-1]
            drawing.ink(
                [
                    shade(s, a, b, (0.24, 0.3)),
                    contour(flap, 1.0 if side < 0 else -1.0, s.theme, w, (0, 0), 1.0),
                ]
            )


def head_behind(s: Scene, drawing: Drawing) -> None:
    """Neck, skull and ears seen beyond the quarters from behind, lightly shaded."""
    f = face(s)
    p, m = s.dog.params, s.dog.side
    n = p["neck_w"] * (0.5 + 0.5 * p["neck_th"])
    top, low = m["occiput"][1], m["withers"][1] - 6
    neck = smooth(
        np.array(
            [
                (0.8 * n, top - 8),
                (0.9 * n, 0.5 * (top + low)),
                (1.0 * n, low + 8),
                (1.05 * n, low - 4),
            ]
        ),
        5,
    )
    w = 0.8 * s.grain.contour
    _ears(s, drawing, f)
    skull = _outline(f)[: 5 * 6]
    for line in (skull, neck):
        drawing.shape(np.vstack([line, mirrored(line)[::-1]]))
        drawing.ink(
            [
                shade(s, line, mirrored(line), (0.2, 0.0)),
                contour(line, 1.0, s.theme, w),
                contour(mirrored(line), -1.0, s.theme, w),
            ]
        )
