"""The head in profile, for the side view and the head study."""

import numpy as np

from .coats import locks, ribs
from .ears import Ear, ear
from .engraving import Lines, clipped
from .furniture import contour, eye, mouth, nose, stroke, whiskers
from .layers import Ink, Scene, by_station, edge_locks, hair_layer, rib_layer, shade
from .light import width
from .markings import darken
from .patches import between, darkness
from .side import SPAN, neck_layer
from .splines import Array
from .surface import head_patch
from .svg import Drawing


def head_layers(s: Scene, drawing: Drawing) -> None:
    """Head with eye, nose, mouth and ear."""
    w = s.grain.contour
    h, theme = s.shape.head, s.theme
    made = ear(h, s.dog.breed.ear, s.dog.params["ear_size"])
    if made.far is not None:
        drawing.shape(made.far)
        edge = np.vstack([made.far, made.far[:1]])
        half = len(edge) // 2
        shaded = shade(s, edge[:half], edge[half:][::-1], (0.3, 0.0))
        drawing.ink([shaded, contour(edge, 1.0, theme, w, (0, 0), 0.8)])
    drawing.shape(h.outline)
    drawing.ink(
        [
            *_hatch(s),
            contour(h.outline, -1.0, theme, w, (0.0, 0.04), 1.0),
            *mouth(h, w),
        ]
    )
    fills, strokes = eye(h, w, theme)
    leather, lights = nose(h)
    for colour, points in [*fills, (theme.pitch, leather)]:
        drawing.fill(colour, points)
    drawing.shine(lights)
    if w < 1.5:
        drawing.fill(theme.ink, *whiskers(h))
    drawing.ink([*strokes, *(_rough_face(s) if s.coat.face else [])], 0.03)
    _ear(s, drawing, made)


def head_study(s: Scene, drawing: Drawing) -> None:
    """The head alone, larger and finer, with the upper neck dying away."""
    neck_layer(s, drawing)
    head_layers(s, drawing)


def _hatch(s: Scene) -> Ink:
    p = head_patch(s.shape)
    if s.coat.is_smooth:
        return [
            rib_layer(
                s,
                "head",
                p,
                s.grain.head,
                15,
                by_station((0, 0.2), (1.4, 1), (11, 1), (12, 0.4)),
            )
        ]
    bare = 5.2 if not s.coat.face else 7.2
    lines: Ink = [
        rib_layer(
            s,
            "head",
            p,
            s.grain.head,
            13,
            by_station((bare - 1.3, 0), (bare - 0.3, 1), (11, 1), (12, 0.4)),
            bare - 1.3,
        )
    ]
    fade = by_station((0, 0.8), (bare - 2.4, 1), (bare - 0.9, 0))
    lines.append(hair_layer(s, "head", p, 1.15 * s.grain.head, fade, 0, bare, -0.6, 3))
    return lines


def _rough_face(s: Scene) -> Ink:
    """Brows forward, beard down and back."""
    h = s.shape.head
    out = h.outline
    brow = h.at(
        np.array(
            [
                [0.82 * h.skull, 0.7],
                [0.90 * h.skull, -0.2],
                [0.97 * h.skull, -0.5 * h.frame.stop],
            ]
        )
    )
    beard = out[int(21 * SPAN) : int(25.5 * SPAN)]
    cheek = h.at(
        np.array(
            [
                [0.72 * h.skull, -17.0 * h.wide],
                [0.5 * h.skull, -18.6 * h.wide],
                [0.33 * h.skull, -20 * h.wide],
            ]
        )
    )
    rows = (
        (brow, (1.0, 0.9, 0.55), -1.0, (0.6, 1, 0.8), 21),
        (beard, (2.3, 0.7, 0.62), -1.0, (0.8, 1, 0.9, 0.5), 22),
        (cheek, (1.2, 1.4, 0.8), -1.0, (0.5, 1, 1), 23),
    )
    return [
        locks(
            line,
            (a * s.dog.breed.coat_len, b, c),
            s.dog.seed + salt,
            side,
            np.array(grow),
        )
        for line, (a, b, c), side, grow, salt in rows
    ]


def _ear(s: Scene, drawing: Drawing, made: Ear) -> None:
    w = s.grain.contour
    hangs = s.dog.breed.ear.startswith("drop")
    if hangs and not s.theme.white_line:
        drawing.ink([_cast_shadow(s, made)])
    for k, outline in enumerate(made.outlines):
        drawing.shape(outline)
        closed = np.vstack([outline, outline[:1]])
        turn = np.sum(closed[:-1, 0] * closed[1:, 1] - closed[1:, 0] * closed[:-1, 1])
        lines: Ink = [
            contour(closed, -1.0 if turn > 0 else 1.0, s.theme, 1.05 * w, (0, 0), 1.0)
        ]
        for upper, lower, extra in (
            made.hatched if len(made.outlines) == 1 else made.hatched[k : k + 1]
        ):
            lines.append(_ear_hatch(s, upper, lower, extra))
        if k == len(made.outlines) - 1:
            lines += [stroke(fold, 0.45 * w**0.7, (0.6, 0)) for fold in made.folds]
        if hangs:
            tip = made.hatched[0][0][:-3]
            lines += edge_locks(s, "leg", tip[::-1], 1.0, (0.2, 0.8, 1, 0.8), 24)
        drawing.ink(lines)


def _cast_shadow(s: Scene, made: Ear) -> Lines:
    """What a hanging ear throws on the cheek, away from the light."""
    back, front, _ = made.hatched[0]
    away = np.array((0.9, -1.1)) * s.shape.head.skull / 20
    return shade(s, back + away, front + away, (0.42, 0.6))


def _ear_hatch(s: Scene, upper: Array, lower: Array, extra: float) -> Lines:
    p = between(upper, lower, 9, 1.3, [(0, 0.08), (8, -0.08)])
    samples = 9
    where, present, gap = ribs(p, 0.95 * s.grain.head, samples)
    bare = clipped(darkness(p, where) + extra, 0, 1)
    dark = darken(s.marks, "ear", where.s, where.v, bare, np.zeros(len(where.s)))
    wide = width(dark, gap, s.theme.white_line) * present
    return Lines.rows(where.points.reshape(-1, samples, 2), wide.reshape(-1, samples))
