"""From engraved lines, hairs and shapes to path text: lines become filled ribbons, hairs slivers or leaves.

All layers of a plate are handled in one flat array, which is what keeps a plate cheap.
"""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from .engraving import Hairs, Ints, Lines
from .splines import Array, turned

Mask = NDArray[np.bool_]
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


def _joined(layers: Sequence[Sequence[Lines]]) -> tuple[Lines, Ints]:
    """All lines of all layers as one group, and the layer of each line."""
    parts = [part for layer in layers for part in layer]
    counts = np.array([part.line[-1] + 1 if len(part.line) else 0 for part in parts])
    offset = np.repeat(np.cumsum(counts) - counts, [len(part.line) for part in parts])
    lines = Lines(
        np.concatenate([part.points for part in parts]),
        np.concatenate([part.widths for part in parts]),
        np.concatenate([part.line for part in parts]) + offset,
    )
    return lines, np.repeat(_owners(layers), counts)


def _owners(layers: Sequence[Sequence[object]]) -> Ints:
    """The layer of each part, counting through the parts of all layers."""
    return np.repeat(np.arange(len(layers)), [len(parts) for parts in layers])


def _thinned(lines: Lines, tolerance: Array) -> Lines:
    """Without the samples that lie on the straight way between their neighbours, in two halving passes.

    tolerance : of every line
    """
    points, widths, line = lines.points, lines.widths, lines.line
    for _ in range(2):
        if len(line) < 3:
            break
        first = _firsts(line)
        inner = ~(first[1:-1] | first[2:])
        off = np.abs(points[1:-1] - 0.5 * (points[:-2] + points[2:]))
        bend = (
            off[:, 0]
            + off[:, 1]
            + 0.7 * np.abs(widths[1:-1] - 0.5 * (widths[:-2] + widths[2:]))
        )
        index = np.arange(len(line))
        odd = (index - np.maximum.accumulate(index * first)) % 2 == 1
        keep = np.ones(len(line), dtype=bool)
        keep[1:-1] = ~(inner & odd[1:-1] & (bend < tolerance[line[1:-1]]))
        points, widths, line = points[keep], widths[keep], line[keep]
    return Lines(points, widths, line)


def _firsts(number: Ints) -> Mask:
    """Where a row of rising numbers changes, its start included."""
    found = np.ones(len(number), dtype=bool)
    np.not_equal(number[1:], number[:-1], out=found[1:])
    return found


def _visible(lines: Lines) -> tuple[Lines, Ints]:
    """Only runs of samples wide enough to print, every run a line of its own; and the line each of them was part of."""
    seen = lines.widths >= THINNEST
    joined = lines.line[1:] == lines.line[:-1]
    # a run keeps one fainter sample at each end, so that it dies away instead of being cut
    keep = seen.copy()
    keep[1:] |= seen[:-1] & joined
    keep[:-1] |= seen[1:] & joined
    at = np.flatnonzero(keep)
    line = lines.line[at]
    fresh = _firsts(line)
    fresh[1:] |= at[1:] - at[:-1] > 1
    runs = Lines(lines.points[at], lines.widths[at], np.cumsum(fresh) - 1)
    return runs, line[fresh]


def _edges(lines: Lines) -> tuple[Array, Array]:
    """Left and right edge of every line."""
    points, n = lines.points, len(lines.line)
    last = _firsts(lines.line)[1:]
    step = points[1:] - points[:-1]
    step[last] = 0.0
    tangent = np.zeros((n, 2))
    tangent[:-1] = step
    tangent[1:] += step
    length = np.maximum(np.hypot(tangent[:, 0], tangent[:, 1]), 1e-9)
    half = (0.5 * lines.widths / length)[:, None] * turned(tangent)
    return points + half, points - half


def _around(left: Array, right: Array, line: Ints) -> tuple[Array, Ints]:
    """Corners on the way up every line's left side and back down its right side, and their lines."""
    at = np.arange(len(line))
    counts = np.bincount(line)
    first = (np.cumsum(counts) - counts)[line]
    around = np.empty((2 * len(line), 2))
    around[first + at] = left
    around[3 * first + 2 * counts[line] - 1 - at] = right
    return around, np.repeat(np.arange(len(counts)), 2 * counts)


def line_texts(
    layers: Sequence[Sequence[Lines]], tolerances: Sequence[float]
) -> list[str]:
    """Path data of the lines of each layer, all layers at once, as polygons round the visible ones."""
    if not any(layers):
        return ["" for _ in layers]
    lines, layer = _joined(layers)
    runs, origin = _visible(lines)
    layer = layer[origin]
    runs = _thinned(runs, np.array(tolerances)[layer])
    corners, ids = _around(*_edges(runs), runs.line)
    return _polygon_texts(corners, ids, layer, len(layers))


