"""Contours of trunk, legs and tail in the side view."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from .breeds import BASE
from .conformation import Landmarks, side_landmarks, tail_line
from .head import HeadShape, head_shape
from .skeleton import Bound, frames
from .splines import Array, Curve, even

_FORE_FRONT = Bound(
    """7,62 arm; 11.6,55.5 arm:.8 fore:.2; 15.4,49 arm:.35 fore:.65; 17.4,43.5 fore; 18.8,36.5 fore; 20.1,28.5 fore;
    20.8,23 fore; 20.6,19.9 K; 20.3,17.2 K; 20,13.8 past:.8 K:.2; 18.8,10 past:.6 foot:.4; 16.8,7.5 foot; 14.3,6 foot;
    12.4,3.9 foot; 11.7,1.7 foot; 12.5,.15 foot; 14.8,0 foot; 16.6,.35 foot; 19.2,0 foot; 23.2,.05 foot""",
    "ffoot",
)
_FORE_BACK = Bound(
    """24.6,1.3 foot; 24.7,3.4 foot; 24.2,6.4 foot:.7 past:.3; 24.8,10.2 past; 26,13.9 past:.5 K:.5; 27.3,15.7 K;
    27.6,17.3 K; 26.8,19.3 K; 26.5,23 fore; 27.2,30 fore; 28.9,38 fore; 30.4,44 fore; 31.1,48.3 E; 30.3,51.6 E""",
    "ffoot",
)
_HIND_FRONT = Bound(
    """80.8,69.5 flank; 82.3,63 flank:.6 thigh:.4; 83.4,56.5 thigh:.8 flank:.2; 84.2,51.5 thigh:.5 S:.5; 85.3,47.6 S;
    87.8,43 shank:.6 S:.4; 92.5,37.8 shank; 98.8,32 shank; 104.2,27 shank; 107.4,23.2 H; 108.5,19.2 H:.5 meta:.5;
    108.6,14.5 meta; 108.2,10 meta:.6 foot:.4; 106.4,7.4 foot; 103.9,6 foot; 101.9,4 foot; 101.1,1.7 foot;
    101.9,.15 foot; 104.2,0 foot; 106,.35 foot; 108.5,0 foot; 112,.05 foot""",
    "rfoot",
)
_HIND_BACK = Bound(
    """105.8,72 B; 105,65 thigh:.5 B:.5; 104,57 thigh; 103.7,49 thigh:.7 shank:.3; 104.9,42 shank:.7 thigh:.3;
    107.8,36.2 shank; 111.8,31.2 P:.6 shank:.4; 114.8,28.2 P; 115.9,25.6 P; 115.5,22 meta:.4 P:.6; 114.5,16 meta;
    113.8,10.5 meta; 113.5,6.6 foot:.6 meta:.4; 113.7,3.4 foot; 113.5,1.3 foot""",
    "rfoot",
)
FLANK_KNOTS = 5


@dataclass(frozen=True)
class SideShape:
    """Everything the side view is drawn from: control points and sampled boundary curves."""

    top: Array  # occiput over the back, down the hind leg to the heel
    under: Array  # throat, forechest, belly, down the hind leg's front to the sole
    thigh_front: Array  # the hind leg's front line, which starts inside the body
    belly_end: Array  # the underline's last piece, running on behind the thigh
    fore_front: Array
    fore_back: Array
    tail_axis: Array
    tail_radius: Array
    head: HeadShape
    landmarks: Landmarks


def _lerp(a: Array, b: Array, share: float) -> Array:
    return a + share * (b - a)


def _square(a: Array, b: Array, share: float, height: float) -> Array:
    d = b - a
    return _lerp(a, b, share) + height * np.array([-d[1], d[0]]) / np.hypot(*d)


def _topline(m: Mapping[str, Array], p: Mapping[str, float]) -> list[Array]:
    crest = zip(
        (0.12, 0.32, 0.56, 0.8),
        (1.3, 1.9, 1.1, -0.35),
        (0.2, 0.6, 1.0, 0.6),
        strict=True,
    )
    thick = (p["neck_th"] - 1) * 3.0
    neck = [
        _square(
            m["occiput"],
            m["withers"],
            share,
            up - hollow * p["ewe"] + thick * share * (1 - share) * 2,
        )
        for share, up, hollow in crest
    ]
    after = _lerp(m["withers"], m["back_mid"], 1 / 3) - (0, 0.15)
    before_tail = np.add(_lerp(m["croup_top"], m["tail_set"], 0.5), (0, 1.0))
    behind = np.add(_lerp(m["tail_set"], m["point_of_buttock"], 0.45), (1.4, 0.6))
    back = [m[name] for name in ("back_mid", "loin_start", "loin_mid", "croup_top")]
    return [
        m["occiput"],
        *neck,
        m["withers"],
        after,
        *back,
        before_tail,
        m["tail_set"],
        behind,
        m["point_of_buttock"],
    ]


def _underline(m: Mapping[str, Array], p: Mapping[str, float]) -> list[Array]:
    """From the throat to the flank."""
    throat, chest, base = m["throat"], m["prosternum"], m["neck_base_front"]
    out = 0.9 + p["throat_bulge"] + 4.0 * (p["neck_th"] - 1)
    neck = [_lerp(base, throat, 0.65) - (out, 0), _lerp(base, throat, 0.32) - (out, 0)]
    brisket = m["brisket"]
    return [
        throat,
        *neck,
        base,
        np.add(chest, (0.35, 3.6)),
        chest,
        np.add(chest, (2, -5.8)),
        0.45 * brisket + 0.55 * chest + (-6.5, -4.4),
        np.add(brisket, (-11, 0.9)),
        brisket,
        m["sternum_end"],
        _lerp(m["sternum_end"], m["tuck"], 0.5) - (0, 0.5),
        m["tuck"],
        m["flank"],
    ]


def _hind_front(posed: Array) -> Array:
    """The hind leg's front points; the top ones must stay above the stifle or a low, bent leg folds over."""
    y = posed[:, 1]
    y[1] = max(y[1], y[2] + 3)
    y[0] = max(y[0], y[1] + 4)
    return posed


