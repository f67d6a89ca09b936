"""Engraved lines: rows of samples with a width become filled ribbons, and ribbons become path text.

All lines of a layer are handled in one flat array, which is what keeps a plate cheap.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .splines import Array

Ints = NDArray[np.int64]
SCALE = 10
_GRID = np.array([SCALE, -SCALE], dtype=np.float64)
_REACH = 4000
_TABLE = [f" {v}" if v >= 0 else str(v) for v in range(-_REACH, _REACH + 1)]
_TABLE += [f"zm{v}" for v in range(-_REACH, _REACH + 1)]
_TABLE += [f"q{v}" for v in range(-_REACH, _REACH + 1)]
_TABLE += [f"t{v}" for v in range(-_REACH, _REACH + 1)]
_BLOCK = 2 * _REACH + 1
# Eight bytes to a word, the rest of each empty, so that a path's words are looked up at once.
_WORDS = np.array(_TABLE, dtype="S8").view(np.uint64)
THINNEST = 0.055


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


def join(parts: Sequence[Lines]) -> Lines:
    """All lines of several groups as one group."""
    offset, ids = 0, []
    for part in parts:
        ids.append(part.line + offset)
        offset += int(part.line[-1]) + 1 if len(part.line) else 0
    return Lines(
        np.concatenate([p.points for p in parts]),
        np.concatenate([p.widths for p in parts]),
        np.concatenate(ids),
    )


def noise(count: int, seed: int, salt: int = 0) -> Array:
    """Repeatable numbers in [0, 1) from an integer hash, alike on every machine and library version."""
    start = np.uint64(
        (seed * 0x9E3779B1 + salt * 0x85EBCA77 + 0x2545F491) & 0xFFFFFFFFFFFF
    )
    x = np.arange(count, dtype=np.uint64) * np.uint64(0x9E3779B97F4A7C15) + start
    x ^= x >> np.uint64(30)
    x *= np.uint64(0xBF58476D1CE4E5B9)
    x ^= x >> np.uint64(27)
    x *= np.uint64(0x94D049BB133111EB)
    x ^= x >> np.uint64(31)
    return (x >> np.uint64(11)).astype(np.float64) / 2.0**53


def clipped(x: Array, low: float, high: float) -> Array:
    """x between two bounds; quicker than numpy's own on the short rows of a plate."""
    return np.minimum(np.maximum(x, low), high)


def smoothstep(low: float, high: float, x: Array) -> Array:
    """0 below low, 1 above high, smooth between."""
    t = clipped((x - low) / (high - low), 0.0, 1.0)
    return t * t * (3 - 2 * t)


def _thinned(lines: Lines, tolerance: float) -> Lines:
    """Without the samples that lie on the straight way between their neighbours, in two halving passes."""
    points, widths, line = lines.points, lines.widths, lines.line
    for _ in range(2):
        if len(line) < 3:
            break
        inner = (line[2:] == line[1:-1]) & (line[:-2] == line[1:-1])
        off = np.abs(points[1:-1] - 0.5 * (points[:-2] + points[2:]))
        bend = (
            off[:, 0]
            + off[:, 1]
            + 0.7 * np.abs(widths[1:-1] - 0.5 * (widths[:-2] + widths[2:]))
        )
        drop = inner & (bend < tolerance)
        index = np.arange(len(drop))
        first = np.concatenate([[True], line[1:] != line[:-1]])
        start = np.maximum.accumulate(np.where(first, np.arange(len(line)), 0))[1:-1]
        drop &= (index + 1 - start) % 2 == 1
        keep = np.concatenate([[True], ~drop, [True]])
        points, widths, line = points[keep], widths[keep], line[keep]
    return Lines(points, widths, line)


def _visible(lines: Lines) -> Lines:
    """Only runs of samples wide enough to print; every run becomes a line of its own."""
    seen = lines.widths >= THINNEST
    # a run keeps one fainter sample at each end, so that it dies away instead of being cut
    before = np.concatenate([[False], seen[:-1]]) & np.concatenate(
        [[False], lines.line[1:] == lines.line[:-1]]
    )
    after = np.concatenate([seen[1:], [False]]) & np.concatenate(
        [lines.line[1:] == lines.line[:-1], [False]]
    )
    keep = seen | before | after
    at = np.flatnonzero(keep)
    if not len(at):
        return Lines(lines.points[:0], lines.widths[:0], lines.line[:0])
    line = lines.line[at]
    fresh = np.concatenate([[True], (np.diff(at) > 1) | (np.diff(line) != 0)])
    return Lines(lines.points[at], lines.widths[at], np.cumsum(fresh) - 1)


def ribbons(lines: Lines, tolerance: float = 0.05) -> tuple[Ints, NDArray[np.bool_]]:
    """Polygons round all visible lines: integer corners (k, 2), y down, and whether a corner starts a polygon."""
    lines = _thinned(_visible(lines), tolerance)
    points, line, n = lines.points, lines.line, len(lines.line)
    if n < 2:
        return np.zeros((0, 2), dtype=np.int64), np.zeros(0, dtype=bool)
    first = np.concatenate([[True], line[1:] != line[:-1]])
    last = np.concatenate([first[1:], [True]])
    step = points[1:] - points[:-1]
    step[last[:-1]] = 0.0
    tangent = np.zeros((n, 2))
    tangent[:-1] = step
    tangent[1:] += step
    length = np.maximum(np.hypot(tangent[:, 0], tangent[:, 1]), 1e-9)
    half = np.empty((n, 2))
    share = 0.5 * lines.widths / length
    half[:, 0] = share * -tangent[:, 1]
    half[:, 1] = share * tangent[:, 0]
    return _around(points + half, points - half, line)


