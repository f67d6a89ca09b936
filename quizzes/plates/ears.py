"""Ears in profile: outline, folds and the lines that shade them, in head coordinates on a skull 20 long."""

from dataclasses import dataclass

import numpy as np

from .head import HeadShape
from .splines import Array, smooth


@dataclass(frozen=True)
class Ear:
    """Closed shapes back to front; inner edge lines; and the pairs of lines between which the ear is hatched."""

    outlines: list[Array]
    folds: list[Array]
    hatched: list[tuple[Array, Array, float]]
    far: Array | None


_Points = list[tuple[float, float]]
DROP_FRONT: _Points = [
    (7.6, -0.6),
    (9.4, -2.6),
    (10.3, -6.0),
    (10.4, -10.0),
    (9.5, -14.2),
    (7.6, -17.9),
]
DROP_TIP: _Points = [(7.6, -17.9), (5.9, -19.6), (4.0, -19.0)]
DROP_BACK: _Points = [
    (4.0, -19.0),
    (2.0, -16.0),
    (0.6, -12.0),
    (0.3, -8.2),
    (0.9, -4.6),
    (2.6, -1.6),
]
DROP_TOP: _Points = [(2.6, -1.6), (4.8, 0.1), (7.6, -0.6)]

SHORT_FRONT: _Points = [
    (10.4, 2.3),
    (11.6, -0.6),
    (12.4, -4.2),
    (12.6, -7.4),
    (12.2, -9.8),
]
SHORT_TIP: _Points = [(12.2, -9.8), (11.6, -10.7), (10.6, -10.2)]
SHORT_BACK: _Points = [(10.6, -10.2), (7.8, -7.8), (5.0, -5.0), (3.0, -2.2), (2.2, 0.4)]
SHORT_TOP: _Points = [(2.2, 0.4), (3.8, 3.0), (7.0, 3.7), (10.4, 2.3)]

PRICK_FRONT: _Points = [(8.2, -1.0), (8.0, 2.8), (6.3, 8.4), (3.6, 13.6)]
PRICK_BACK: _Points = [(3.6, 13.6), (0.6, 9.4), (-1.2, 3.8), (-1.3, -1.6), (0.4, -5.6)]
PRICK_BASE: _Points = [(0.4, -5.6), (3.6, -5.0), (6.8, -3.4), (8.2, -1.0)]
PRICK_INNER: _Points = [(3.6, 13.6), (3.4, 8.0), (3.2, 2.4), (2.8, -4.0)]

SEMI_FRONT: _Points = [(8.2, -1.0), (8.4, 2.4), (8.0, 5.4), (7.0, 7.9)]
SEMI_FOLD: _Points = [(7.0, 7.9), (4.4, 8.9), (2.0, 7.4)]
SEMI_BACK: _Points = [(2.0, 7.4), (-0.4, 4.4), (-1.5, 0.6), (-1.0, -3.2), (0.8, -5.4)]
SEMI_BASE: _Points = [(0.8, -5.4), (3.8, -5.0), (6.8, -3.4), (8.2, -1.0)]
FLAP_TOP: _Points = [(2.0, 7.4), (4.4, 8.9), (7.0, 7.9), (9.6, 5.0), (11.7, 0.3)]
FLAP_UNDER: _Points = [(11.7, 0.3), (9.6, 0.9), (6.4, 2.6), (3.6, 5.0), (2.0, 7.4)]


def _line(h: HeadShape, points: _Points, size: float) -> Array:
    """A curve in head coordinates, scaled with skull length about the ear's base."""
    scale = h.skull / 20 * size
    base = np.array([0.22 * h.skull, -1.0])
    local = (np.array(points) - (4.4, -1.0)) * scale + base
    return smooth(h.at(local), 5)


def _closed(*parts: Array) -> Array:
    return np.vstack([part[:-1] for part in parts])


def ear(h: HeadShape, kind: str, size: float) -> Ear:
    """The near ear of a kind: drop, drop-short, prick or semi-prick."""
    if kind == "drop":
        return _hanging(h, (DROP_FRONT, DROP_TIP, DROP_BACK, DROP_TOP), size)
    if kind == "drop-short":
        return _hanging(h, (SHORT_FRONT, SHORT_TIP, SHORT_BACK, SHORT_TOP), size)
    return _standing(h, size) if kind == "prick" else _tipped(h, size)


def _hanging(h: HeadShape, parts: tuple[_Points, ...], size: float) -> Ear:
    front, tip, back, top = (_line(h, part, size) for part in parts)
    outline = _closed(front, tip, back, top)
    fold = np.vstack(
        [
            top[0] + 0.32 * (front[2] - top[0]),
            0.5 * (top[len(top) // 2] + front[1]) - (0, 1.2),
            front[3],
        ]
    )
    return Ear(
        [outline],
        [fold],
        [(back, front[::-1], 0.06)],
        None,
    )


def _standing(h: HeadShape, size: float) -> Ear:
    front, back, base = (
        _line(h, part, size) for part in (PRICK_FRONT, PRICK_BACK, PRICK_BASE)
    )
    inner = _line(h, PRICK_INNER, size)
    far = _closed(front, back, base) - np.array((4.6 * h.skull / 20, -0.4))
    return Ear(
        [_closed(front, back, base)],
        [inner],
        [(front[::-1], inner, 0.42), (back, inner, 0.05)],
        far,
    )


def _tipped(h: HeadShape, size: float) -> Ear:
    parts = (SEMI_FRONT, SEMI_FOLD, SEMI_BACK, SEMI_BASE)
    front, fold, back, base = (_line(h, part, size) for part in parts)
    top, under = _line(h, FLAP_TOP, size), _line(h, FLAP_UNDER, size)
    far = _closed(front, fold, back, base) - np.array((4.6 * h.skull / 20, 0.2))
    hatched = [(back, front[::-1], 0.0), (top, under[::-1], 0.10)]
    return Ear(
        [_closed(front, fold, back, base), _closed(top, under)], [], hatched, far
    )
