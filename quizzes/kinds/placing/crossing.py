"""The figure of crossing lines: your order at the left, the key at the right. Pure geometry.

Heights are in CSS pixels, positions across are shares of the middle column, so that the
figure can be as narrow as a phone while its text stays as large as it is.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

ROW = 46
TOP = ROW / 2 + 2
PER_CUT = 11
NO_CUT = 16
ASIDE = 13
"""How far the bracket of a cut keeps from the places above and below."""
SWAY = 45.0
MOST_LETTERS = 8
APART = 22.0, 26.0
"""How far two lettered rings keep apart: per cent of the middle column (on a phone), pixels."""


@dataclass(frozen=True)
class Entry:
    """A dog in one of the two columns."""

    dog: str
    place: int
    tied: bool
    y: float


@dataclass(frozen=True)
class Gap:
    """The cut between two neighbours of the key, beside the right column."""

    top: float
    bottom: float
    cut: int

    @property
    def length(self) -> float:
        return self.bottom - self.top

    @property
    def text_y(self) -> float:
        """Where the number stands, below the top of the bracket."""
        return self.length / 2 + 5


@dataclass(frozen=True)
class Line:
    """The path of one dog from left to right in a box 100 wide."""

    dog: str
    start: float
    end: float
    moved: int

    def height(self, t: float) -> float:
        return self.start + _rise(t) * (self.end - self.start)

    @property
    def path(self) -> str:
        return (
            f"M0 {self.start:g}C{SWAY:g} {self.start:g} {100 - SWAY:g} {self.end:g}"
            f" 100 {self.end:g}"
        )


@dataclass(frozen=True)
class Ring:
    """Where the lines of two dogs cross; x in per cent of the middle column.

    letter : of the explanation; none for a crossing that is only marked
    """

    letter: str
    upper: str
    lower: str
    x: float
    y: float


@dataclass(frozen=True)
class Figure:
    height: float
    yours: tuple[Entry, ...]
    key: tuple[Entry, ...]
    gaps: tuple[Gap, ...]
    lines: tuple[Line, ...]
    rings: tuple[Ring, ...]


def figure(
    answer: Sequence[str],
    groups: Sequence[Sequence[str]],
    cuts: Sequence[int | None],
    letters: Mapping[tuple[str, str], str],
) -> Figure:
    """Lay the figure out.

    answer : dogs placed, best first
    groups : the key's dogs, best first, level dogs together; these are drawn in the order of
        the answer, so that no line crosses for a pair that may stand in either order
    cuts : one per gap between groups, None where there is none
    letters : (upper, lower) in the key -> letter or "", for the pairs that differ, gravest first
    """
    at = {dog: place for place, dog in enumerate(answer)}
    groups = [sorted(group, key=lambda d: at.get(d, len(at))) for group in groups]
    key, gaps, bottom = _key_column(groups, cuts)
    yours, lowest = _your_column(answer, bottom)
    start = {entry.dog: entry for entry in yours}
    order = [dog for group in groups for dog in group]
    moved = {
        dog: abs(order.index(dog) - at) for at, dog in enumerate(answer) if dog in order
    }
    lines = tuple(
        Line(entry.dog, start[entry.dog].y, entry.y, moved[entry.dog])
        for entry in key
        if entry.dog in start
    )
    return Figure(
        height=max(bottom, lowest) + TOP,
        yours=yours,
        key=key,
        gaps=gaps,
        lines=lines,
        rings=_rings({line.dog: line for line in lines}, letters),
    )


def _key_column(groups, cuts):
    """Level dogs close together, the gaps between groups as wide as the cuts."""
    entries, gaps, y, place = [], [], TOP, 1
    for at, group in enumerate(groups):
        if at:
            cut = cuts[at - 1] if at - 1 < len(cuts) else None
            below = y + ROW + (NO_CUT if cut is None else PER_CUT * cut)
            if cut:
                gaps.append(Gap(y + ASIDE, below - ASIDE, cut))
            y = below
        for row, dog in enumerate(group):
            y += ROW if row else 0
            entries.append(Entry(dog, place, len(group) > 1, y))
        place += len(group)
    return tuple(entries), tuple(gaps), y


def _your_column(answer, bottom):
    """Evenly spaced over the height of the key's column."""
    steps = max(len(answer) - 1, 1)
    step = max((bottom - TOP) / steps, ROW)
    entries = tuple(
        Entry(dog, at + 1, False, TOP + at * step) for at, dog in enumerate(answer)
    )
    return entries, entries[-1].y if entries else TOP


def _rings(lines, letters):
    """The crossing of each pair. A lettered ring keeps apart from those before it."""
    rings: list[Ring] = []
    for (upper, lower), letter in letters.items():
        if upper in lines and lower in lines:
            t = _crossing(lines[upper], lines[lower])
            if letter:
                t = _free(lines[upper], t, [ring for ring in rings if ring.letter])
            x, y = _across(t), lines[upper].height(t)
            rings.append(Ring(letter, upper, lower, round(x, 2), round(y, 1)))
    return tuple(rings)


def _free(line, t, rings):
    """The place nearest to t along the line where no other ring is; t if there is none."""
    x = _across(t)
    for step in sorted(range(-80, 81), key=abs):
        if 5 <= x + step <= 95:
            moved = _bisect(_across, x + step) if step else t
            if not any(_touch(ring, x + step, line.height(moved)) for ring in rings):
                return moved
    return t


def _touch(ring, x, y):
    return abs(ring.x - x) < APART[0] and abs(ring.y - y) < APART[1]


def _rise(t: float) -> float:
    """How much of its rise or fall a line has done at t."""
    return 3 * t * t - 2 * t**3


def _across(t: float) -> float:
    """How far across the middle column a line is at t, in per cent."""
    return 3 * (1 - t) ** 2 * t * SWAY + 3 * (1 - t) * t * t * (100 - SWAY) + 100 * t**3


def _crossing(one: Line, other: Line) -> float:
    """The t at which two lines meet: they share x at every t, so only heights count."""
    lead = other.start - one.start
    return _bisect(_rise, lead / (lead - (other.end - one.end)))


def _bisect(rising, value: float) -> float:
    low, high = 0.0, 1.0
    for _step in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if rising(middle) < value else (low, middle)
    return low


def letters_for(pairs: Sequence[tuple[str, str]]) -> dict[tuple[str, str], str]:
    """A letter for each pair: a to z, then aa, ab and so on, never a number as on an armband."""
    letters = "abcdefghijklmnopqrstuvwxyz"
    names = [*letters, *(one + other for one in letters for other in letters)]
    return dict(zip(pairs, names, strict=False))
