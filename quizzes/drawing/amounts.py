"""Measurements as people estimate them: degrees, per cent of the height, or per cent of another part."""

from __future__ import annotations

from django.utils.translation import gettext as _

from quizzes.plates import Measurement
from quizzes.plates.measuring import DEGREES as ANGLE
from quizzes.plates.measuring import RATIO

DEGREES, HEIGHT, PER_CENT, POINTS = "degrees", "height", "per cent", "points"

OF_HEIGHT = frozenset({"length", "length_breastbone"})
"""Ratios to the height at the withers."""


def unit_of(one: Measurement) -> str:
    if one.unit == ANGLE:
        return DEGREES
    if one.unit == RATIO and one.name not in OF_HEIGHT:
        return PER_CENT
    return HEIGHT


def value_of(one: Measurement) -> float:
    """The value in that unit."""
    return 100 * one.value if one.unit == RATIO else one.value


def number(value: float) -> str:
    """At most one figure after the point below 10, none above: as fine as it is known."""
    text = f"{value:.1f}" if abs(value) < 9.95 else f"{value:.0f}"
    return text.removesuffix(".0")


def amount(value: float, unit: str, text: str = "") -> str:
    """ "6.2°", "3.1% of height", "12 of 100 points"; with the number as `text`, if that is given."""
    forms = {
        DEGREES: _("%(n)s°"),
        HEIGHT: _("%(n)s%% of height"),
        PER_CENT: _("%(n)s%%"),
        POINTS: _("%(n)s of 100 points"),
    }
    return forms[unit] % {"n": text or number(value)}
