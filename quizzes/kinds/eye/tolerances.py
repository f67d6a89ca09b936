"""How near an estimate has to be: never nearer than skilled people measure.

Full points within 3 degrees or 2 per cent of the height, half within twice that. Skilled people with a goniometer
err by 1 to 5 degrees.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction

from quizzes.drawing.amounts import DEGREES, HEIGHT
from quizzes.grading.items import FULL, HALF, NONE
from quizzes.kinds.eye.truth import Place, Truth

ANGLE, LENGTH = 3.0, 2.0

# The part that a ratio is told against, by its ends.
_AGAINST = {
    "arm_to_blade": ("scapula_top", "shoulder_joint"),
    "blade_to_arm_felt": ("point_of_shoulder", "point_of_elbow"),
    "thigh_to_second_thigh": ("hip_joint", "stifle"),
    "muzzle_to_skull": ("occiput", "stop_low"),
}
_USUAL = 30.0
"""Length of such a part in per cent of the height, where the picture does not show its ends."""


def tolerance(name: str, truth: Truth) -> float:
    """Within how much of the truth an estimate gets full points, in its unit.

    A ratio of two parts is allowed what 2 per cent of the height is of the part it is told against.
    """
    unit = truth.unit(name)
    if unit == DEGREES:
        return ANGLE
    if unit == HEIGHT:
        return LENGTH
    return round(100 * LENGTH / _against(name, truth), 1)


def _against(name: str, truth: Truth) -> float:
    if name == "withers_to_elbow":
        return 50.0
    ends = [truth.places.get(end) for end in _AGAINST.get(name, ())]
    if len(ends) != 2 or None in ends or not truth.has_scale:
        return _USUAL
    return max(truth.apart(*ends), 10.0)


def points_for(off: float, within: float) -> Fraction:
    """Full, half or no point for an error of that size."""
    # Estimates and the truth are shown to a tenth, so an error is never counted finer.
    off = round(abs(off), 1)
    if off <= within:
        return FULL
    return HALF if off <= 2 * within else NONE


def points_for_marks(
    put: Mapping[str, Place], names: Iterable[str], truth: Truth
) -> Fraction:
    """The mean over the landmarks, rounded down to full, half or none."""
    names = list(names)
    each = [
        points_for(truth.apart(put[name], truth.places[name]), LENGTH)
        if name in put and name in truth.places
        else NONE
        for name in names
    ]
    mean = sum(each, NONE) / len(names) if names else NONE
    return FULL if mean == 1 else HALF if mean >= HALF else NONE
