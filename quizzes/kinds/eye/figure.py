"""Errors of one measurement over time as a picture, with the mean and the limits of agreement."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from quizzes.drawing.amounts import amount
from quizzes.grading.limits import FEWEST, Limits, limits_of_agreement
from quizzes.kinds.eye.asked import ASKABLE
from quizzes.kinds.eye.errors import Error
from quizzes.kinds.eye.explained import signed
from quizzes.kinds.eye.looks import unit_of

TOP, HEIGHT, FOOT = 12.0, 170.0, 12.0
SHOWN = 60
LEAST_REACH = 8.0


@dataclass(frozen=True)
class Figure:
    """x in per cent of the width, y in pixels.

    lines : (y, kind) of the mean and of both limits
    """

    dots: Sequence[tuple[float, float]]
    zero: float
    lines: Sequence[tuple[float, str]]
    ticks: Sequence[tuple[float, str]]
    height: float = TOP + HEIGHT + FOOT


@dataclass(frozen=True)
class Series:
    """A person's errors at one measurement, the earliest first.

    limits : None with too few errors
    """

    name: str
    errors: Sequence[Error]
    limits: Limits | None

    @property
    def label(self) -> str:
        return ASKABLE[self.name].label

    @property
    def unit(self) -> str:
        return unit_of(ASKABLE[self.name])

    @property
    def to_go(self) -> int:
        return FEWEST - len(self.errors)

    @property
    def rows(self) -> list[dict]:
        """The latest first, for the table."""
        return [
            {
                "attempt": one.attempt,
                "when": one.when,
                "said": amount(one.said, self.unit),
                "true": amount(one.true, self.unit),
                "off": signed(one.off, self.unit),
            }
            for one in reversed(self.errors[-SHOWN:])
        ]

    @property
    def told(self) -> dict:
        """The figures in words, each with its interval."""
        one = self.limits
        pairs = {
            "bias": (one.bias, one.around_bias),
            "low": (one.low, one.around_low),
            "high": (one.high, one.around_high),
        }
        return {
            name: {
                "value": signed(value, self.unit),
                "from": signed(around[0], self.unit),
                "to": signed(around[1], self.unit),
            }
            for name, (value, around) in pairs.items()
        } | {"sd": amount(one.sd, self.unit), "mean": self._mean(one.bias)}

    def _mean(self, bias: float) -> str:
        """The mean error, as it is said in a sentence."""
        values = {"amount": amount(abs(bias), self.unit)}
        if round(abs(bias), 1) == 0:
            return _("On average they are right.")
        if bias > 0:
            return _("On average they are %(amount)s too much.") % values
        return _("On average they are %(amount)s too little.") % values

    @property
    def figure(self) -> Figure:
        shown = self.errors[-SHOWN:]
        reach = max(LEAST_REACH, *(1.1 * abs(one.off) for one in shown))
        if self.limits:
            reach = max(reach, 1.1 * abs(self.limits.low), 1.1 * abs(self.limits.high))

        def y(off: float) -> float:
            return round(TOP + HEIGHT * (1 - (off / reach + 1) / 2), 1)

        dots = [
            (round(100 * (at + 0.5) / len(shown), 2), y(one.off))
            for at, one in enumerate(shown)
        ]
        step = max(round(reach / 2), 1)
        ticks = [(y(off), signed(off, self.unit)) for off in (step, 0, -step)]
        return Figure(
            dots, y(0), self._lines(y), [(at, _short(text)) for at, text in ticks]
        )

    def _lines(self, y):
        if self.limits is None:
            return []
        one = self.limits
        return [(y(one.bias), "bias"), (y(one.low), "limit"), (y(one.high), "limit")]


def _short(text: str) -> str:
    """The unit stands in the heading; beside the picture there is room for the number."""
    return text.partition("%")[0]


def series_of(errors: dict[str, list[Error]], names: Sequence[str]) -> list[Series]:
    """Those measurements, in that order."""
    found = []
    for name in dict.fromkeys(names):
        mine = errors.get(name, [])
        if mine and name in ASKABLE:
            values = [one.off for one in mine]
            limits = limits_of_agreement(values) if len(mine) >= FEWEST else None
            found.append(Series(name, mine, limits))
    return found
