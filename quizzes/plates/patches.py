"""Patches: a surface between two boundary lines, on which hatching is laid.

A patch has stations along its axis; at each, one point on the upper and one on the lower boundary. Places on a patch are
(s, v): s counts stations, v runs from -1 on the lower boundary to 1 on the upper one.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from .engraving import Ints, clipped, smoothstep
from .light import Bump, Relief, gradient, relief, tone
from .splines import Array, even, lengths, resample, slopes

STEP = 4  # dense rows per station


@dataclass(frozen=True)
class Patch:
    """Dense rows of boundary points with their flatness and bulge, and the bumps of the surface."""

    upper: Array
    lower: Array
    flatness: Array
    bulge: Array
    bumps: list[Bump] = field(default_factory=list)

    @cached_property
    def table(self) -> Array:
        """All of it side by side, a row to a dense row."""
        return np.column_stack([self.upper, self.lower, self.bulge, self.flatness])

    @cached_property
    def relief(self) -> Relief:
        """The bumps, ready for sums over all of them."""
        return relief(self.bumps)

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
    bumps: Sequence[Bump] = (),
) -> Patch:
    """A patch from pairs (n, 2) of fractional sample indices on two boundary lines.

    flatness : one, or one to a station
    bulge : (station, bulge), linear between
    """
    at = even(0, len(pairs) - 1, (len(pairs) - 1) * STEP + 1)
    stations = np.arange(len(pairs))
    rows = [
        _pick(line, np.interp(at, stations, pairs[:, k]))
        for k, line in enumerate((upper, lower))
    ]
    flat = np.interp(at, stations, np.full(len(pairs), flatness))
    return _made(rows, flat, bulge, bumps)


def between(
    upper: Array,
    lower: Array,
    stations: int,
    flatness: float,
    bulge: Sequence[tuple[float, float]],
    bumps: Sequence[Bump] = (),
) -> Patch:
    """A patch between two lines that are walked at an even pace."""
    count = (stations - 1) * STEP + 1
    rows = [resample(line, count) for line in (upper, lower)]
    return _made(rows, np.full(count, flatness), bulge, bumps)


def _made(
    rows: list[Array],
    flat: Array,
    bulge: Sequence[tuple[float, float]],
    bumps: Sequence[Bump],
) -> Patch:
    at, height = np.array(bulge).T
    curve = np.interp(np.arange(len(flat)) / STEP, at, height)
    return Patch(rows[0], rows[1], flat, curve, _near(bumps, rows))


def _near(bumps: Sequence[Bump], rows: list[Array]) -> list[Bump]:
    """The bumps that reach the patch."""
    if not bumps:
        return []
    low = np.minimum(rows[0].min(axis=0), rows[1].min(axis=0)).tolist()
    high = np.maximum(rows[0].max(axis=0), rows[1].max(axis=0)).tolist()
    found = []
    for bump in bumps:
        reach = 2.2 * max(bump.length, bump.width)
        if (
            low[0] - reach < bump.x < high[0] + reach
            and low[1] - reach < bump.y < high[1] + reach
        ):
            found.append(bump)
    return found


def _pick(line: Array, index: Array) -> Array:
    low = clipped(index.astype(int), 0, len(line) - 2)
    share = (index - low)[:, None]
    return np.asarray(line[low] * (1 - share) + line[low + 1] * share)


def lookup(table: Array, s: Array) -> Array:
    """Values of a dense table (one row per STEP-th of a station) at stations s, linear between rows."""
    at = clipped(s * STEP, 0, len(table) - 1.0001)
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
    at = np.minimum(np.maximum(s * STEP, 0), len(p.table) - 1.0001)
    low = at.astype(np.int64)
    row = p.table.take(low, axis=0)
    step = p.table.take(low + 1, axis=0) - row
    row += (at - low)[:, None] * step
    top, bottom = row[:, 0:2], row[:, 2:4]
    across = 0.5 * (top - bottom)
    half = np.maximum(np.sqrt(across[:, 0] ** 2 + across[:, 1] ** 2), 1e-6)
    cross = across / half[:, None]
    points = 0.5 * (top + bottom) + v[:, None] * across
    bent = row[:, 4] * half * (1 - v * v)
    points[:, 0] += bent * cross[:, 1]
    points[:, 1] -= bent * cross[:, 0]
    # how fast a place moves with its station, between the speeds of the two boundaries
    fast = np.sqrt(step[:, 0] ** 2 + step[:, 1] ** 2)
    slow = np.sqrt(step[:, 2] ** 2 + step[:, 3] ** 2)
    run = STEP * 0.5 * (fast + slow + v * (fast - slow))
    return Spots(points, s, v, cross, half, run, row[:, 5])


def darkness(p: Patch, at: Spots) -> Array:
    """Tone of the bare form at these places."""
    slope = gradient(p.relief, at.points) if p.bumps else (0.0, 0.0)
    return tone(at.v, at.flatness, at.cross, slope)


def rib_stations(
    p: Patch, spacing: float, start: float = 0.0, stop: float | None = None
) -> Array:
    """Stations of lines across the patch that lie `spacing` apart on the wider boundary."""
    stop = p.last if stop is None else stop
    run = np.zeros(len(p.upper))
    np.maximum(*(lengths(line[1:] - line[:-1]) for line in (p.upper, p.lower))).cumsum(
        out=run[1:]
    )
    dense = np.arange(len(run)) / STEP
    first, end = np.interp([start, stop], dense, run)
    return np.interp(np.arange(first + 0.5 * spacing, end, spacing), run, dense)


def gaps(stations: Array, at: Spots, samples: int) -> Array:
    """Distance between neighbouring lines at every sample of lines laid across the patch."""
    between = slopes(stations) if len(stations) > 1 else np.ones(1)
    return np.maximum(np.repeat(between, samples) * at.run, 0.02)


def fade_crowded(gap: Array, number: Ints, spacing: float) -> tuple[Array, Array]:
    """Where lines crowd, let every second, then every fourth line die; returns presence and the gap that results."""
    present = np.ones_like(gap)
    effective = gap.copy()
    tightest = gap.min(initial=spacing)
    for level in (2, 4, 8):
        limit = 1.2 * spacing / level
        if tightest >= 1.2 * limit:
            break
        fading = smoothstep(0.8 * limit, 1.2 * limit, gap)
        present *= np.where(number % level == level // 2, fading, 1.0)
        effective *= 1 + (1 - fading)
    return present, effective