def _around(left: Array, right: Array, line: Ints) -> tuple[Ints, NDArray[np.bool_]]:
    """Walk every line up its left side and back down its right side."""
    at = np.arange(len(line))
    counts = np.bincount(line)
    first = (np.cumsum(counts) - counts)[line]
    place = np.concatenate([first + at, 3 * first + 2 * counts[line] - 1 - at])
    around = np.empty((2 * len(line), 2))
    around[place] = np.concatenate([left, right])
    corners = to_grid(around)
    ids = np.repeat(np.arange(len(counts)), 2 * counts)
    start = np.concatenate([[True], ids[1:] != ids[:-1]])
    moved = np.concatenate([[True], np.any(corners[1:] != corners[:-1], axis=1)])
    keep = start | moved
    return corners[keep], start[keep]


def _words(index: Ints) -> str:
    """The text of path data given by places in the table."""
    return _WORDS.take(index.ravel()).tobytes().translate(None, b"\0").decode("ascii")


def path_text(corners: Ints, start: NDArray[np.bool_]) -> str:
    """Path data of closed polygons, relative moves between integer corners."""
    if not len(corners):
        return ""
    origin = corners[np.maximum.accumulate(np.where(start, np.arange(len(start)), 0))]
    index = corners + _REACH
    index[1:] -= np.where(start[1:, None], origin[:-1], corners[:-1])
    index[start, 0] += _BLOCK
    return _words(index)[1:] + "z"


def hair_text(hairs: Hairs, thinnest: float = THINNEST) -> str:
    """Path data of slivers or leaves, all wound the same way round, so that overlaps stay filled."""
    seen = hairs.widths >= thinnest
    root, middle, tip, wide = (
        hairs.root[seen],
        hairs.middle[seen],
        hairs.tip[seen],
        hairs.widths[seen],
    )
    if not len(wide):
        return ""
    chord = tip - root
    length = np.maximum(np.hypot(chord[:, 0], chord[:, 1]), 1e-9)
    side = (wide / length)[:, None] * np.column_stack([-chord[:, 1], chord[:, 0]])
    control = 2 * middle - 0.5 * (root + tip)
    if hairs.form == "sliver":
        turned = (np.einsum("ij,ij->i", middle - 0.5 * (root + tip), side) < 0)[:, None]
        root, tip = np.where(turned, tip, root), np.where(turned, root, tip)
        points = [root, 0.5 * (root + tip) + np.where(turned, -2.0, 2.0) * side, tip]
    else:
        points = [root, control + side, tip, control - side]
    return _curves(to_grid(np.stack(points)))


def _curves(corners: Ints) -> str:
    """Text of shapes from start, control and end, closed straight or by a second control."""
    start = np.diff(corners[0], axis=0, prepend=np.zeros((1, 2), dtype=np.int64))
    moves = [start, corners[1] - corners[0], corners[2] - corners[0]]
    if len(corners) > 3:
        moves += [corners[3] - corners[2], corners[0] - corners[2]]
    index = np.concatenate(moves, axis=1) + _REACH
    index[:, 0] += _BLOCK
    index[:, 2::4] += 2 * _BLOCK
    return _words(index)[1:] + "z"


CURL_WIDTHS = (0.18, 0.3, 0.44, 0.6)


def curl_texts(hairs: Hairs) -> list[tuple[float, str]]:
    """Stroke width and path data of curls: three half waves each, in a few widths."""
    chord = (hairs.tip - hairs.root) / 3
    bow = hairs.middle - 0.5 * (hairs.root + hairs.tip)
    corners = to_grid(np.stack([hairs.root, 0.5 * chord + 2 * bow, chord]))
    edges = (0.12, 0.27, 0.42, 0.6, 9.0)
    found = []
    for k, wide in enumerate(CURL_WIDTHS):
        chosen = corners[:, (hairs.widths >= edges[k]) & (hairs.widths < edges[k + 1])]
        if chosen.shape[1]:
            found.append((wide, _waves(*chosen)))
    return found


def _waves(root: Ints, control: Ints, step: Ints) -> str:
    before = np.vstack([[[0, 0]], (root + 3 * step)[:-1]])
    index = np.concatenate([root - before, control, step, step, step], axis=1) + _REACH
    index[:, 0] += _BLOCK
    index[:, 2] += 2 * _BLOCK
    index[:, (6, 8)] += 3 * _BLOCK
    return _words(index).replace("zm", "m")


def ink(
    parts: Sequence[Lines | Hairs], tolerance: float = 0.06, thinnest: float = THINNEST
) -> str:
    """Path data of a whole layer of lines and filled hairs."""
    lines = [part for part in parts if isinstance(part, Lines)]
    hairs = [part for part in parts if isinstance(part, Hairs) and part.form != "curl"]
    texts = [path_text(*ribbons(join(lines), tolerance))] if lines else []
    texts += [hair_text(part, thinnest) for part in hairs]
    return "M0 0".join(text for text in texts if text)


def to_grid(points: Array) -> Ints:
    """Plate units to the integer grid, y down."""
    return np.rint(points * _GRID).astype(np.int64)


def polygon(points: Array) -> str:
    """Path data of one filled shape."""
    corners = to_grid(points)
    keep = np.concatenate([[True], np.any(np.diff(corners, axis=0) != 0, axis=1)])
    corners = corners[keep]
    start = np.zeros(len(corners), dtype=bool)
    start[0] = True
    return path_text(corners, start)
