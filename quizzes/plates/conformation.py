"""From parameters to landmarks, by forward kinematics.

Height at the withers is 100, y points up from the ground, the dog faces towards negative x and x = 0 lies under the
shoulder joint's front. Both legs obey one rule: angles, the ratio of the two bones and the height they have to span are
given, and the common scale of the two bones follows. So every dog stands on the ground with its withers at 100.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from math import cos, radians, sin, tan
from types import MappingProxyType

from .breeds import BREEDS, SEX, Breed
from .faults import fault

Point = tuple[float, float]
Landmarks = Mapping[str, Point]


@dataclass(frozen=True)
class Conformation:
    """One dog as numbers: where it came from, its parameters, and its landmarks in each view."""

    breed: Breed
    faults: tuple[tuple[str, float], ...]
    sex: str
    seed: int
    mirror: bool
    params: Mapping[str, float] = field(hash=False)
    side: Landmarks = field(hash=False)
    front: Landmarks = field(hash=False)
    rear: Landmarks = field(hash=False)
    top: Landmarks = field(hash=False)


def conformation(
    breed: str | Breed,
    faults: Mapping[str, float] | None = None,
    sex: str = "dog",
    seed: int = 0,
    mirror: bool = False,
    adjust: Mapping[str, float] | None = None,
) -> Conformation:
    """A dog of a breed with faults of given strength.

    Parameters
    ----------
    breed : slug in BREEDS, or a Breed
    faults : fault code -> strength, 0 none, 0.5 mild, 1 marked
    sex : "dog" or "bitch"
    seed : chooses coat and pattern, and nothing else
    mirror : face right instead of left when drawn
    adjust : parameter -> amount to add, for natural variation or another build

    Raises
    ------
    KeyError for an unknown breed, fault, sex or parameter; ValueError for a strength outside 0 to 1.
    """
    chosen = BREEDS[breed] if isinstance(breed, str) else breed
    given = tuple(
        sorted((code, float(strength)) for code, strength in (faults or {}).items())
    )
    params = chosen.values()
    shifts = [
        SEX[sex],
        adjust or {},
        *(fault(code).shift(strength) for code, strength in given),
    ]
    for shift in shifts:
        for name, amount in shift.items():
            params[name] += amount
    params = _within_reach(params)
    side = side_landmarks(params)
    views = (side, _front(params), _rear(params), _top(params, side))
    frozen = (MappingProxyType(view) for view in views)
    return Conformation(
        chosen, given, sex, seed, mirror, MappingProxyType(params), *frozen
    )


# Beyond these the drawing no longer stands for a living dog; faults combined freely may ask for more.
_LIMITS: Mapping[str, tuple[float, float]] = {
    "layback": (8, 60),
    "arm": (8, 70),
    "arm_ratio": (0.55, 1.4),
    "pelvis": (4, 60),
    "past": (-12, 48),
    "meta": (-8, 26),
    "thigh": (60, 89),
    "shank": (28, 76),
    "shank_ratio": (0.7, 1.5),
    "stop": (0.2, 9),
    "muzzle": (0.12, 0.65),
    "muz_d": (7, 18),
    "snipe": (0, 0.45),
    "head_len": (24, 60),
    "neck_len": (20, 60),
    "tail_drop": (1.0, 18),
    "tail_back": (3, 14),
    "bone": (0.7, 1.7),
    "toe_height": (2.6, 9),
    "hock_w": (2.6, 22),
    "rear_foot_w": (3.4, 22),
    "carpus_w": (3.2, 24),
    "foot_w": (3.8, 24),
    "elbow_w": (4, 26),
    "shoulder_w": (4, 26),
    "chest_w": (6, 30),
    "rib_w": (6, 30),
}


def _within_reach(params: dict[str, float]) -> dict[str, float]:
    for name, (low, high) in _LIMITS.items():
        params[name] = min(max(params[name], low), high)
    params["depth"] = min(max(params["depth"], 30.0), 72.0)
    brisket = 100 - params["depth"]
    params["tuck"] = max(params["tuck"], brisket - 6.0)
    return params


def _unit(degrees: float) -> Point:
    return cos(radians(degrees)), sin(radians(degrees))


def _along(start: Point, degrees: float, length: float) -> Point:
    dx, dy = _unit(degrees)
    return start[0] + length * dx, start[1] + length * dy


def _between(a: Point, b: Point, share: float) -> Point:
    return a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])


def side_landmarks(p: Mapping[str, float]) -> dict[str, Point]:
    """All named points of the side view."""
    marks: dict[str, Point] = {}
    marks |= _foreleg(p)
    marks |= _hindquarters(p)
    marks |= _trunk(p, marks)
    marks |= _neck_and_head(p, marks)
    marks |= _tail(p, marks)
    return marks


def _foreleg(p: Mapping[str, float]) -> dict[str, Point]:
    lay_sin, lay_cos = sin(radians(p["layback"])), cos(radians(p["layback"]))
    arm_sin, arm_cos = sin(radians(p["arm"])), cos(radians(p["arm"]))
    blade = (97 - p["elbow_h"]) / (lay_cos + p["arm_ratio"] * arm_cos)
    upper = blade * p["arm_ratio"]
    shoulder = (4.0, 97 - blade * lay_cos)
    top = (4.0 + blade * lay_sin, 97.0)
    elbow = (shoulder[0] + upper * arm_sin, shoulder[1] - upper * arm_cos)
    drop, lean = (
        p["past_len"] * cos(radians(p["past"])),
        p["past_len"] * sin(radians(p["past"])),
    )
    carpus = (elbow[0] - p["knuckle"], p["fetlock_h"] + drop)
    fetlock = (elbow[0] - 0.4 * p["knuckle"] - lean, p["fetlock_h"])
    return {
        "shoulder_joint": shoulder,
        "scapula_top": top,
        "withers": (top[0] + 0.6, 100.0),
        "point_of_shoulder": (0.0, shoulder[1] + 0.3),
        "elbow_joint": elbow,
        "point_of_elbow": (elbow[0] + 3.5, elbow[1] + 3.8),
        "carpus": carpus,
        "front_fetlock": fetlock,
        "front_toe": (fetlock[0] - 9.6 * p["foot"], 1.7),
        "front_heel": (fetlock[0] + 2.4 * p["foot"], 1.0),
    }


def _hindquarters(p: Mapping[str, float]) -> dict[str, Point]:
    along_x, along_y = cos(radians(p["pelvis"])), -sin(radians(p["pelvis"]))
    ilium = (p["length"] - p["pelvis_len"] * along_x, p["croup"] - 3)
    buttock = (p["length"], ilium[1] + p["pelvis_len"] * along_y)
    on_pelvis = _between(ilium, buttock, 0.64)
    hip = (on_pelvis[0] + 3.3 * along_y, on_pelvis[1] - 3.3 * along_x)
    scale = (hip[1] - p["hock_h"]) / (
        sin(radians(p["thigh"])) + p["shank_ratio"] * sin(radians(p["shank"]))
    )
    stifle = _along(hip, -180 + p["thigh"], scale)
    hock = _along(stifle, -p["shank"], scale * p["shank_ratio"])
    fetlock = (
        hock[0] - (hock[1] - p["rear_fetlock_h"]) * tan(radians(p["meta"])),
        p["rear_fetlock_h"],
    )
    turn = 0.35 * (50 - p["shank"]) - 0.5 * p["meta"]
    c, s = _unit(turn)
    return {
        "ilium": ilium,
        "point_of_buttock": buttock,
        "hip_joint": hip,
        "stifle": stifle,
        "hock_joint": hock,
        "point_of_hock": (hock[0] + 3.4 * c - 5.0 * s, hock[1] + 3.4 * s + 5.0 * c),
        "rear_fetlock": fetlock,
        "rear_toe": (fetlock[0] - 10.0 * p["foot"], 1.7),
        "rear_heel": (fetlock[0] + 1.7 * p["foot"], 1.0),
    }


def _trunk(p: Mapping[str, float], m: Mapping[str, Point]) -> dict[str, Point]:
    withers, croup_x = m["withers"], m["ilium"][0] - 1
    longer = p["length"] - 105
    brisket = (32 + 0.15 * longer, 100 - p["depth"])

    def on_back(share: float, height: float) -> Point:
        return withers[0] + share * (croup_x - withers[0]), height

    return {
        "back_mid": on_back(0.333, p["back"]),
        "loin_start": on_back(0.632, p["loin"]),
        "loin_mid": on_back(0.79, p["loin_mid"]),
        "croup_top": (croup_x, p["croup"] + p["croup_skin"]),
        "tail_set": (p["length"] - p["tail_back"], p["croup"] - p["tail_drop"]),
        "prosternum": (-p["forechest"], p["prosternum"]),
        "brisket": brisket,
        "sternum_end": (50 + 0.45 * longer, brisket[1] + p["sternum_drop"]),
        "tuck": (74 + 0.9 * longer, p["tuck"]),
        "flank": (80 + longer, p["flank"]),
        "neck_base_front": (1.6 - p["forechest"], p["prosternum"] + 9.5),
    }


def _neck_and_head(p: Mapping[str, float], m: Mapping[str, Point]) -> dict[str, Point]:
    occiput = _along(m["withers"], 180 - p["neck_ang"], p["neck_len"])
    skull, muzzle = p["head_len"] * (1 - p["muzzle"]), p["head_len"] * p["muzzle"]
    wide, deep = p["skull_d"] / 20, p["muz_d"] / 10
    frame = HeadFrame(occiput, p["head_ang"], skull, p["stop"], p["muz_turn"])
    return {
        "occiput": occiput,
        "stop_high": frame.at(0.924 * skull, 0),
        "stop_low": frame.at(skull, -p["stop"]),
        "nose": frame.on_muzzle(skull + muzzle, 0),
        "eye": frame.at(0.875 * skull, -p["stop"] - 3.1 * (0.5 + 0.5 * wide)),
        "lip_front": frame.on_muzzle(skull + muzzle - 0.6, -6.4 * deep / 1.12),
        "chin": frame.on_muzzle(skull + 0.77 * muzzle + p["jaw_shift"], -10.5 * deep),
        "lip_corner": frame.on_muzzle(skull + 0.175 * muzzle, -8.1 * deep),
        "jaw_angle": frame.at(0.63 * skull, -18.6 * wide),
        "throat": frame.at(0.31 * skull, -22.2 * wide),
        "ear_base": frame.at(0.25 * skull, -3.0),
        "nape_mid": _raised(occiput, m["withers"], 0.4, 1.5 - 0.9 * p["ewe"]),
    }


def _raised(start: Point, end: Point, share: float, height: float) -> Point:
    """A point on the line between two points, raised square to it (upwards)."""
    x, y = _between(start, end, share)
    dx, dy = end[0] - start[0], end[1] - start[1]
    length = (dx * dx + dy * dy) ** 0.5
    return x - dy / length * height, y + dx / length * height


@dataclass(frozen=True)
class HeadFrame:
    """The head's own axes: a from the occiput towards the nose, b square to it and up."""

    origin: Point
    slope: float
    skull: float
    stop: float
    turn: float

    @cached_property
    def _axis(self) -> Point:
        return _unit(self.slope)

    @cached_property
    def _muzzle_axis(self) -> Point:
        return _unit(-self.turn)

    def at(self, a: float, b: float) -> Point:
        """Head coordinates, single or in rows, to plate coordinates."""
        c, s = self._axis
        return self.origin[0] - a * c - b * s, self.origin[1] - a * s + b * c

    def on_muzzle(self, a: float, below: float) -> Point:
        """A muzzle point, given from the bridge, turned with the muzzle about the foot of the stop."""
        c, s = self._muzzle_axis
        along = a - self.skull
        return self.at(
            self.skull + along * c - below * s, along * s + below * c - self.stop
        )