def shape_texts(layers: Sequence[Sequence[Array]]) -> list[str]:
    """Path data of the closed shapes of each layer, all layers at once."""
    shapes = [points for parts in layers for points in parts]
    if not shapes:
        return ["" for _ in layers]
    ids = np.repeat(np.arange(len(shapes)), [len(points) for points in shapes])
    return _polygon_texts(np.concatenate(shapes), ids, _owners(layers), len(layers))


def _polygon_texts(points: Array, ids: Ints, layer: Ints, count: int) -> list[str]:
    """Path data of polygons by layer, in relative moves between corners on the grid.

    ids : polygon of each point
    layer : layer of each polygon
    """
    corners = to_grid(points)
    start = _firsts(ids)
    moved = corners[1:] != corners[:-1]
    keep = start.copy()
    keep[1:] |= moved[:, 0] | moved[:, 1]
    corners, start, layer = corners[keep], start[keep], layer[ids[keep]]
    # a polygon is placed from the start of the last one, the first of a layer from nowhere
    origin = corners[np.maximum.accumulate(np.arange(len(start)) * start)]
    index = corners + _REACH
    index[1:] -= np.where(start[1:, None], origin[:-1], corners[:-1])
    fresh = _firsts(layer)
    index[fresh] = corners[fresh] + _REACH
    index[start, 0] += _BLOCK
    return _texts(index, layer, count)


def _texts(index: Ints, layer: Ints, count: int) -> list[str]:
    """The text of path data given by places in the table, a row to a move or a shape, cut where the layer changes."""
    words = _WORDS.take(index)
    cuts = np.searchsorted(layer, np.arange(count + 1)).tolist()
    return [_text(words[a:b]) if a < b else "" for a, b in pairwise(cuts)]


def _text(words: NDArray[np.uint64]) -> str:
    return words.tobytes().translate(None, b"\0").decode("ascii")[1:] + "z"


def hair_texts(
    layers: Sequence[Sequence[Hairs]], form: str, thinnest: float = THINNEST
) -> list[str]:
    """Path data of the hairs of each layer that are slivers or leaves, all layers at once.

    All are wound the same way round, so that overlaps stay filled.
    """
    chosen = [[part for part in parts if part.form == form] for parts in layers]
    hairs = [part for parts in chosen for part in parts]
    if not hairs:
        return ["" for _ in layers]
    layer = np.repeat(_owners(chosen), [len(part.widths) for part in hairs])
    wide = np.concatenate([part.widths for part in hairs])
    seen = wide >= thinnest
    root, middle, tip = (
        np.concatenate([getattr(part, end) for part in hairs])[seen]
        for end in ("root", "middle", "tip")
    )
    outlined = _slivers if form == "sliver" else _leaves
    points = outlined(root, middle, tip, _side(root, tip, wide[seen]))
    return _curve_texts(to_grid(np.stack(points)), layer[seen], len(layers))


def _side(root: Array, tip: Array, wide: Array) -> Array:
    """From the chord of each hair to its left, as far as it is wide."""
    chord = tip - root
    length = np.maximum(np.hypot(chord[:, 0], chord[:, 1]), 1e-9)
    return (wide / length)[:, None] * turned(chord)


def _slivers(root: Array, middle: Array, tip: Array, side: Array) -> list[Array]:
    bow = middle - 0.5 * (root + tip)
    turned = (bow[:, :1] * side[:, :1] + bow[:, 1:] * side[:, 1:]) < 0
    root, tip = np.where(turned, tip, root), np.where(turned, root, tip)
    return [root, 0.5 * (root + tip) + np.where(turned, -2.0, 2.0) * side, tip]


def _leaves(root: Array, middle: Array, tip: Array, side: Array) -> list[Array]:
    control = 2 * middle - 0.5 * (root + tip)
    return [root, control + side, tip, control - side]


def _curve_texts(corners: Ints, layer: Ints, count: int) -> list[str]:
    """Path data by layer of shapes from start, control and end, closed straight or by a second control."""
    moves = corners - corners[0]
    moves[0] = corners[0]
    moves[0, 1:] -= corners[0, :-1]
    moves[0, _firsts(layer)] = corners[0, _firsts(layer)]
    if len(corners) > 3:
        moves[3] = corners[3] - corners[2]
        moves = np.concatenate([moves, [corners[0] - corners[2]]])
    index = moves.transpose(1, 0, 2) + _REACH
    index[:, 0, 0] += _BLOCK
    index[:, 1::2, 0] += 2 * _BLOCK
    return _texts(index, layer, count)


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
    return _text(_WORDS.take(index)).replace("zm", "m")[:-1]


def to_grid(points: Array) -> Ints:
    """Plate units to the integer grid, y down."""
    return np.rint(points * _GRID).astype(np.int64)
