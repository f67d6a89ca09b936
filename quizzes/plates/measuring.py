"""What can be measured on a conformation, and from which points and which axis.

The same dog gives different figures by bone axes and by the points a hand can feel, so no value comes without its points.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import atan2, degrees, hypot

from .conformation import Conformation, Landmarks, Point, tail_angles

DEGREES, RATIO, UNITS = "degrees", "ratio", "per cent of height"
BONE, FELT = "along the bones", "between points the hand can feel"
_UNIT = {"deg": DEGREES, "ratio": RATIO, "units": UNITS}
_AXIS = {
    "bone": BONE,
    "felt": FELT,
    "level": "level and plumb",
    "skin": "along the skin line",
    "head": "along the head",
    "planes": "skull line against bridge line",
    "square": "square to the skull line",
    "line": "straight line",
    "crest": "square to the line from occiput to withers",
}


@dataclass(frozen=True)
class Measurement:
    """A value with its unit, the landmarks it was taken from, its axis, and the figure that shows it."""

    name: str
    label: str
    value: float
    unit: str
    view: str
    points: tuple[str, ...]
    axis: str
    figure: str


# name | label | unit | how it is taken | points | axis | figure
_TABLE = """
layback | Layback of the blade, from vertical | deg | slope | shoulder_joint scapula_top | bone | slope
upper_arm | Upper arm, from vertical | deg | slope | shoulder_joint elbow_joint | bone | slope
shoulder_angle | Shoulder angle | deg | angle | scapula_top shoulder_joint elbow_joint | bone | angle
layback_felt | Layback by hand, from vertical | deg | slope | point_of_shoulder scapula_top | felt | slope
shoulder_angle_felt | Shoulder angle by hand | deg | angle | scapula_top point_of_shoulder point_of_elbow | felt | angle
arm_to_blade | Upper arm to blade | ratio | far to near | scapula_top shoulder_joint elbow_joint | bone | ratio
blade_to_arm_felt | Blade to upper arm by hand | ratio | near to far | scapula_top point_of_shoulder point_of_elbow | felt | ratio
elbow_behind_blade | Elbow behind the top of the blade | units | run | scapula_top elbow_joint | level | run
elbow_angle | Elbow angle | deg | angle | shoulder_joint elbow_joint carpus | bone | angle
pastern | Pastern, from vertical | deg | lean | carpus front_fetlock | bone | slope
pelvis | Slope of the pelvis, below horizontal | deg | fall | ilium point_of_buttock | bone | fall
croup | Slope of the croup, below horizontal | deg | fall | croup_top tail_set | skin | fall
pelvis_to_thigh | Pelvis to thigh | deg | falls | ilium point_of_buttock hip_joint stifle | bone | lines
stifle | Stifle, inside angle | deg | angle | hip_joint stifle hock_joint | bone | angle
hock | Hock, inside angle | deg | angle | stifle hock_joint rear_fetlock | bone | angle
hock_height | Height of the hock joint | units | height | hock_joint | level | height
thigh_to_second_thigh | Second thigh to thigh | ratio | far to near | hip_joint stifle hock_joint | bone | ratio
rear_pastern | Rear pastern, from vertical | deg | lean | hock_joint rear_fetlock | bone | slope
length | Length to height, point of shoulder to point of buttock | ratio | run to height | point_of_shoulder point_of_buttock | level | run
length_breastbone | Length to height, breastbone to point of buttock | ratio | run to height | prosternum point_of_buttock | level | run
forechest | Breastbone in front of the point of shoulder | units | run | prosternum point_of_shoulder | level | run
withers_to_elbow | Withers to elbow against elbow to ground | ratio | halves | withers point_of_elbow | level | drop
depth | Depth of chest, withers to brisket | units | drop | withers brisket | level | drop
tuck_up | Tuck-up, brisket to belly | units | rise | brisket tuck | level | drop
back | Middle of the back against the withers | units | rise | withers back_mid | level | drop
loin | Loin against the line from back to croup | units | above line | back_mid croup_top loin_start | skin | lines
croup_height | Croup against the withers | units | rise | withers croup_top | level | drop
tail_set | Tail set below the croup | units | drop | croup_top tail_set | level | drop
head_length | Length of head, occiput to nose | units | along head | occiput nose | head | line
muzzle_to_skull | Muzzle to skull | ratio | muzzle share | occiput stop_low nose | head | ratio
planes | Planes of skull and muzzle, spread in front | deg | fall between | occiput stop_high stop_low nose | planes | lines
stop | Step of the stop | units | below line | occiput stop_high stop_low | square | lines
neck | Length of neck, occiput to withers | units | distance | occiput withers | line | line
crest | Crest above the line from occiput to withers | units | off line | occiput withers nape_mid | crest | lines
balance | Plumb line from the point of buttock, behind the rear toes | units | run | rear_toe point_of_buttock | level | plumb
"""

# name | label | view | point whose distance from the midline counts
_WIDTHS = """
front_shoulder | Points of shoulder from the midline | front | point_of_shoulder
front_chest | Chest from the midline | front | chest
front_elbow | Elbow from the midline | front | elbow_joint
front_carpus | Carpus from the midline | front | carpus
front_foot | Front foot from the midline | front | foot
rear_hip | Hip from the midline | rear | hip
rear_stifle | Stifle from the midline | rear | stifle
rear_hock | Point of hock from the midline | rear | point_of_hock
rear_foot | Rear foot from the midline | rear | foot
ribs | Ribs from the midline | top | ribs
loin_width | Loin from the midline | top | loin
hips_top | Hips from the midline | top | hip
"""

# name | label | unit | view | points: sizes that no two landmarks give
_OTHERS = """
tail_carriage | Tail at the root, above horizontal | deg | side | tail_set
fore_toes | Front toes turned out | deg | front | foot toe
rear_toes | Rear toes turned out | deg | rear | foot toe
foot_spread | Half-width of the front foot | units | front | foot foot_edge
toe_height | Height of the toes | units | front | foot toe_top
muzzle_depth | Depth of the muzzle at the lip | units | side | nose chin
jaw | Lower jaw before the upper | units | side | lip_front chin
bridge | Bridge above its straight line | units | side | stop_low nose
"""


def _vector(a: Point, b: Point) -> Point:
    return b[0] - a[0], b[1] - a[1]


def _distance(a: Point, b: Point) -> float:
    return hypot(*_vector(a, b))


def _slope(a: Point, b: Point) -> float:
    dx, dy = _vector(a, b)
    return degrees(atan2(dx, abs(dy)))


def _fall(a: Point, b: Point) -> float:
    dx, dy = _vector(a, b)
    return degrees(atan2(-dy, abs(dx)))


def _angle(a: Point, corner: Point, b: Point) -> float:
    (ax, ay), (bx, by) = _vector(corner, a), _vector(corner, b)
    return degrees(atan2(abs(ax * by - ay * bx), ax * bx + ay * by))


def _off_line(a: Point, b: Point, point: Point) -> float:
    """Distance of a point from the line a to b, positive to its left."""
    (dx, dy), (px, py) = _vector(a, b), _vector(a, point)
    return (dx * py - dy * px) / hypot(dx, dy)


def _above_line(a: Point, b: Point, point: Point) -> float:
    dx, dy = _vector(a, b)
    return point[1] - a[1] - dy * (point[0] - a[0]) / dx


# Every way of measuring, on points given in the table's order; heights refer to withers at 100.
_HOW: Mapping[str, Callable[..., float]] = {
    "slope": _slope,
    "lean": lambda a, b: -_slope(a, b),
    "fall": _fall,
    "falls": lambda a, b, c, d: _fall(a, b) + _fall(c, d),
    "fall between": lambda a, b, c, d: _fall(c, d) - _fall(a, b),
    "angle": _angle,
    "far to near": lambda a, b, c: _distance(b, c) / _distance(a, b),
    "near to far": lambda a, b, c: _distance(a, b) / _distance(b, c),
    "run": lambda a, b: b[0] - a[0],
    "run to height": lambda a, b: (b[0] - a[0]) / 100,
    "drop": lambda a, b: a[1] - b[1],
    "rise": lambda a, b: b[1] - a[1],
    "halves": lambda a, b: (a[1] - b[1]) / b[1],
    "height": lambda a: a[1],
    "distance": _distance,
    "above line": _above_line,
    "off line": _off_line,
    "below line": lambda a, b, point: _off_line(a, b, point),
}


def _on_head(m: Landmarks, a: str, b: str) -> float:
    """Distance along the skull line."""
    (ax, ay), (dx, dy) = _vector(m["occiput"], m["stop_high"]), _vector(m[a], m[b])
    return (dx * ax + dy * ay) / hypot(ax, ay)


def _rows(table: str) -> list[list[str]]:
    return [
        [cell.strip() for cell in line.split("|")]
        for line in table.strip().splitlines()
    ]


_SIDE = _rows(_TABLE)


def _taken(how: str, m: Landmarks, points: tuple[str, ...]) -> float:
    if how == "along head":
        return _on_head(m, *points)
    if how == "muzzle share":
        back, stop, nose = points
        return _on_head(m, stop, nose) / _on_head(m, back, stop)
    return _HOW[how](*(m[name] for name in points))


def measure_side(side: Landmarks) -> dict[str, Measurement]:
    """Measurements from the side by name: those whose landmarks are all given, and not in one place.

    side : faces left, y upwards from the ground; heights refer to withers at 100
    """
    found = {}
    for name, label, unit, how, named, axis, figure in _SIDE:
        points = tuple(named.split())
        head = ("occiput", "stop_high") if axis == "head" else ()
        if not side.keys() >= {*points, *head}:
            continue
        try:
            value = _taken(how, side, points)
        except ZeroDivisionError:
            continue
        found[name] = Measurement(
            name, label, value, _UNIT[unit], "side", points, _AXIS[axis], figure
        )
    return found


def measure(dog: Conformation) -> dict[str, Measurement]:
    """Every measurement of a dog by name, from the side, front, rear and above."""
    found = measure_side(dog.side)
    views = {"front": (dog.front, 0), "rear": (dog.rear, 0), "top": (dog.top, 1)}
    for name, label, view, point in _rows(_WIDTHS):
        marks, across = views[view]
        value = marks[point][across]
        found[name] = Measurement(
            name, label, value, UNITS, view, (point,), "square to the midline", "width"
        )
    values = _other_values(dog)
    for name, label, unit, view, text in _rows(_OTHERS):
        points = tuple(text.split())
        found[name] = Measurement(
            name, label, values[name], _UNIT[unit], view, points, "as drawn", "none"
        )
    return found


def _other_values(dog: Conformation) -> dict[str, float]:
    p = dog.params
    return {
        "tail_carriage": tail_angles(p)[0],
        "fore_toes": p["fore_turn"],
        "rear_toes": p["rear_turn"],
        "foot_spread": p["foot_spread"],
        "toe_height": p["toe_height"],
        "muzzle_depth": 0.93 * p["muz_d"] * (1 - 0.8 * p["snipe"]),
        "jaw": p["jaw_shift"],
        "bridge": p["hump"] - p["dish"],
    }
