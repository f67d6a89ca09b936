"""The measuring layer: lines, arcs and values laid on a plate, each from named points along a named axis."""

from collections.abc import Callable, Iterable
from math import atan2, cos, degrees, hypot, radians, sin

from .conformation import Conformation, Landmarks, Point
from .measuring import DEGREES, FELT, RATIO, Measurement, measure
from .svg import number
from .themes import THEMES, Theme

BONE_WIDTH = 1.25


class Pen:
    """Draws in plate units, y up, on a plate that may be mirrored; text is never mirrored."""

    def __init__(self, theme: Theme, mirror_about: float | None):
        self.theme = theme
        self.about = mirror_about
        self.parts: list[str] = []
        self.taken: list[tuple[float, ...]] = []

    def xy(self, point: Point) -> str:
        """A point as coordinates on the page."""
        x = point[0] if self.about is None else 2 * self.about - point[0]
        return f"{number(x)} {number(-point[1])}"

    def line(self, points: Iterable[Point], kind: str) -> None:
        """A line of a kind: bone (solid green), felt (dashed pencil) or plumb (dotted ink)."""
        data = "M" + "L".join(self.xy(point) for point in points)
        t = self.theme
        style = {
            "bone": f'stroke="{t.green}" stroke-width="{BONE_WIDTH}"',
            "felt": f'stroke="{t.pencil}" stroke-width="{BONE_WIDTH}" stroke-dasharray="3 1.8"',
            "plumb": f'stroke="{t.ink}" stroke-width="0.7" stroke-dasharray="0.1 1.7"',
        }[kind]
        halo = f'<path d="{data}" fill="none" stroke="{t.leaf}" stroke-width="2.8" stroke-linecap="round" stroke-linejoin="round"/>'
        self.parts.append(
            f'{halo}<path d="{data}" fill="none" stroke-linecap="round" stroke-linejoin="round" {style}/>'
        )

    def dot(self, point: Point, kind: str) -> None:
        """A ring at a landmark."""
        colour = self.theme.pencil if kind == "felt" else self.theme.green
        x, y = self.xy(point).split()
        self.parts.append(
            f'<circle cx="{x}" cy="{y}" r="1.5" fill="{self.theme.leaf}" stroke="{colour}" stroke-width="0.9"/>'
        )

    def text(
        self,
        point: Point,
        words: str,
        kind: str = "bone",
        size: float = 5.2,
        anchor: str = "middle",
    ) -> None:
        """A value with a halo, so that it reads on hatching; moved up or down where another one stands."""
        colours = {"felt": self.theme.pencil, "plumb": self.theme.ink}
        point = self._free(point, 0.56 * size * len(words), size, anchor)
        x, y = self.xy(point).split()
        if self.about is not None:
            anchor = {"start": "end", "end": "start"}.get(anchor, anchor)
        style = f'font-family="sans-serif" font-size="{number(size)}" font-weight="600" text-anchor="{anchor}"'
        halo = f'stroke="{self.theme.leaf}" stroke-width="1.8" stroke-linejoin="round" paint-order="stroke"'
        colour = colours.get(kind, self.theme.green)
        self.parts.append(
            f'<text x="{x}" y="{y}" {style} {halo} fill="{colour}" dominant-baseline="central">{words}</text>'
        )

    def _free(self, point: Point, wide: float, high: float, anchor: str) -> Point:
        """The nearest place above or below a point where no other value stands."""
        shift = {"start": 0.0, "middle": -0.5, "end": -1.0}[anchor] * wide
        for step in (0, 1, -1, 2, -2, 3, -3):
            x, y = point[0], point[1] + step * (high + 0.6)
            box = (x + shift, y - high / 2, x + shift + wide, y + high / 2)
            if all(_apart(box, other) for other in self.taken):
                break
        self.taken.append(box)
        return x, y


def _apart(a: tuple[float, ...], b: tuple[float, ...]) -> bool:
    return a[2] < b[0] or b[2] < a[0] or a[3] < b[1] or b[3] < a[1]


def value_words(found: Measurement) -> str:
    """The value as printed on the plate."""
    if found.unit == DEGREES:
        return f"{found.value:.0f}°"
    return f"{found.value:.2f}" if found.unit == RATIO else f"{found.value:.1f}"