def tail_angles(p: Mapping[str, float]) -> tuple[float, float, float]:
    """Direction at the root, bend and bend of the tip, in degrees.

    A gay tail is carried towards upright; a naturally short one stands out straight, or the thigh would hide it.
    """
    short = max(0.0, 1 - p["tail_len"] / 36)
    root = p["tail_root"] + short * max(0.0, 40 - p["tail_root"])
    gay = p["tail_gay"] ** 0.6
    lifted = root + gay * max(0.0, 72 - root)
    bend = (1 - short) * p["tail_bend"]
    return lifted, bend + gay * max(0.0, 34 - bend), (1 - short) * p["tail_tip"]


def _smooth(low: float, high: float, x: float) -> float:
    t = min(max((x - low) / (high - low), 0.0), 1.0)
    return t * t * (3 - 2 * t)


def tail_line(p: Mapping[str, float], tail_set: Point, steps: int = 24) -> list[Point]:
    """Points along the tail's axis from just inside the body to the tip."""
    root, bend, tip = tail_angles(p)
    x, y = tail_set[0] - 2.2, tail_set[1] - 2.4
    line = [(x, y)]
    for step in range(steps):
        share = (step + 0.5) / steps
        angle = root + bend * _smooth(0, 0.55, share) + tip * _smooth(0.5, 1, share)
        x, y = _along((x, y), angle, p["tail_len"] / steps)
        line.append((x, y))
    return line


