"""The side view: order of layers, and which lines each part is hatched with."""

import numpy as np

from .coats import ribs
from .engraving import Lines, noise, smoothstep
from .furniture import contour, ground, toes
from .layers import (
    Fade,
    Ink,
    Scene,
    above,
    by_station,
    edge_locks,
    hair_layer,
    nails,
    rib_layer,
    shade,
)
from .light import Bump
from .markings import darken
from .patches import Patch, darkness
from .splines import Array
from .surface import body_bumps, foreleg_patch, tail_patch, trunk_patch
from .svg import Drawing

FAR_FORE, FAR_HIND = np.array([-5.5, 0.9]), np.array([-5.0, 0.9])
SPAN = 6


def side_layers(s: Scene, drawing: Drawing) -> None:
    """Paint body, legs and tail back to front."""
    bumps = body_bumps(s.dog)
    m = s.dog.side
    left, right = (
        m["front_toe"][0] - 12,
        max(m["rear_heel"][0], m["point_of_buttock"][0]) + 6,
    )
    drawing.ink(ground(left, right, s.dog.seed, s.grain.contour))
    paint_far_legs(s, drawing)
    paint_tail(s, drawing)
    paint_trunk(s, drawing, bumps)
    paint_foreleg(s, drawing, bumps)


def paint_trunk(s: Scene, drawing: Drawing, bumps: list[Bump]) -> None:
    shape, g = s.shape, s.grain
    drawing.shape(np.vstack([shape.top, shape.under[::-1]]))
    p = trunk_patch(shape, bumps)
    leg = (shape.fore_front[0], shape.fore_back[0] + (0, 1.5))
    lines: Ink = []
    if s.coat.is_smooth:
        lines.append(
            rib_layer(
                s,
                "trunk",
                p,
                g.trunk,
                21,
                above(*leg, by_station((0, 1), (23, 1), (24.2, 0))),
                0,
                24.2,
            )
        )
    else:
        # short rough hair and curls clothe the leg to the hock, longer coats only the thigh
        to = 22.4 if s.coat.clothes_legs else 19.5
        body = above(*leg, by_station((0, 1), (to - 2, 1), (to, 0)))
        lines.append(hair_layer(s, "trunk", p, 0.95 * g.trunk, body, 0, to))
        lower = by_station((to - 2.4, 0), (to - 0.7, 1), (23, 1), (24.2, 0))
        lines.append(rib_layer(s, "trunk", p, 0.95 * g.trunk, 9, lower, to - 2.4, 24.2))
        if s.coat.form != "curl":
            darkest = above(*leg, by_station((0, 0), (1.5, 1), (16, 1), (18, 0)))
            lines.append(_cross(s, p, 1.3 * g.trunk, darkest))
    lines += _trunk_contours(s) + _trunk_locks(s)
    drawing.ink(lines)


def neck_layer(s: Scene, drawing: Drawing) -> None:
    """The upper neck for a head study: hatching and contours die away towards the withers."""
    shape, w = s.shape, s.grain.contour
    p = trunk_patch(shape, body_bumps(s.dog))
    dying = by_station((0, 1), (1.6, 1), (3.6, 0))
    lines: Ink = []
    if s.coat.is_smooth:
        lines.append(rib_layer(s, "trunk", p, 0.8 * s.grain.trunk, 21, dying, 0, 3.6))
    else:
        lines.append(hair_layer(s, "trunk", p, 0.8 * s.grain.trunk, dying, 0, 3.6))
    thin = w * (1.0 if s.coat.is_smooth else 0.7)
    lines.append(contour(shape.top[: int(3.4 * SPAN)], 1.0, s.theme, thin, (0, 0.5)))
    lines.append(
        contour(shape.under[: int(2.4 * SPAN)], -1.0, s.theme, thin, (0.02, 0.5))
    )
    lines += edge_locks(s, "crest", shape.top[SPAN : 3 * SPAN], 1.0, (0.5, 1, 0.5), 0)
    lines += edge_locks(
        s, "throat", shape.under[SPAN : 2 * SPAN], -1.0, (0.4, 0.7, 0.4), 3
    )
    drawing.ink(lines)


def _cross(s: Scene, p: Patch, spacing: float, fade: Fade) -> Lines:
    """A second set across the first, only where it is darkest."""
    samples = 9
    at, present, gap = ribs(p, spacing, samples, 0, 18)
    ragged = 2 * noise(len(at.s), s.dog.seed, 60) - 1
    dark = darken(s.marks, "trunk", at.s, at.v, darkness(p, at), ragged)
    if s.theme.white_line:
        dark = 0.98 - dark
    wide = 0.20 * gap * present * smoothstep(0.52, 0.85, dark) * fade(at)
    return Lines.rows(at.points.reshape(-1, samples, 2), wide.reshape(-1, samples))


def _trunk_contours(s: Scene) -> Ink:
    shape, w, theme = s.shape, s.grain.contour, s.theme
    thin = w * (1.0 if s.coat.is_smooth else 0.7)
    flank = 13 * SPAN
    toe_lines, claws = toes(shape.thigh_front[16 * SPAN], s.dog.params["foot"], w)
    sole = np.vstack([shape.thigh_front[-10:], shape.top[-1:]])
    return [
        contour(shape.top, 1.0, theme, thin),
        contour(shape.under[: flank - 2 * SPAN], -1.0, theme, thin, (0.02, 0.0)),
        contour(shape.belly_end, -1.0, theme, thin, (0.0, 0.3)),
        contour(shape.thigh_front, -1.0, theme, w, (0.16, 0.0)),
        contour(sole, -1.0, theme, w, (0.0, 0.0), 0.8),
        *toe_lines,
        *nails(claws),
    ]


