"""The layers every view is made of: hatching, hairs, locks and shade on patches, in one dog's coat, theme and grain."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from .coats import COATS, Coat, hairs, locks, ribs
from .conformation import Conformation
from .contours import SideShape, side_shape
from .engraving import Hairs, Lines, noise, smoothstep
from .light import width
from .markings import Marking, darken, marking
from .patches import Patch, Spots, between, darkness, spots
from .splines import Array, even, running
from .themes import Grain, Theme

Fade = Callable[[Spots], Array]
Ink = list[Lines | Hairs]


@dataclass(frozen=True)
class Scene:
    """What every layer needs to know."""

    dog: Conformation
    shape: SideShape
    coat: Coat
    marks: Marking
    theme: Theme
    grain: Grain


def scene(dog: Conformation, theme: Theme, grain: Grain) -> Scene:
    """Contours posed, coat and pattern looked up."""
    coat = COATS[dog.breed.coat]
    coat = replace(
        coat, hair=coat.hair * dog.breed.coat_len * (grain.trunk / 1.3) ** 0.7
    )
    return Scene(
        dog,
        side_shape(dog.side, dog.params),
        coat,
        marking(dog.breed, dog.seed),
        theme,
        grain,
    )


def by_station(*points: tuple[float, float]) -> Fade:
    """Presence of lines by station of the patch."""
    at, level = np.array(points).T
    return lambda spot: np.asarray(np.interp(spot.s, at, level))


def above(start: Array, end: Array, fade: Fade) -> Fade:
    """The same presence, dying away just above a line (walked with its upper side left)."""
    d = end - start

    def presence(spot: Spots) -> Array:
        away = spot.points - start
        along = (away @ d) / (d @ d)
        height = (d[0] * away[:, 1] - d[1] * away[:, 0]) / np.hypot(*d)
        inside = (along > -0.06) & (along < 1.0) & (height > -2.2)
        return np.asarray(
            fade(spot) * np.where(inside, smoothstep(0.0, 4.5, height), 1.0)
        )

    return presence


def widths(
    s: Scene, part: str, p: Patch, at: Spots, present: Array, gap: Array, ragged: Array
) -> Array:
    """Widths of lines at places of a patch, with tone, pattern and theme worked in."""
    dark = darken(s.marks, part, at.s, at.v, darkness(p, at), ragged)
    return width(dark, gap, s.theme.white_line) * present


def rib_layer(
    s: Scene,
    part: str,
    p: Patch,
    spacing: float,
    samples: int,
    fade: Fade,
    start: float = 0.0,
    stop: float | None = None,
) -> Lines:
    """Ribs across a patch."""
    at, present, gap = ribs(p, spacing, samples, start, stop)
    ragged = 2 * np.repeat(noise(len(at.s) // samples, s.dog.seed, 50), samples) - 1
    wide = widths(s, part, p, at, present * fade(at), gap, ragged)
    return Lines.rows(at.points.reshape(-1, samples, 2), wide.reshape(-1, samples))


def hair_weight(s: Scene) -> float:
    """A tapered hair needs more width than a rib for the same tone; a stroked curl does not."""
    if s.coat.form == "curl":
        return 1.1
    return 1.3 if s.theme.white_line else 1.6


def hair_layer(
    s: Scene,
    part: str,
    p: Patch,
    spacing: float,
    fade: Fade,
    start: float,
    stop: float,
    tilt: float = 1.0,
    salt: int = 0,
) -> Hairs:
    """Hairs along the lie of the coat."""
    seed = s.dog.seed + 97 * salt
    laid = hairs(p, s.coat, spacing, seed, start, stop, tilt)
    at = laid.at
    ragged = 2 * noise(len(at.s), seed, 51) - 1
    present = laid.present * fade(at)
    wide = hair_weight(s) * widths(s, part, p, at, present, laid.gap, ragged)
    wide = np.minimum(wide, 0.78 * laid.gap)
    middle = at.points + laid.bow[:, None] * at.cross
    return Hairs(
        at.points - laid.reach,
        middle,
        at.points + laid.reach,
        wide,
        form=s.coat.form,
    )


def edge_locks(
    s: Scene, name: str, line: Array, outside: float, grow: tuple[float, ...], salt: int
) -> Ink:
    """The coat's locks along an edge, if it has any there."""
    if name not in s.coat.edges:
        return []
    height, lean, step = s.coat.edges[name]
    shaped = (
        height * s.dog.breed.coat_len,
        lean,
        step * max(1.0, s.grain.contour**0.8),
    )
    found = locks(line, shaped, s.dog.seed + salt, outside, np.array(grow))
    return [
        replace(found, widths=found.widths * s.grain.contour**0.5 * s.theme.heavier)
    ]


def nails(shapes: list[Array]) -> Ink:
    """Nails as short wedges."""
    return [
        Lines.single(np.vstack([n[0], n.mean(axis=0), n[2]]), np.array([0.1, 0.9, 0.1]))
        for n in shapes
    ]


def shade(
    s: Scene,
    right: Array,
    left: Array,
    *sets: tuple[float, float],
) -> Lines:
    """Even hatching of something that lies in the dog's own shade, given by its right and left boundary.

    sets: darkness and lean of each set of lines.
    """
    p = between(right, left, 9, 1.2, [(0, 0.1), (8, 0.1)])
    spacing = 1.25 * s.grain.leg
    stations = np.arange(0.2, p.last, spacing * p.last / max(running(right)[-1], 1.0))
    count, v = len(stations), even(-0.98, 0.98, 4)
    leaning = (
        stations[None, :, None]
        + np.array([lean for _, lean in sets])[:, None, None] * v
    )
    where = spots(p, leaning.clip(0, p.last).ravel(), np.tile(v, len(sets) * count))
    level = (
        spacing
        * np.array([level for level, _ in sets])
        * (0.4 if s.theme.white_line else 1.0)
    )
    wide = np.repeat(level, count)[:, None] * np.ones(4)
    return Lines.rows(where.points.reshape(-1, 4, 2), wide)
