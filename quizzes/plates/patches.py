"""Patches: a surface between two boundary lines, on which hatching is laid.

A patch has stations along its axis; at each, one point on the upper and one on the lower boundary. Places on a patch are
(s, v): s counts stations, v runs from -1 on the lower boundary to 1 on the upper one.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from .engraving import Ints, smoothstep
from .light import Bump, gradient, tone
from .splines import Array

STEP = 4  # dense rows per station


@dataclass(frozen=True)
class Patch:
    """Dense rows of boundary points with their flatness and bulge, and the bumps of the surface."""

    upper: Array
    lower: Array
    flatness: Array
    bulge: Array
    bumps: list[Bump] = field(default_factory=list)

    @property
    def last(self) -> float:
        """The last station."""
        return (len(self.upper) - 1) / STEP


def patch(
    pairs: Array,
    upper: Array,
    lower: Array,
    flatness: float | Array,
    bulge: Sequence[tuple[float, float]],
    bumps: list[Bump],
) -> Patch:
    """A patch from pairs (n, 2) of fractional sample indices on two boundary lines."""
    at = np.linspace(0, len(pairs) - 1, (len(pairs) - 1) * STEP + 1)
    stations = np.arange(len(pairs))
    rows = [
        _pick(line, np.interp(at, stations, pairs[:, k]))
        for k, line in enumerate((upper, lower))
    ]
    curve = np.interp(at, *np.array(bulge).T)
    flat = np.interp(at, stations, np.zeros(len(pairs)) + flatness)
    return Patch(rows[0], rows[1], flat, curve, bumps)


def _pick(line: Array, index: Array) -> Array:
    low = np.clip(index.astype(int), 0, len(line) - 2)
    share = (index - low)[:, None]
    return np.asarray(line[low] * (1 - share) + line[low + 1] * share)


def lookup(table: Array, s: Array) -> Array:
    """Values of a dense table (one row per STEP-th of a station) at stations s, linear between rows."""
    at = np.clip(s * STEP, 0, len(table) - 1.0001)
    low = at.astype(np.int64)
    value = table[low]
    return np.asarray(value + (at - low) * (table[low + 1] - value))


@dataclass(frozen=True)
class Spots:
    """Places on a patch, flat: points, axis and cross directions, distance of neighbouring stations, half width."""

    points: Array
    s: Array
    v: Array
    cross: Array
    half: Array
    run: Array
    flatness: Array


def spots(p: Patch, s: Array, v: Array) -> Spots:
    """Where (s, v) lie on the plate."""
    at = np.clip(s * STEP, 0, len(p.upper) - 1.0001)
    low = at.astype(int)
    share = (at - low)[:, None]
    top = p.upper[low] * (1 - share) + p.upper[low + 1] * share
    bottom = p.lower[low] * (1 - share) + p.lower[low + 1] * share
    d_top, d_bottom = p.upper[low + 1] - p.upper[low], p.lower[low + 1] - p.lower[low]
    across = 0.5 * (top - bottom)
    half = np.maximum(np.hypot(across[:, 0], across[:, 1]), 1e-6)
    cross = across / half[:, None]
    axis = np.column_stack([cross[:, 1], -cross[:, 0]])
    curve = p.bulge[low] * (1 - share[:, 0]) + p.bulge[low + 1] * share[:, 0]
    points = (
        0.5 * (top + bottom)
        + v[:, None] * across
        + (curve * half * (1 - v * v))[:, None] * axis
    )
    speed_top, speed_bottom = np.hypot(*d_top.T), np.hypot(*d_bottom.T)
    run = STEP * (0.5 * (1 + v) * speed_top + 0.5 * (1 - v) * speed_bottom)
    return Spots(points, s, v, cross, half, run, p.flatness[low])


def darkness(p: Patch, at: Spots) -> Array:
    """Tone of the bare form at these places."""
    return tone(at.v, at.flatness, at.cross, gradient(p.bumps, at.points))


def rib_stations(
    p: Patch, spacing: float, start: float = 0.0, stop: float | None = None
) -> Array:
    """Stations of lines across the patch that lie `spacing` apart on the wider boundary."""
    stop = p.last if stop is None else stop
    wider = np.maximum(
        np.hypot(*np.diff(p.upper, axis=0).T), np.hypot(*np.diff(p.lower, axis=0).T)
    )
    run = np.concatenate([[0.0], np.cumsum(wider)])
    dense = np.arange(len(run)) / STEP
    first, end = np.interp([start, stop], dense, run)
    return np.interp(np.arange(first + 0.5 * spacing, end, spacing), run, dense)


def gaps(stations: Array, at: Spots, samples: int) -> Array:
    """Distance between neighbouring lines at every sample of lines laid across the patch."""
    between = np.gradient(stations) if len(stations) > 1 else np.ones(1)
    return np.maximum(np.repeat(between, samples) * at.run, 0.02)


def fade_crowded(gap: Array, number: Ints, spacing: float) -> tuple[Array, Array]:
    """Where lines crowd, let every second, then every fourth line die; returns presence and the gap that results."""
    present = np.ones_like(gap)
    effective = gap.copy()
    for level in (2, 4, 8):
        limit = 1.2 * spacing / level
        fading = smoothstep(0.8 * limit, 1.2 * limit, gap)
        present *= np.where(number % level == level // 2, fading, 1.0)
        effective *= 1 + (1 - fading)
    return present, effective
