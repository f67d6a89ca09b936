"""What can be measured on a conformation, and from which points and which axis.

The same dog gives different figures by bone axes and by the points a hand can feel, so no value comes without its points.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import atan2, degrees, hypot

from .conformation import Conformation, Landmarks, Point, tail_angles

DEGREES, RATIO, UNITS = "degrees", "ratio", "per cent of height"


@dataclass(frozen=True)
class Measurement:
    """A value with its unit, the landmarks it was taken from, its axis, and what kind of figure shows it."""

    name: str
    label: str
    value: float
    unit: str
    view: str
    points: tuple[str, ...]
    axis: str
    figure: str


def _vector(m: Landmarks, a: str, b: str) -> Point:
    return m[b][0] - m[a][0], m[b][1] - m[a][1]


def _distance(m: Landmarks, a: str, b: str) -> float:
    return hypot(*_vector(m, a, b))


def _from_vertical(m: Landmarks, a: str, b: str) -> float:
    dx, dy = _vector(m, a, b)
    return degrees(atan2(dx, abs(dy)))


def _below_horizontal(m: Landmarks, a: str, b: str) -> float:
    dx, dy = _vector(m, a, b)
    return degrees(atan2(-dy, abs(dx)))


def _inside(m: Landmarks, a: str, corner: str, b: str) -> float:
    ax, ay = _vector(m, corner, a)
    bx, by = _vector(m, corner, b)
    return degrees(atan2(abs(ax * by - ay * bx), ax * bx + ay * by))


def _along_head(m: Landmarks, a: str, b: str) -> float:
    ax, ay = _vector(m, "occiput", "stop_high")
    dx, dy = _vector(m, a, b)
    return (dx * ax + dy * ay) / hypot(ax, ay)


def _stop_step(m: Landmarks) -> float:
    ax, ay = _vector(m, "occiput", "stop_high")
    dx, dy = _vector(m, "occiput", "stop_low")
    return abs(ax * dy - ay * dx) / hypot(ax, ay)


def _muzzle_share(m: Landmarks) -> float:
    return _along_head(m, "stop_low", "nose") / _along_head(m, "occiput", "stop_low")


def _elbow_ratio(m: Landmarks) -> float:
    return (m["withers"][1] - m["point_of_elbow"][1]) / m["point_of_elbow"][1]


def _planes(m: Landmarks) -> float:
    return _below_horizontal(m, "stop_low", "nose") - _below_horizontal(
        m, "occiput", "stop_high"
    )


def _bones(m: Landmarks, near: str, mid: str, far: str) -> float:
    return _distance(m, mid, far) / _distance(m, near, mid)


Taken = Callable[[Landmarks], float]
BONE, FELT, LEVEL, SKIN = (
    "along the bones",
    "between points the hand can feel",
    "level and plumb",
    "along the skin line",
)

# name: label, unit, points, axis, figure, how it is taken
_SIDE: Mapping[str, tuple[str, str, tuple[str, ...], str, str, Taken]] = {
    "layback": (
        "Layback of the blade, from vertical",
        DEGREES,
        ("shoulder_joint", "scapula_top"),
        BONE,
        "slope",
        lambda m: _from_vertical(m, "shoulder_joint", "scapula_top"),
    ),
    "upper_arm": (
        "Upper arm, from vertical",
        DEGREES,
        ("shoulder_joint", "elbow_joint"),
        BONE,
        "slope",
        lambda m: _from_vertical(m, "shoulder_joint", "elbow_joint"),
    ),
    "shoulder_angle": (
        "Shoulder angle",
        DEGREES,
        ("scapula_top", "shoulder_joint", "elbow_joint"),
        BONE,
        "angle",
        lambda m: _inside(m, "scapula_top", "shoulder_joint", "elbow_joint"),
    ),
    "layback_felt": (
        "Layback by hand, from vertical",
        DEGREES,
        ("point_of_shoulder", "scapula_top"),
        FELT,
        "slope",
        lambda m: _from_vertical(m, "point_of_shoulder", "scapula_top"),
    ),
    "shoulder_angle_felt": (
        "Shoulder angle by hand",
        DEGREES,
        ("scapula_top", "point_of_shoulder", "point_of_elbow"),
        FELT,
        "angle",
        lambda m: _inside(m, "scapula_top", "point_of_shoulder", "point_of_elbow"),
    ),
    "arm_to_blade": (
        "Upper arm to blade",
        RATIO,
        ("scapula_top", "shoulder_joint", "elbow_joint"),
        BONE,
        "ratio",
        lambda m: _bones(m, "scapula_top", "shoulder_joint", "elbow_joint"),
    ),
    "blade_to_arm_felt": (
        "Blade to upper arm by hand",
        RATIO,
        ("scapula_top", "point_of_shoulder", "point_of_elbow"),
        FELT,
        "ratio",
        lambda m: 1 / _bones(m, "scapula_top", "point_of_shoulder", "point_of_elbow"),
    ),
    "elbow_behind_blade": (
        "Elbow behind the top of the blade",
        UNITS,
        ("scapula_top", "elbow_joint"),
        LEVEL,
        "run",
        lambda m: m["elbow_joint"][0] - m["scapula_top"][0],
    ),
    "elbow_angle": (
        "Elbow angle",
        DEGREES,
        ("shoulder_joint", "elbow_joint", "carpus"),
        BONE,
        "angle",
        lambda m: _inside(m, "shoulder_joint", "elbow_joint", "carpus"),
    ),
    "pastern": (
        "Pastern, from vertical",
        DEGREES,
        ("carpus", "front_fetlock"),
        BONE,
        "slope",
        lambda m: -_from_vertical(m, "carpus", "front_fetlock"),
    ),
    "pelvis": (
        "Slope of the pelvis, below horizontal",
        DEGREES,
        ("ilium", "point_of_buttock"),
        BONE,
        "fall",
        lambda m: _below_horizontal(m, "ilium", "point_of_buttock"),
    ),
    "croup": (
        "Slope of the croup, below horizontal",
        DEGREES,
        ("croup_top", "tail_set"),
        SKIN,
        "fall",
        lambda m: _below_horizontal(m, "croup_top", "tail_set"),
    ),
    "pelvis_to_thigh": (
        "Pelvis to thigh",
        DEGREES,
        ("ilium", "point_of_buttock", "hip_joint", "stifle"),
        BONE,
        "lines",
        lambda m: (
            _below_horizontal(m, "ilium", "point_of_buttock")
            + _below_horizontal(m, "hip_joint", "stifle")
        ),
    ),
    "stifle": (
        "Stifle, inside angle",
        DEGREES,
        ("hip_joint", "stifle", "hock_joint"),
        BONE,
        "angle",
        lambda m: _inside(m, "hip_joint", "stifle", "hock_joint"),
    ),
    "hock": (
        "Hock, inside angle",
        DEGREES,
        ("stifle", "hock_joint", "rear_fetlock"),
        BONE,
        "angle",
        lambda m: _inside(m, "stifle", "hock_joint", "rear_fetlock"),
    ),
    "hock_height": (
        "Height of the hock joint",
        UNITS,
        ("hock_joint",),
        LEVEL,
        "height",
        lambda m: m["hock_joint"][1],
    ),
    "thigh_to_second_thigh": (
        "Second thigh to thigh",
        RATIO,
        ("hip_joint", "stifle", "hock_joint"),
        BONE,
        "ratio",
        lambda m: _bones(m, "hip_joint", "stifle", "hock_joint"),
    ),
    "rear_pastern": (
        "Rear pastern, from vertical",
        DEGREES,
        ("hock_joint", "rear_fetlock"),
        BONE,
        "slope",
        lambda m: -_from_vertical(m, "hock_joint", "rear_fetlock"),
    ),
    "length": (
        "Length, point of shoulder to point of buttock",
        RATIO,
        ("point_of_shoulder", "point_of_buttock"),
        LEVEL,
        "run",
        lambda m: (
            (m["point_of_buttock"][0] - m["point_of_shoulder"][0]) / m["withers"][1]
        ),
    ),
    "length_breastbone": (
        "Length, breastbone to point of buttock",
        RATIO,
        ("prosternum", "point_of_buttock"),
        LEVEL,
        "run",
        lambda m: (m["point_of_buttock"][0] - m["prosternum"][0]) / m["withers"][1],
    ),
    "forechest": (
        "Breastbone in front of the point of shoulder",
        UNITS,
        ("point_of_shoulder", "prosternum"),
        LEVEL,
        "run",
        lambda m: m["point_of_shoulder"][0] - m["prosternum"][0],
    ),
    "withers_to_elbow": (
        "Withers to elbow against elbow to ground",
        RATIO,
        ("withers", "point_of_elbow"),
        LEVEL,
        "drop",
        _elbow_ratio,
    ),
    "depth": (
        "Depth of chest, withers to brisket",
        UNITS,
        ("withers", "brisket"),
        LEVEL,
        "drop",
        lambda m: m["withers"][1] - m["brisket"][1],
    ),
    "tuck_up": (
        "Tuck-up, brisket to belly",
        UNITS,
        ("brisket", "tuck"),
        LEVEL,
        "drop",
        lambda m: m["tuck"][1] - m["brisket"][1],
    ),
    "back": (
        "Middle of the back against the withers",
        UNITS,
        ("withers", "back_mid"),
        LEVEL,
        "drop",
        lambda m: m["back_mid"][1] - m["withers"][1],
    ),
    "loin": (
        "Loin against the line from back to croup",
        UNITS,
        ("back_mid", "loin_start", "croup_top"),
        SKIN,
        "lines",
        lambda m: (
            m["loin_start"][1]
            - _line_height(m, "back_mid", "croup_top", m["loin_start"][0])
        ),
    ),
    "croup_height": (
        "Croup against the withers",
        UNITS,
        ("withers", "croup_top"),
        LEVEL,
        "drop",
        lambda m: m["croup_top"][1] - m["withers"][1],
    ),
    "tail_set": (
        "Tail set below the croup",
        UNITS,
        ("croup_top", "tail_set"),
        LEVEL,
        "drop",
        lambda m: m["croup_top"][1] - m["tail_set"][1],
    ),
    "head_length": (
        "Length of head, occiput to nose",
        UNITS,
        ("occiput", "nose"),
        "along the head",
        "line",
        lambda m: _along_head(m, "occiput", "nose"),
    ),
    "muzzle_to_skull": (
        "Muzzle to skull",
        RATIO,
        ("occiput", "stop_low", "nose"),
        "along the head",
        "ratio",
        _muzzle_share,
    ),
    "planes": (
        "Planes of skull and muzzle, spread in front",
        DEGREES,
        ("occiput", "stop_high", "stop_low", "nose"),
        "skull line against bridge line",
        "lines",
        _planes,
    ),
    "stop": (
        "Step of the stop",
        UNITS,
        ("occiput", "stop_high", "stop_low"),
        "square to the skull line",
        "lines",
        _stop_step,
    ),
    "neck": (
        "Length of neck, occiput to withers",
        UNITS,
        ("occiput", "withers"),
        "straight line",
        "line",
        lambda m: _distance(m, "occiput", "withers"),
    ),
    "crest": (
        "Crest above the line from occiput to withers",
        UNITS,
        ("occiput", "nape_mid", "withers"),
        "square to that line",
        "lines",
        lambda m: _off_line(m, "occiput", "withers", "nape_mid"),
    ),
    "balance": (
        "Plumb line from the point of buttock, behind the rear toes",
        UNITS,
        ("point_of_buttock", "rear_toe"),
        LEVEL,
        "plumb",
        lambda m: m["point_of_buttock"][0] - m["rear_toe"][0],
    ),
}

# name: label, unit, view, point whose distance from the midline counts, figure
_WIDTHS: Mapping[str, tuple[str, str, str]] = {
    "front_shoulder": (
        "Points of shoulder from the midline",
        "front",
        "point_of_shoulder",
    ),
    "front_chest": ("Chest from the midline", "front", "chest"),
    "front_elbow": ("Elbow from the midline", "front", "elbow_joint"),
    "front_carpus": ("Carpus from the midline", "front", "carpus"),
    "front_foot": ("Front foot from the midline", "front", "foot"),
    "rear_hip": ("Hip from the midline", "rear", "hip"),
    "rear_stifle": ("Stifle from the midline", "rear", "stifle"),
    "rear_hock": ("Point of hock from the midline", "rear", "point_of_hock"),
    "rear_foot": ("Rear foot from the midline", "rear", "foot"),
    "ribs": ("Ribs from the midline", "top", "ribs"),
    "loin_width": ("Loin from the midline", "top", "loin"),
    "hips_top": ("Hips from the midline", "top", "hip"),
}


def _line_height(m: Landmarks, a: str, b: str, x: float) -> float:
    dx, dy = _vector(m, a, b)
    return m[a][1] + dy * (x - m[a][0]) / dx


def _off_line(m: Landmarks, a: str, b: str, point: str) -> float:
    dx, dy = _vector(m, a, b)
    px, py = _vector(m, a, point)
    return (dx * py - dy * px) / hypot(dx, dy)


def measure(dog: Conformation) -> dict[str, Measurement]:
    """Every measurement of a dog by name, from the side, front, rear and above."""
    found: dict[str, Measurement] = {}
    for name, (label, unit, points, axis, figure, taken) in _SIDE.items():
        found[name] = Measurement(
            name, label, taken(dog.side), unit, "side", points, axis, figure
        )
    views = {"front": dog.front, "rear": dog.rear, "top": dog.top}
    for name, (label, view, point) in _WIDTHS.items():
        value = views[view][point][0 if view != "top" else 1]
        found[name] = Measurement(
            name, label, value, UNITS, view, (point,), "square to the midline", "width"
        )
    return found | _others(dog)


def _others(dog: Conformation) -> dict[str, Measurement]:
    """Angles and sizes that no pair of landmarks gives."""
    p = dog.params
    rows = (
        (
            "tail_carriage",
            "Tail at the root, above horizontal",
            tail_angles(p)[0],
            DEGREES,
            "side",
            ("tail_set",),
        ),
        (
            "fore_toes",
            "Front toes turned out",
            p["fore_turn"],
            DEGREES,
            "front",
            ("foot", "toe"),
        ),
        (
            "rear_toes",
            "Rear toes turned out",
            p["rear_turn"],
            DEGREES,
            "rear",
            ("foot", "toe"),
        ),
        (
            "foot_spread",
            "Half-width of the front foot",
            p["foot_spread"],
            UNITS,
            "front",
            ("foot", "foot_edge"),
        ),
        (
            "toe_height",
            "Height of the toes",
            p["toe_height"],
            UNITS,
            "front",
            ("foot", "toe_top"),
        ),
        (
            "muzzle_depth",
            "Depth of the muzzle at the lip",
            _muzzle_depth(dog),
            UNITS,
            "side",
            ("nose", "chin"),
        ),
        (
            "jaw",
            "Lower jaw before the upper",
            p["jaw_shift"],
            UNITS,
            "side",
            ("lip_front", "chin"),
        ),
        (
            "bridge",
            "Bridge against its straight line",
            p["hump"] - p["dish"],
            UNITS,
            "side",
            ("stop_low", "nose"),
        ),
    )
    return {row[0]: Measurement(*row, "as drawn", "none") for row in rows}


def _muzzle_depth(dog: Conformation) -> float:
    return 0.93 * dog.params["muz_d"] * (1 - 0.8 * dog.params["snipe"])
