"""The staircase as a picture: the difference of each pair on a scale of ratios, and what was read from it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log

from quizzes.drawing.amounts import amount, number

TOP, HEIGHT, FOOT = 12.0, 190.0, 12.0


@dataclass(frozen=True)
class Dot:
    x: float
    y: float
    right: bool


@dataclass(frozen=True)
class Figure:
    """x in per cent of the width, y in pixels.

    ticks : (y, words) of the differences that are named at the side
    band : (top, height) of the interval; None where it is open on either side
    """

    dots: Sequence[Dot]
    ticks: Sequence[tuple[float, str]]
    line: float | None
    band: tuple[float, float] | None
    height: float = TOP + HEIGHT + FOOT

    @property
    def steps(self) -> list[tuple[Dot, Dot]]:
        return list(zip(self.dots, self.dots[1:], strict=False))


class Scale:
    """From differences to heights, the largest at the top."""

    def __init__(self, smallest: float, largest: float):
        self.low, self.high = log(smallest), log(largest)

    def y(self, difference: float) -> float:
        share = (log(difference) - self.low) / (self.high - self.low)
        return round(TOP + HEIGHT * (1 - min(max(share, 0.0), 1.0)), 1)


def staircase(run, told: dict) -> Figure:
    """The figure of a run; told: what the grade says of it."""
    plan, trials = run.content.plan, run.answered
    scale = Scale(plan.smallest, plan.largest)
    rows = zip(trials, run.right, strict=True)
    dots = [
        Dot(round(100 * (at + 0.5) / len(trials), 2), scale.y(one.difference), right)
        for at, (one, right) in enumerate(rows)
    ]
    is_figure = told["short"]["how"] == "about"
    band = _band(scale, told["low"], told["high"]) if is_figure else None
    line = scale.y(told["difference"]) if is_figure else None
    return Figure(dots, _ticks(scale, plan, run.content.unit), line, band)


def _band(scale: Scale, low, high) -> tuple[float, float] | None:
    if low is None or high is None:
        return None
    top, bottom = scale.y(high), scale.y(low)
    return top, round(bottom - top, 1)


def _ticks(scale: Scale, plan, unit: str) -> list[tuple[float, str]]:
    """The ends, and two between at equal ratios."""
    ratio = (plan.smallest / plan.largest) ** (1 / 3)
    values = [plan.largest * ratio**step for step in range(4)]
    short = {"degrees": "°", "points": ""}.get(unit, "%")
    return [(scale.y(value), f"{number(value)}{short}") for value in values]


def said_range(told: dict, unit: str) -> tuple[str, str]:
    """Both ends of the interval in words; empty where the answers set none."""
    low, high = told["low"], told["high"]
    return (
        amount(low, unit) if low is not None else "",
        amount(high, unit) if high is not None else "",
    )
