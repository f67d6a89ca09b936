"""The head in profile: outline, mouth, eye, nose and ears, in the head's own axes."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from .breeds import BASE
from .conformation import HeadFrame, Landmarks, side_landmarks
from .splines import Array, Curve


@dataclass(frozen=True)
class HeadShape:
    """Outline samples from occiput round the nose to the throat, and the furniture of the head."""

    outline: Array
    span: int
    mouth: Array
    eye: Array
    eye_size: float
    nose: Array
    muzzle_end: Array
    frame: HeadFrame
    skull: float
    muzzle: float
    wide: float
    deep: float
    after_occiput: Array
    before_throat: Array

    def at(self, points: Array) -> Array:
        """Head coordinates (n, 2) to the plate."""
        a, b = points.T
        return np.column_stack(self.frame.at(a, b))

    def on_muzzle(self, points: Array) -> Array:
        """Muzzle points (share of muzzle, depth below the bridge) to the plate."""
        m, b = points.T
        return np.column_stack(self.frame.on_muzzle(self.skull + m * self.muzzle, b))


SKULL_KNOTS, BRIDGE_END, NOSE_END, LIP_END = 8, 12, 18, 21


def _outline(
    p: Mapping[str, float], frame: HeadFrame, skull: float, muzzle: float
) -> Array:
    wide, deep, stop, dome = p["skull_d"] / 20, p["muz_d"] / 10, p["stop"], p["dome"]
    top = [
        (0, 0),
        (0.12, 0.62 * dome),
        (0.34, dome),
        (0.58, 0.98 * dome),
        (0.78, 0.62 * dome),
        (0.905, -0.12 * stop),
        (0.965, -0.5 * stop),
        (1.02, -0.93 * stop),
    ]
    points = [frame.at(a * skull, b) for a, b in top]
    for m, b, dish, hump in (
        (0.16, -0.18, 0.5, 0.7),
        (0.45, -0.1, 1, 1),
        (0.72, 0, 0.75, 0.6),
        (0.88, 0.12, 0.2, 0.1),
    ):
        points.append(
            frame.on_muzzle(skull + m * muzzle, b - dish * p["dish"] + hump * p["hump"])
        )
    end = skull + muzzle
    for a, b in (
        (-1.3, 0.55),
        (0.1, 0.35),
        (0.95, -0.7),
        (0.95, -2),
        (0.25, -3.3),
        (-0.55, -3.9),
    ):
        points.append(frame.on_muzzle(end + a, b * (1 - 0.5 * p["snipe"])))
    lip = deep / 1.12 * (1 - p["snipe"])
    for a, b in ((-0.75, -5), (-0.45, -6.3), (-0.85, -7.5)):
        points.append(frame.on_muzzle(end + a, min(b * lip, -4.2 - 0.4 * abs(b + 5))))
    for m, b, share in (
        (0.935, -8, 1),
        (0.875, -9.6, 1),
        (0.77, -10.5, 1),
        (0.52, -10.7, 0.5),
    ):
        below = min(b * deep * (1 - p["snipe"] * m), -5.4 + 0.6 * (b + 8))
        points.append(
            frame.on_muzzle(skull + m * muzzle + share * p["jaw_shift"], below)
        )
    points.append(
        frame.on_muzzle(skull + 0.24 * muzzle, -11.3 * (0.6 * deep + 0.4 * wide))
    )
    points.append(frame.at(0.97 * skull, -stop - 12.3 * (0.3 * deep + 0.7 * wide)))
    for a, b in ((0.79, -17), (0.63, -18.6), (0.46, -20.2), (0.31, -22.2)):
        points.append(frame.at(a * skull, b * wide))
    return np.array(points)


def _parts(
    m: Landmarks, p: Mapping[str, float]
) -> tuple[HeadFrame, float, float, Array]:
    skull, muzzle = p["head_len"] * (1 - p["muzzle"]), p["head_len"] * p["muzzle"]
    frame = HeadFrame(m["occiput"], p["head_ang"], skull, p["stop"], p["muz_turn"])
    return frame, skull, muzzle, _outline(p, frame, skull, muzzle)


def _joined(m: Landmarks, outline: Array) -> Array:
    """The outline with a neck point before it and one after it, so that the curves meet without a kink."""
    d = np.subtract(m["withers"], m["occiput"])
    nape = (
        np.array(m["occiput"]) + 0.12 * d + 1.3 * np.array([-d[1], d[0]]) / np.hypot(*d)
    )
    neck = np.add(m["throat"], (2.0, -9.5))
    return np.vstack([nape, outline, neck])


_MARKS = side_landmarks(BASE)
_CURVE = Curve(_joined(_MARKS, _parts(_MARKS, BASE)[3]))


def head_shape(m: Landmarks, p: Mapping[str, float]) -> HeadShape:
    """The head of a dog with these landmarks and parameters."""
    frame, skull, muzzle, points = _parts(m, p)
    span = _CURVE.per_span
    outline = _CURVE(_joined(m, points))[span:-span]
    deep = p["muz_d"] / 10
    mouth = [
        frame.on_muzzle(skull + s * muzzle, b * deep * (1 - p["snipe"] * s))
        for s, b in (
            (0.965, -7.3),
            (0.84, -8.1),
            (0.64, -8.5),
            (0.44, -8.7),
            (0.27, -8.6),
            (0.175, -8.1),
        )
    ]
    return HeadShape(
        outline=outline,
        span=span,
        mouth=np.array(mouth),
        eye=np.array(m["eye"]),
        eye_size=p["eye_size"],
        nose=outline[(BRIDGE_END) * span : (NOSE_END - 1) * span + 1],
        muzzle_end=np.array(m["nose"]),
        frame=frame,
        skull=skull,
        muzzle=muzzle,
        wide=p["skull_d"] / 20,
        deep=deep,
        after_occiput=points[1],
        before_throat=points[-2],
    )
