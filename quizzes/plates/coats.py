"""Coats: how the hatching lies and breaks, and what stands out from the edge.

A smooth coat is hatched with ribs across the form. Longer coats are hatched with hairs along the lie of the coat, which
curl, break or run long as the coat's numbers say. Both print the same tone.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from .engraving import Hairs, clipped, noise
from .patches import STEP, Patch, Spots, fade_crowded, gaps, lookup, rib_stations, spots
from .splines import Array, directions, even, resample, running, slopes, turned

# Tilt of the coat against the trunk's axis, degrees by station: back and down.
_TILT = ([0, 2, 5, 9, 13, 16, 25], [6, 16, 34, 28, 20, 10, 4])


@dataclass(frozen=True)
class Coat:
    """Hair length, distance of rows, scatter of direction, bow of a hair, and the locks of the edge."""

    hair: float = 0.0
    rows: float = 1.0
    jitter: float = 0.0
    bow: float = 0.05
    form: str = "sliver"
    face: bool = False
    edges: Mapping[str, tuple[float, float, float]] = field(default_factory=dict)

    @property
    def clothes_legs(self) -> bool:
        """Whether the hair runs down the legs."""
        return self.face or self.form == "curl"

    @property
    def is_smooth(self) -> bool:
        """Whether the coat is hatched with ribs."""
        return self.hair == 0


# Edge locks: height, lean along the edge, step.
COATS = {
    "smooth": Coat(),
    "broken": Coat(
        hair=5.2,
        jitter=0.15,
        bow=0.07,
        face=True,
        edges={
            "crest": (1.3, 1.2, 1.0),
            "topline": (0.7, 2.0, 1.3),
            "rump": (1.0, 1.3, 1.0),
            "throat": (1.9, 1.1, 1.0),
            "belly": (1.9, 1.3, 1.0),
            "breech": (1.7, 1.2, 1.0),
            "elbow": (1.4, 1.4, 1.1),
            "leg": (0.7, 1.6, 1.3),
            "tail": (1.3, 1.6, 1.1),
            "undertail": (2.0, 1.2, 1.1),
        },
    ),
    "double": Coat(
        hair=7.0,
        rows=1.06,
        jitter=0.09,
        bow=0.06,
        edges={
            "crest": (2.1, 1.1, 1.2),
            "topline": (0.9, 2.4, 1.5),
            "rump": (1.3, 1.3, 1.1),
            "throat": (3.4, 1.0, 1.1),
            "belly": (2.4, 1.4, 1.2),
            "breech": (3.2, 1.2, 1.1),
            "elbow": (1.5, 1.5, 1.2),
            "tail": (2.4, 1.3, 1.1),
            "undertail": (3.6, 1.1, 1.1),
        },
    ),
    "feathered": Coat(
        hair=9.5,
        jitter=0.06,
        bow=0.07,
        edges={
            "rump": (0.7, 1.4, 1.3),
            "throat": (3.4, 1.1, 1.0),
            "belly": (4.0, 1.0, 1.0),
            "breech": (4.8, 1.1, 1.0),
            "elbow": (4.4, 1.1, 1.0),
            "tail": (1.2, 1.5, 1.1),
            "undertail": (8.0, 0.9, 0.9),
        },
    ),
    "curly": Coat(
        hair=5.6,
        rows=1.36,
        jitter=0.3,
        bow=0.095,
        form="curl",
        face=False,
        edges={
            "crest": (0.8, 1.6, 0.8),
            "topline": (0.8, 1.6, 0.8),
            "rump": (0.9, 1.4, 0.8),
            "throat": (1.0, 1.4, 0.8),
            "belly": (1.0, 1.4, 0.8),
            "breech": (1.0, 1.4, 0.8),
            "elbow": (0.8, 1.6, 0.8),
            "shin": (0.8, 1.6, 0.8),
            "tail": (1.0, 1.4, 0.8),
            "undertail": (1.0, 1.4, 0.8),
        },
    ),
}


def ribs(
    p: Patch,
    spacing: float,
    samples: int,
    start: float = 0.0,
    stop: float | None = None,
) -> tuple[Spots, Array, Array]:
    """Lines across a patch: the spots, the presence of each sample and the gap to the next line."""
    stations = rib_stations(p, spacing, start, stop)
    v = np.tile(even(-1, 1, samples), len(stations))
    at = spots(p, np.repeat(stations, samples), v)
    present, gap = fade_crowded(
        gaps(stations, at, samples),
        np.repeat(np.arange(len(stations)), samples),
        spacing,
    )
    return at, present, np.minimum(gap, 1.25 * spacing)


def _fall(p: Patch, lie: Array) -> Array:
    """How far down (in v) the coat has run at every dense row, from its tilt against the axis."""
    run = np.hypot(*slopes(0.5 * (p.upper + p.lower)).T)
    half = np.maximum(0.5 * np.hypot(*(p.upper - p.lower).T), 2.0)
    fallen = np.zeros(len(run))
    np.cumsum((np.tan(lie) * run / half)[:-1], out=fallen[1:])
    return fallen


@dataclass(frozen=True)
class Laid:
    """Hairs laid on a patch: their middles as spots, half a hair as a vector, its bow, presence and gap to the next row."""

    at: Spots
    reach: Array
    bow: Array
    present: Array
    gap: Array


def hairs(
    p: Patch,
    coat: Coat,
    spacing: float,
    seed: int,
    start: float,
    stop: float,
    tilt: float = 1.0,
) -> Laid:
    """Hairs along the lie of the coat, laid like bricks in rows."""
    centre = 0.5 * (p.upper + p.lower)
    run = running(centre)
    dense = np.arange(len(run)) / STEP
    half = 0.5 * np.hypot(*(p.upper - p.lower).T)
    widest = half[(dense >= start) & (dense <= stop)].max()
    lie = np.radians(np.interp(dense, *_TILT) * tilt)
    fall = _fall(p, lie)
    first, end = np.interp([start, stop], dense, run)
    low, high = np.minimum(0, fall.min()), np.maximum(0, np.interp(stop, dense, fall))
    step = spacing * coat.rows / widest
    rows = np.arange(-1 + low + 0.5 * step, 1 + high, step)
    pitch = coat.hair * 0.84
    per_row = int((end - first) / pitch) + 1
    row, place = (
        np.repeat(np.arange(len(rows)), per_row),
        np.tile(np.arange(per_row), len(rows)),
    )
    brick = (
        0.5 * (row % 2)
        + 0.3 * noise(len(rows), seed, 2)[row]
        + 0.4 * (noise(len(row), seed, 1) - 0.5)
    )
    mid = first + (place + brick) * pitch
    s = np.interp(mid, run, dense)
    v = rows[row] - lookup(fall, s)
    inside = (np.abs(v) < 0.985) & (mid < end)
    row, s, v = row[inside], s[inside], v[inside]
    at = spots(p, s, v)
    dice = noise(3 * len(s), seed, 3).reshape(3, len(s))
    turn = lookup(lie, s) + coat.jitter * (2 * dice[0] - 1)
    length = 0.5 * coat.hair * (0.75 + 0.5 * dice[1])
    along, down = (length * np.cos(turn))[:, None], (length * np.sin(turn))[:, None]
    reach = -(along * turned(at.cross) + down * at.cross)
    bow = coat.bow * 2 * length * np.where(dice[2] < 0.62, 1.0, -0.8)
    crowded, gap = fade_crowded(
        spacing * coat.rows * at.half / widest, row, spacing * coat.rows
    )
    return Laid(at, reach, bow, crowded, gap)


def locks(
    line: Array,
    shape: tuple[float, float, float],
    seed: int,
    outside: float,
    grow: Array,
) -> Hairs:
    """Hairs along an edge, in groups of three that lean together; `grow` is their height along the edge.

    outside is +1 where the outside lies left of the walking direction, -1 where it lies right of it.
    """
    height, lean, step = shape
    run = running(line)
    count = max(int(run[-1] / step / 3), 2) * 3
    root = resample(line, count, run)
    d = directions(root)
    out = outside * turned(d)
    dice = noise(5 * count, seed, 7).reshape(5, count)
    group = 3 * (np.arange(count) // 3)
    lift = 0.5 + 0.8 * dice[0, group] + 0.25 * (dice[1] - 0.5)
    gather = (1 - np.arange(count) % 3) * 0.6 * step * dice[2, group]
    bell = np.interp(even(0, 1, count), even(0, 1, len(grow)), grow)
    up = (height * lift * bell)[:, None]
    slant = (height * lean * bell * (0.8 + 0.4 * dice[3]) + gather)[:, None]
    root = root - out * (0.3 + 0.25 * up) - d * (0.3 * slant)
    tip = root + out * (1.25 * up + 0.3) + d * (1.3 * slant)
    middle = root + out * (0.785 * up + 0.15 + 0.12 * np.abs(slant)) + d * (0.6 * slant)
    thick = 0.22 + 0.16 * dice[4] + 0.06 * clipped(up[:, 0], 0, 3)
    return Hairs(root, middle, tip, thick)
