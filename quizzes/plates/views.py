"""Which part of the plate's plane each view needs."""

from collections.abc import Iterable

from .conformation import Conformation, tail_line
from .svg import Box

SIDE_BOX: Box = (-58.0, -140.0, 192.0, 146.0)
# How far an ear reaches above the occiput, on a skull 20 long.
_EAR_REACH = {"prick": 15.5, "semi-prick": 11.5, "drop-short": 5.5, "drop": 3.5}


def view_box(dogs: Iterable[Conformation], view: str = "side") -> Box:
    """One box for a whole class, so that sizes compare: x, y, width, height in plate units, y down."""
    boxes = [_BOXES[view](dog) for dog in dogs]
    left, top = min(b[0] for b in boxes), min(b[1] for b in boxes)
    right, bottom = max(b[0] + b[2] for b in boxes), max(b[1] + b[3] for b in boxes)
    return left, top, right - left, bottom - top


def _side_box(dog: Conformation) -> Box:
    """The usual box, widened where a tail, an ear or a long body needs it."""
    m = dog.side
    tail = tail_line(dog.params, m["tail_set"])
    hair = 5 + 6 * dog.breed.coat_len * (dog.breed.coat == "feathered")
    left = min(SIDE_BOX[0], m["nose"][0] - 6, *(x - hair for x, _ in tail))
    right = max(
        SIDE_BOX[0] + SIDE_BOX[2], m["rear_heel"][0] + 8, *(x + hair for x, _ in tail)
    )
    skull = dog.params["head_len"] * (1 - dog.params["muzzle"]) / 20
    ears = m["occiput"][1] + _EAR_REACH[dog.breed.ear] * skull * dog.params["ear_size"]
    high = max(-SIDE_BOX[1], ears, *(y + hair for _, y in tail))
    return left, -high, right - left, high + 6.0


def _upright_box(dog: Conformation) -> Box:
    """Front and rear."""
    p = dog.params
    half = max(
        24.0,
        1.9 * p["skull_w"],
        *(
            p[w] + 11
            for w in ("chest_w", "rib_w", "foot_w", "rear_foot_w", "thigh_out_w")
        ),
    )
    _, top, _, high = _side_box(dog)
    return -half, top, 2 * half, high


def _top_box(dog: Conformation) -> Box:
    """Under the side view, on the same x."""
    left, _, wide, _ = _side_box(dog)
    half = max(
        22.0,
        1.75 * dog.params["skull_w"],
        *(dog.params[w] + 7 for w in ("rib_w", "hip_w", "shoulder_w")),
    )
    return left, -half, wide, 2 * half


def _head_box(dog: Conformation) -> Box:
    """Head and upper neck, of one size for all heads of a breed."""
    x, y = dog.side["occiput"]
    up = max(14.0, 20.0 / 15.5 * _EAR_REACH[dog.breed.ear] * dog.params["ear_size"] + 3)
    return x - 56.0, -(y + up), 88.0, up + 50.0


_BOXES = {
    "side": _side_box,
    "front": _upright_box,
    "rear": _upright_box,
    "top": _top_box,
    "head": _head_box,
}