def _trunk_locks(s: Scene) -> Ink:
    top, under = s.shape.top, s.shape.under
    pieces = (
        ("crest", top[2 : 5 * SPAN], 1.0, (0.5, 1, 0.9, 0.5)),
        ("topline", top[5 * SPAN : 11 * SPAN], 1.0, (0.6, 1, 1, 1)),
        ("rump", top[11 * SPAN : 14 * SPAN], 1.0, (0.8, 1, 1)),
        ("throat", under[SPAN : 7 * SPAN], -1.0, (0.4, 0.8, 1, 1, 0.7)),
        ("belly", under[9 * SPAN : 13 * SPAN], -1.0, (0.9, 1, 0.8, 0.5)),
        ("breech", top[14 * SPAN : 21 * SPAN], 1.0, (0.5, 1, 1, 0.8, 0.3)),
        ("shin", top[21 * SPAN : 28 * SPAN], 1.0, (0.8, 1, 0.6)),
    )
    found: Ink = []
    for salt, (name, line, outside, grow) in enumerate(pieces):
        found += edge_locks(s, name, line, outside, grow, salt)
    return found


def paint_foreleg(s: Scene, drawing: Drawing, bumps: list[Bump]) -> None:
    shape, g, w = s.shape, s.grain, s.grain.contour
    drawing.fill(s.theme.leaf, np.vstack([shape.fore_front, shape.fore_back[::-1]]))
    p = foreleg_patch(shape, bumps)
    ribs_from = by_station((0, 0), (0.6, 0), (2.0, 1), (11, 1))
    lines: Ink = []
    if s.coat.is_smooth:
        lines.append(rib_layer(s, "foreleg", p, g.leg, 13, ribs_from))
    else:
        stop = 9.0 if s.coat.clothes_legs else 4.6
        hairy = by_station((0, 0.3), (1, 1), (stop - 1.2, 1), (stop, 0))
        lines.append(
            hair_layer(s, "foreleg", p, 1.15 * g.leg, hairy, 0.2, stop, 0.25, 2)
        )
        lines.append(
            rib_layer(
                s,
                "foreleg",
                p,
                1.1 * g.leg,
                9,
                by_station((stop - 1.8, 0), (stop - 0.2, 1), (11, 1)),
                stop - 1.8,
            )
        )
    toe_lines, claws = toes(shape.fore_front[14 * SPAN], s.dog.params["foot"], w)
    sole = np.vstack([shape.fore_front[-14:], shape.fore_back[-1:]])
    lines += [
        contour(shape.fore_front, -1.0, s.theme, w, (0.10, 0.0)),
        contour(shape.fore_back, 1.0, s.theme, w, (0.06, 0.0)),
        contour(sole, -1.0, s.theme, w, (0.0, 0.0), 0.8),
        *toe_lines,
        *nails(claws),
        *edge_locks(s, "elbow", shape.fore_back[4:48], 1.0, (0.7, 1, 0.6, 0.1), 8),
        *edge_locks(s, "shin", shape.fore_back[40:66], 1.0, (0.8, 1, 0.6), 9),
    ]
    drawing.ink(lines)


def paint_far_legs(s: Scene, drawing: Drawing) -> None:
    shape = s.shape
    back = shape.top[14 * SPAN :]
    for front, rear, shift in (
        (shape.fore_front, shape.fore_back, FAR_FORE),
        (shape.thigh_front, back, FAR_HIND),
    ):
        front, rear = front + shift, rear + shift
        drawing.shape(np.vstack([front, rear[::-1]]))
        w = s.grain.contour
        edges = [contour(front, -1.0, s.theme, w), contour(rear, 1.0, s.theme, w)]
        drawing.ink([*_far_hatch(s, rear, front), *edges])


def _far_hatch(s: Scene, back: Array, front: Array) -> list[Lines]:
    """Even cross-hatching, down to the toes."""
    leg = front[: int(0.66 * len(front))]
    return [shade(s, back, leg, (0.36, 0.25), (0.18, -0.3))]


def paint_tail(s: Scene, drawing: Drawing) -> None:
    shape, w = s.shape, s.grain.contour
    p = tail_patch(shape)
    drawing.shape(np.vstack([p.upper, p.lower[::-1]]))
    lines: Ink = []
    if s.coat.is_smooth:
        lines.append(
            rib_layer(s, "tail", p, 0.8 * s.grain.leg, 7, by_station((0, 1), (12, 1)))
        )
    else:
        lines.append(
            hair_layer(
                s,
                "tail",
                p,
                0.8 * s.grain.leg,
                by_station((0, 1), (12, 1)),
                0,
                12,
                0.3,
                5,
            )
        )
    thin = w * (0.55 if "undertail" in s.coat.edges else 1.0)
    lines += [
        contour(p.upper, 1.0, s.theme, thin),
        contour(p.lower, -1.0, s.theme, thin),
    ]
    lines += edge_locks(s, "tail", p.lower, -1.0, (0.3, 0.9, 1, 0.9, 0.6), 6)
    lines += edge_locks(s, "undertail", p.upper, 1.0, (0.2, 0.8, 1, 0.9, 0.6), 7)
    drawing.ink(lines)