def measuring_layer(
    dog: Conformation,
    names: Iterable[str],
    theme: str = "light",
    mirror_about: float | None = None,
) -> str:
    """Figures of these measurements as SVG elements in plate units, to be laid on the plate of the same dog.

    `mirror_about` is the x of the mirror's axis for a mirrored plate. Raises KeyError for an unknown measurement.
    """
    names = tuple(names)
    if not names:
        return ""
    pen = Pen(THEMES[theme], mirror_about)
    found = measure(dog)
    marks: dict[str, Landmarks] = {
        "side": dog.side,
        "front": dog.front,
        "rear": dog.rear,
        "top": dog.top,
    }
    for name in names:
        one = found[name]
        _FIGURES[one.figure](pen, one, marks[one.view])
    return "".join(pen.parts)


def landmark_layer(
    dog: Conformation,
    names: Iterable[str],
    theme: str = "light",
    mirror_about: float | None = None,
) -> str:
    """Rings at side-view landmarks with their names in words."""
    pen = Pen(THEMES[theme], mirror_about)
    points = {name: dog.side[name] for name in names}
    for x, y in points.values():
        pen.dot((x, y), "bone")
        pen.taken.append((x - 1.6, y - 1.6, x + 1.6, y + 1.6))
    for name, (x, y) in points.items():
        anchor = "end" if x < 8 else "start" if x > 96 else "middle"
        place = (
            x + {"end": -3, "start": 3}.get(anchor, 0),
            y + (0 if anchor != "middle" else -5 if name in _UNDERLINE else 5),
        )
        pen.text(place, name.replace("_", " "), "plumb", 4.0, anchor)
    return "".join(pen.parts)


# Their names stand below them, on the paper under the belly.
_UNDERLINE = frozenset({"brisket", "sternum_end", "tuck", "flank"})


def _kind(found: Measurement) -> str:
    return "felt" if found.axis == FELT else "bone"


def _arc(corner: Point, start: float, end: float, radius: float) -> list[Point]:
    """Points on an arc the short way round, angles in degrees."""
    turn = (end - start + 180) % 360 - 180
    steps = max(int(abs(turn) / 8), 2)
    angles = [radians(start + turn * k / steps) for k in range(steps + 1)]
    return [(corner[0] + radius * cos(a), corner[1] + radius * sin(a)) for a in angles]


def _heading(a: Point, b: Point) -> float:
    return degrees(atan2(b[1] - a[1], b[0] - a[0]))


def _sector(
    pen: Pen,
    corner: Point,
    start: float,
    end: float,
    words: str,
    kind: str,
    radius: float,
) -> None:
    """An arc between two headings with its value; values taken by hand stand on the other side of the corner."""
    pen.line(_arc(corner, start, end, radius), "plumb")
    turn = (end - start + 180) % 360 - 180
    middle = radians(start + turn / 2)
    reach = radius + (5.0 if abs(turn) > 40 else 7.0)
    if kind == "felt":
        middle = radians(start - 24) if abs(turn) < 60 else middle + radians(180)
        reach = radius if abs(turn) < 60 else 8.0
    spot = (corner[0] + reach * cos(middle), corner[1] + reach * sin(middle))
    pen.text(spot, words, kind)


def _slope(pen: Pen, found: Measurement, m: Landmarks) -> None:
    """A bone against the vertical through its lower or upper end."""
    a, b = m[found.points[0]], m[found.points[1]]
    up = 1.0 if b[1] > a[1] else -1.0
    length = hypot(b[0] - a[0], b[1] - a[1])
    pen.line([a, (a[0], a[1] + up * length)], "plumb")
    pen.line([a, b], _kind(found))
    _sector(
        pen, a, 90 * up, _heading(a, b), value_words(found), _kind(found), 0.62 * length
    )
    for point in (a, b):
        pen.dot(point, _kind(found))


def _fall(pen: Pen, found: Measurement, m: Landmarks) -> None:
    """A line against the horizontal through its front end."""
    a, b = m[found.points[0]], m[found.points[1]]
    length = hypot(b[0] - a[0], b[1] - a[1])
    pen.line([a, (a[0] + length, a[1])], "plumb")
    pen.line([a, b], _kind(found))
    _sector(pen, a, 0.0, _heading(a, b), value_words(found), _kind(found), 0.7 * length)
    for point in (a, b):
        pen.dot(point, _kind(found))


