"""Where things stand in a picture of progress. Pure geometry: across in per cent, down in pixels."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

TOP, HEIGHT = 14, 168
"""Where "all" stands, and how far below it "none" does."""
FOOT = TOP + HEIGHT


def down(share: float) -> float:
    return round(TOP + (1 - share) * HEIGHT, 1)


@dataclass(frozen=True)
class Dot:
    x: float
    y: float


@dataclass(frozen=True)
class Span:
    """A group: from where to where, its share, and the interval (None without one)."""

    left: float
    right: float
    middle: float
    y: float
    top: float | None
    bottom: float | None


@dataclass(frozen=True)
class Figure:
    dots: Sequence[Dot]
    spans: Sequence[Span]
    height: int = FOOT + 14


def draw(points: Sequence, groups: Sequence) -> Figure:
    """Dots at equal distances in the order of handing in; each group over its own dots."""
    step = 100 / max(len(points), 1)
    across = {
        point.attempt: round((at + 0.5) * step, 2) for at, point in enumerate(points)
    }
    dots = [Dot(across[point.attempt], down(point.share)) for point in points]
    return Figure(dots, [_span(group, across, step) for group in groups])


def _span(group, across, step) -> Span:
    left = across[group.points[0].attempt] - step * 0.35
    right = across[group.points[-1].attempt] + step * 0.35
    result = group.result
    return Span(
        left=round(left, 2),
        right=round(right, 2),
        middle=round((left + right) / 2, 2),
        y=down(result.share),
        top=None if result.high is None else down(result.high),
        bottom=None if result.low is None else down(result.low),
    )
