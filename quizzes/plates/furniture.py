"""Small things that bring a plate to life: contours, eye, nose, mouth, ears, feet, ground."""

import numpy as np

from .engraving import Lines, noise, smoothstep
from .head import HeadShape
from .light import LIGHT
from .splines import Array, directions, even, resample, running, smooth
from .themes import Theme

_DOT = 0.28 * np.column_stack([np.cos(np.arange(6)), np.sin(np.arange(6))])
FLAT_LIGHT = LIGHT[:2] / np.linalg.norm(LIGHT[:2])


def contour(
    line: Array,
    outside: float,
    theme: Theme,
    weight: float,
    taper: tuple[float, float] = (0.0, 0.0),
    step: float = 1.6,
) -> Lines:
    """An outline that is thin towards the light and heavy away from it; tapers are shares of its length."""
    run = running(line)
    count = max(int(run[-1] / (step * max(weight, 1.0) ** 0.5)), 6)
    line = resample(line, count, run)
    d = directions(line)
    shade = outside * (d[:, 1] * FLAT_LIGHT[0] - d[:, 0] * FLAT_LIGHT[1])
    if theme.white_line:
        shade = -0.55 * shade
    heavy = 0.52 * np.minimum(np.maximum(0.3 + 0.7 * shade, 0), 1)
    wide = (0.24 + heavy) * (weight * theme.heavier)
    if taper != (0.0, 0.0):
        t = np.arange(len(line)) / (len(line) - 1)
        for end, share in zip((t, 1 - t), taper, strict=True):
            wide = wide * smoothstep(0, share, end) if share else wide
    return Lines.single(line, wide)


def stroke(
    points: Array | list[tuple[float, float]],
    wide: float,
    ends: tuple[float, float] = (0.0, 0.0),
) -> Lines:
    """A short curved stroke that swells in the middle."""
    line = smooth(points)
    t = even(0, 1, len(line))
    start, end = ends
    profile = np.where(
        t < 0.5,
        start + (1 - start) * np.sin(np.pi * t),
        end + (1 - end) * np.sin(np.pi * t),
    )
    return Lines.single(line, wide * profile)


def blob(centre: Array, wide: float, high: float, turn: float = 0.0) -> Array:
    """An ellipse as points."""
    t = even(0, 2 * np.pi, 13)[:-1]
    c, s = np.cos(turn), np.sin(turn)
    x, y = wide * np.cos(t), high * np.sin(t)
    return np.column_stack([centre[0] + c * x - s * y, centre[1] + s * x + c * y])


def eye(
    h: HeadShape, weight: float, theme: Theme
) -> tuple[list[tuple[str, Array]], list[Lines]]:
    """Fills (colour, shape) back to front, and lines."""
    size = h.eye_size * 1.02
    at = h.at(
        np.array([[0.875 * h.skull, -h.frame.stop - 3.1 * (0.5 + 0.5 * h.wide)]])
    )[0]
    c, s = np.cos(np.radians(h.frame.slope)), np.sin(np.radians(h.frame.slope))

    def place(points: list[tuple[float, float]]) -> Array:
        local = np.array(points) * size
        return np.column_stack(
            [
                at[0] - local[:, 0] * c - local[:, 1] * s,
                at[1] - local[:, 0] * s + local[:, 1] * c,
            ]
        )

    almond = smooth(
        np.vstack(
            [
                place(
                    [
                        (2.0, -0.6),
                        (1.2, 0.7),
                        (0, 1.2),
                        (-1.3, 0.8),
                        (-2.0, -0.1),
                        (-1.1, -0.95),
                        (0.4, -1.2),
                        (2.0, -0.6),
                    ]
                )
            ]
        )
    )
    spark = blob(
        place([(0.45, 0.42)])[0],
        0.34 * size * max(weight, 1) ** 0.5,
        0.32 * size * max(weight, 1) ** 0.5,
    )
    fills = [(theme.pitch, almond), (theme.light, spark)]
    lines = [
        stroke(
            place([(2.6, -1.0), (1.5, 0.65), (0, 1.3), (-1.5, 0.9), (-2.6, -0.3)]),
            0.62 * weight**0.5 * size,
            (0.5, 0.2),
        ),
        stroke(
            place([(1.9, 1.35), (0, 2.0), (-2.0, 1.35)]), 0.26 * weight**0.5, (0, 0)
        ),
        stroke(
            place([(2.2, -0.8), (0.4, -1.35), (-1.6, -0.95)]),
            0.25 * weight**0.5,
            (0.4, 0),
        ),
        stroke(
            place([(2.5, -1.1), (3.3, -2.0), (3.5, -2.9)]), 0.22 * weight**0.5, (0.8, 0)
        ),
    ]
    return fills, lines