def _tail(p: Mapping[str, float], m: Mapping[str, Point]) -> dict[str, Point]:
    line = tail_line(p, m["tail_set"])
    return {"tail_mid": line[len(line) // 2], "tail_tip": line[-1]}


def _front(p: Mapping[str, float]) -> dict[str, Point]:
    return {
        "skull": (p["skull_w"], 128.0),
        "muzzle": (p["muzzle_w"], 118.0),
        "neck": (p["neck_w"], 95.0),
        "point_of_shoulder": (p["shoulder_w"], 71.0),
        "chest": (p["chest_w"], 62.0),
        "ribs": (p["rib_w"], 71.0),
        "elbow_joint": (p["elbow_w"], p["elbow_h"]),
        "carpus": (
            p["carpus_w"],
            p["fetlock_h"] + p["past_len"] * cos(radians(p["past"])),
        ),
        "front_fetlock": (p["foot_w"], p["fetlock_h"]),
        "foot": (p["foot_w"], 0.0),
        "toe": (p["foot_w"] + 5.2 * sin(radians(p["fore_turn"])), 0.0),
        "foot_edge": (p["foot_w"] + p["foot_spread"], 0.0),
        "toe_top": (p["foot_w"], p["toe_height"]),
    }


def _rear(p: Mapping[str, float]) -> dict[str, Point]:
    return {
        "croup_top": (7.0, 95.0),
        "hip": (p["hip_w"], 80.0),
        "thigh": (p["thigh_out_w"], 65.0),
        "stifle": (p["stifle_w"], 48.0),
        "point_of_hock": (p["hock_w"], p["hock_h"] + 5.0),
        "rear_fetlock": (p["rear_foot_w"], p["rear_fetlock_h"]),
        "foot": (p["rear_foot_w"], 0.0),
        "toe": (p["rear_foot_w"] + 5.2 * sin(radians(p["rear_turn"])), 0.0),
    }


def _top(p: Mapping[str, float], m: Mapping[str, Point]) -> dict[str, Point]:
    return {
        "neck": (_between(m["occiput"], m["withers"], 0.6)[0], 0.8 * p["neck_w"]),
        "shoulder": (m["withers"][0] + 4, 1.2 * p["shoulder_w"]),
        "ribs": (m["back_mid"][0], p["rib_w"]),
        "loin": (m["loin_mid"][0], p["loin_w"]),
        "hip": (m["hip_joint"][0], 1.04 * p["hip_w"]),
        "buttock": (m["point_of_buttock"][0], 1.6),
    }
