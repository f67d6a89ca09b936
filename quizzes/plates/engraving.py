"""Engraved lines and hairs as flat arrays, and the small numeric tools that every layer uses."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from .splines import Array

Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Lines:
    """Flat samples of many lines: points (m, 2), widths (m,), and the line each sample belongs to (m,)."""

    points: Array
    widths: Array
    line: Ints

    @staticmethod
    def rows(points: Array, widths: Array) -> "Lines":
        """From a block of equally long lines, (l, n, 2) and (l, n)."""
        count, length = widths.shape
        return Lines(
            points.reshape(-1, 2), widths.ravel(), np.repeat(np.arange(count), length)
        )

    @staticmethod
    def single(points: Array, widths: Array) -> "Lines":
        """One line."""
        return Lines(points, widths, np.zeros(len(points), dtype=np.int64))


@dataclass(frozen=True)
class Hairs:
    """Hairs as root, middle and tip (n, 2) and the width in the middle (n,).

    A "sliver" lies between its chord and one curve; a "leaf" between two curves, which costs two thirds more but bends
    freely; a "curl" waves along its chord and is stroked, not filled.
    """

    root: Array
    middle: Array
    tip: Array
    widths: Array
    form: str = "leaf"


def noise(count: int, seed: int, salt: int = 0) -> Array:
    """Repeatable numbers in [0, 1) from an integer hash, alike on every machine and library version."""
    start = np.uint64(
        (seed * 0x9E3779B1 + salt * 0x85EBCA77 + 0x2545F491) & 0xFFFFFFFFFFFF
    )
    x = _steps(count) + start
    x ^= x >> _SHIFTS[0]
    x *= _FACTORS[0]
    x ^= x >> _SHIFTS[1]
    x *= _FACTORS[1]
    x ^= x >> _SHIFTS[2]
    x >>= _SHIFTS[3]
    return x.astype(np.float64) * 2.0**-53


_SHIFTS = np.array([30, 27, 31, 11], dtype=np.uint64)
_FACTORS = np.array([0xBF58476D1CE4E5B9, 0x94D049BB133111EB], dtype=np.uint64)


@lru_cache(maxsize=512)
def _steps(count: int) -> NDArray[np.uint64]:
    return np.arange(count, dtype=np.uint64) * np.uint64(0x9E3779B97F4A7C15)


def clipped(x: Array, low: float, high: float) -> Array:
    """x between two bounds; quicker than numpy's own on the short rows of a plate."""
    return np.minimum(np.maximum(x, low), high)


def smoothstep(low: float, high: float, x: Array) -> Array:
    """0 below low, 1 above high, smooth between."""
    t = clipped((x - low) / (high - low), 0.0, 1.0)
    return t * t * (3 - 2 * t)