def nose(h: HeadShape) -> tuple[Array, list[Lines]]:
    """The dark leather and its lights."""
    front = h.nose
    back = h.on_muzzle(np.array([[1.0, 0.0]]))[0]
    c, s = (
        np.cos(np.radians(h.frame.slope + h.frame.turn)),
        np.sin(np.radians(h.frame.slope + h.frame.turn)),
    )

    def place(points: list[tuple[float, float]]) -> Array:
        local = np.array(points)
        return np.column_stack(
            [
                back[0] - local[:, 0] * c - local[:, 1] * s,
                back[1] - local[:, 0] * s + local[:, 1] * c,
            ]
        )

    inner = place([(-1.1, -3.5), (-2.1, -2.2), (-1.9, -0.6)])
    leather = np.vstack([front, smooth(np.vstack([front[-1], inner, front[0]]))])
    lights = [
        stroke(place([(-0.9, -0.1), (-0.1, -0.35), (0.4, -1.0)]), 0.4, (0.2, 0.2))
    ]
    lights.append(
        stroke(place([(-1.3, -1.6), (-0.7, -2.3), (-0.1, -2.1)]), 0.3, (0.2, 0.2))
    )
    return leather, lights


def mouth(h: HeadShape, weight: float) -> list[Lines]:
    """The lip line with its fold; the corner lies inside the head."""
    corner = h.mouth[-1]
    fold = h.at(
        np.array(
            [
                [h.skull + 0.10 * h.muzzle, -h.frame.stop - 9.3 * h.deep],
                [h.skull + 0.11 * h.muzzle, -h.frame.stop - 10.2 * h.deep],
            ]
        )
    )
    return [
        stroke(h.mouth, 0.5 * weight**0.6, (0.8, 0.3)),
        stroke(np.vstack([corner, fold]), 0.3 * weight**0.6, (0.7, 0.0)),
    ]


def whiskers(h: HeadShape) -> list[Array]:
    """Small dots on the lip."""
    places = [
        (0.82, -4.4),
        (0.70, -4.6),
        (0.58, -5.2),
        (0.85, -5.5),
        (0.74, -5.8),
        (0.62, -6.4),
    ]
    dots = h.on_muzzle(np.array(places) * [1, h.deep / 1.12])
    return [dot + _DOT for dot in dots]


def toes(front: Array, scale: float, weight: float) -> tuple[list[Lines], list[Array]]:
    """Two lines between the toes and the nails, from the foot's own points (toe, on the ground)."""
    x, size = front[0], scale
    lines = [
        stroke(
            [
                (x + a * size, 5.4 * size**0.6),
                (x + (a - 1.5) * size, 3.4 * size**0.6),
                (x + (a - 1.2) * size, 0.5),
            ],
            0.34 * weight**0.7,
            (0.1, 0.8),
        )
        for a in (5.0, 8.3)
    ]
    nails = []
    for a in (-0.2, 3.1) if weight < 1.8 else ():
        tip = np.array([x + (a - 0.9) * size, 0.25])
        nails.append(
            np.array(
                [
                    tip,
                    [x + (a + 0.35) * size, 0.35],
                    [x + (a + 0.25) * size, 1.5 * size**0.6],
                ]
            )
        )
    return lines, nails


def ground(left: float, right: float, seed: int, weight: float) -> list[Lines]:
    """A few long swelling strokes on the ground, thickest under the feet."""
    row, place = np.divmod(np.arange(12), 3)
    dice = noise(36, seed, 31).reshape(3, 12)
    wide = (right - left) * (0.16 + 0.26 * dice[0]) * (1 - 0.13 * row)
    middle = left + (right - left) * (0.12 + 0.38 * place + 0.16 * (dice[1] - 0.5))
    along = even(-0.5, 0.5, 7)
    x = middle[:, None] + wide[:, None] * along
    y = (
        np.take((0.0, -0.9, -1.8, -2.9), row)[:, None]
        - 0.15
        + 0.12 * np.sin(np.arange(7) * 1.7 + 6 * dice[2][:, None])
    )
    swell = np.cos(np.pi * along) * (0.34 - 0.05 * row)[:, None] * weight**0.8
    return [Lines.rows(np.stack([x, y], axis=2), swell)]