def _angle(pen: Pen, found: Measurement, m: Landmarks) -> None:
    a, corner, b = (m[name] for name in found.points)
    pen.line([a, corner, b], _kind(found))
    _sector(
        pen,
        corner,
        _heading(corner, a),
        _heading(corner, b),
        value_words(found),
        _kind(found),
        7.0,
    )
    for point in (a, corner, b):
        pen.dot(point, _kind(found))


def _ratio(pen: Pen, found: Measurement, m: Landmarks) -> None:
    points = [m[name] for name in found.points]
    pen.line(points, _kind(found))
    for point in points:
        pen.dot(point, _kind(found))
    x, y = points[1]
    pen.text((x - 9, y - 5), value_words(found), _kind(found))


def _run(pen: Pen, found: Measurement, m: Landmarks) -> None:
    """A distance along the ground, shown on a level line with plumb lines to its points."""
    a, b = m[found.points[0]], m[found.points[1]]
    level = min(a[1], b[1]) - (42 if abs(b[0] - a[0]) > 40 else 16)
    for point in (a, b):
        pen.line([point, (point[0], level)], "plumb")
        pen.dot(point, _kind(found))
    pen.line([(a[0], level), (b[0], level)], _kind(found))
    pen.text((0.5 * (a[0] + b[0]), level - 5), value_words(found), _kind(found))


def _drop(pen: Pen, found: Measurement, m: Landmarks) -> None:
    """A difference of height, shown on an upright line beside its points."""
    a, b = m[found.points[0]], m[found.points[1]]
    x = b[0]
    pen.line([a, (x, a[1])], "plumb")
    pen.line([(x, a[1]), b], _kind(found))
    for point in (a, b):
        pen.dot(point, _kind(found))
    pen.text((x + 9, 0.5 * (a[1] + b[1])), value_words(found), _kind(found))


def _height(pen: Pen, found: Measurement, m: Landmarks) -> None:
    x, y = m[found.points[0]]
    pen.line([(x, 0.0), (x, y)], _kind(found))
    pen.dot((x, y), _kind(found))
    pen.text((x + 10, 0.5 * y), value_words(found), _kind(found))


def _lines(pen: Pen, found: Measurement, m: Landmarks) -> None:
    points = [m[name] for name in found.points]
    pairs = [points[:2], points[2:]] if len(points) == 4 else [points]
    for pair in pairs:
        pen.line(pair, _kind(found))
    for point in points:
        pen.dot(point, _kind(found))
    x = sum(point[0] for point in points) / len(points)
    pen.text(
        (x, max(point[1] for point in points) + 7), value_words(found), _kind(found)
    )


def _plumb(pen: Pen, found: Measurement, m: Landmarks) -> None:
    x, y = m[found.points[0]]
    pen.line([(x, y), (x, 0.0)], "plumb")
    pen.dot((x, y), _kind(found))
    pen.dot(m[found.points[1]], _kind(found))
    pen.text((x + 8, 10), value_words(found), _kind(found))


def _width(pen: Pen, found: Measurement, m: Landmarks) -> None:
    x, y = m[found.points[0]]
    if found.view == "top":
        pen.line([(x, 0.0), (x, y)], _kind(found))
        pen.dot((x, y), _kind(found))
        pen.text((x, y + 5), value_words(found), _kind(found))
        return
    pen.line([(0.0, y), (x, y)], _kind(found))
    pen.line([(0.0, y - 5), (0.0, y + 5)], "plumb")
    pen.dot((x, y), _kind(found))
    # Under its line: outside it, the page of a dog that stands wide would end before the value does.
    pen.text((0.5 * x, y - 5), value_words(found), _kind(found))


def _none(pen: Pen, found: Measurement, m: Landmarks) -> None:
    """A figure that no line can show is written beside its first point."""
    x, y = m[found.points[0]]
    pen.dot((x, y), _kind(found))
    pen.text((x + 9, y + 4), value_words(found), _kind(found))


_FIGURES: dict[str, Callable[[Pen, Measurement, Landmarks], None]] = {
    "slope": _slope,
    "fall": _fall,
    "angle": _angle,
    "ratio": _ratio,
    "run": _run,
    "drop": _drop,
    "height": _height,
    "lines": _lines,
    "line": _lines,
    "plumb": _plumb,
    "width": _width,
    "none": _none,
}