def _control(m: Landmarks, p: Mapping[str, float], head: HeadShape) -> dict[str, Array]:
    marks = {name: np.array(point) for name, point in m.items()}
    posed = frames(m, p)
    hind = _hind_front(_HIND_FRONT.pose(posed))
    top = [head.after_occiput, *_topline(marks, p), *_HIND_BACK.pose(posed)]
    belly = _underline(marks, p)
    # a thigh bent far forward carries the flank's fold up and forward with it
    fold = (min(belly[-1][0], hind[2, 0] - 1.5), max(belly[-1][1], hind[2, 1] + 1.5))
    belly[-1] = np.array(fold)
    under = [head.before_throat, *belly, *hind[2:]]
    back = _FORE_BACK.pose(posed)
    lift = m["brisket"][1] + 5.5 - back[-1, 1]
    if lift > 0:
        back[-2:, 1] += (0.4 * lift, lift)
    return {
        "top": np.array(top),
        "under": np.array(under),
        "thigh_front": hind,
        "belly_end": np.array([*belly[-4:], np.add(belly[-1], (3, 2))]),
        "fore_front": _FORE_FRONT.pose(posed),
        "fore_back": back[::-1],
    }


_BASE_MARKS = side_landmarks(BASE)
_BASE_CONTROL = _control(_BASE_MARKS, BASE, head_shape(_BASE_MARKS, BASE))
_CURVES = {name: Curve(points) for name, points in _BASE_CONTROL.items()}


def side_shape(m: Landmarks, p: Mapping[str, float]) -> SideShape:
    """All contours of the side view of a dog with these landmarks and parameters."""
    head = head_shape(m, p)
    control = _control(m, p, head)
    lines = {name: _CURVES[name](points) for name, points in control.items()}
    span = _CURVES["top"].per_span
    lines["top"], lines["under"] = lines["top"][span:], lines["under"][span:]
    axis = np.array(tail_line(p, m["tail_set"]))
    share = even(0, 1, len(axis))
    radius = (3.3 * (1 - share) ** 0.8 + 0.75) * p["bone"] ** 0.5
    return SideShape(
        **lines, tail_axis=axis, tail_radius=radius, head=head, landmarks=m
    )


BASE_SHAPE = side_shape(_BASE_MARKS, BASE)


def nearest(line: Array, points: Array) -> Array:
    """Fractional sample index on a line nearest to each point, ever forward along the line."""
    distance = np.hypot(*(line[None] - points[:, None]).transpose(2, 0, 1))
    return np.maximum.accumulate(distance.argmin(axis=1)).astype(float)
