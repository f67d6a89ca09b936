"""Curves as constant matrices: samples = matrix @ points.

The knots are frozen once, on the neutral dog, so a curve stays linear in its points and costs one multiplication.
"""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def knots(points: Array) -> Array:
    """Centripetal knot values of a row of points (n, 2)."""
    steps = np.sqrt(np.hypot(*np.diff(points, axis=0).T))
    return np.concatenate([[0.0], np.cumsum(np.maximum(steps, 1e-6))])


def matrix(t: Array, per_span: int) -> Array:
    """Matrix of the Catmull-Rom curve with knots t, `per_span` samples to a span, ends included.

    Barry, P. J. & Goldman, R. N. (1988). A recursive evaluation algorithm for a class of Catmull-Rom splines.
    SIGGRAPH 22(4), 199-204. The first and last point are mirrored to give the end spans their outer neighbours.
    """
    n = len(t)
    eye = np.eye(n)
    points = np.vstack([2 * eye[0] - eye[1], eye, 2 * eye[-1] - eye[-2]])
    t = np.concatenate([[2 * t[0] - t[1]], t, [2 * t[-1] - t[-2]]])
    rows = [_span(points[i : i + 4], t[i : i + 4], per_span) for i in range(n - 1)]
    return np.vstack([*rows, eye[-1:]])


def _span(p: Array, t: Array, count: int) -> Array:
    x = np.linspace(t[1], t[2], count, endpoint=False)[:, None]

    def mix(a: Array, b: Array, low: float, high: float) -> Array:
        return (high - x) / (high - low) * a + (x - low) / (high - low) * b

    a1, a2, a3 = (mix(p[i], p[i + 1], t[i], t[i + 1]) for i in range(3))
    b1, b2 = mix(a1, a2, t[0], t[2]), mix(a2, a3, t[1], t[3])
    return mix(b1, b2, t[1], t[2])


@lru_cache(maxsize=64)
def _even(count: int, per_span: int) -> Array:
    return matrix(np.arange(count, dtype=float), per_span)


def smooth(points: Array | list[tuple[float, float]], per_span: int = 6) -> Array:
    """A curve through a few points at about equal distances."""
    points = np.asarray(points, dtype=float)
    return np.einsum("ij,jk->ik", _even(len(points), per_span), points)


class Curve:
    """A curve whose knots were frozen on the neutral dog's points."""

    def __init__(self, base: Array, per_span: int = 6):
        self.per_span = per_span
        self.matrix = matrix(knots(base), per_span)

    def __call__(self, points: Array) -> Array:
        """Samples (m, 2) of the curve through these points."""
        return np.einsum("ij,jk->ik", self.matrix, points)


@lru_cache(maxsize=512)
def even(low: float, high: float, count: int) -> Array:
    """Numbers at equal distances, both ends included; shared, so not to be written to."""
    found = np.linspace(low, high, count)
    found.flags.writeable = False
    return found


def slopes(rows: Array) -> Array:
    """Central differences from row to row, one-sided at the ends."""
    found = np.empty_like(rows)
    found[1:-1] = (rows[2:] - rows[:-2]) / 2
    found[0], found[-1] = rows[1] - rows[0], rows[-1] - rows[-2]
    return found


def resample(line: Array, count: int, run: Array | None = None) -> Array:
    """The same line with `count` points at equal distances; `run` is its length up to each point, if it is known."""
    if run is None:
        run = running(line)
    at = np.arange(count) * (run[-1] / (count - 1))
    found = np.empty((count, 2))
    found[:, 0] = np.interp(at, run, line[:, 0])
    found[:, 1] = np.interp(at, run, line[:, 1])
    return found


def lengths(vectors: Array) -> Array:
    """Lengths of vectors (n, 2)."""
    square = vectors * vectors
    return np.sqrt(square[:, 0] + square[:, 1])


def running(line: Array) -> Array:
    """Length of the line up to each of its points."""
    run = np.zeros(len(line))
    lengths(line[1:] - line[:-1]).cumsum(out=run[1:])
    return run


def directions(line: Array) -> Array:
    """Unit tangents (n, 2) of a line."""
    d = np.empty_like(line)
    d[1:-1] = line[2:] - line[:-2]
    d[0], d[-1] = line[1] - line[0], line[-1] - line[-2]
    square = d * d
    d /= np.maximum(np.sqrt(square[:, :1] + square[:, 1:]), 1e-9)
    return d


def turned(d: Array) -> Array:
    """Vectors (n, 2) turned a quarter to the left."""
    found = np.empty_like(d)
    found[:, 0] = -d[:, 1]
    found[:, 1] = d[:, 0]
    return found
