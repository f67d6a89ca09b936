"""The faults that can be drawn, by the part of the dog, each with the measurement that shows it."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

from quizzes.plates.faults import FAULTS, Fault, fault


def gettext_noop(text: str) -> str:
    """Marks a word that a site may translate; here it stays as it is."""
    return text


# part | code measurement, the one on which the fault is read
_TABLE = (
    (
        gettext_noop("Forehand"),
        "F1 layback, F2 arm_to_blade, F3 upper_arm, F17 pastern",
    ),
    ("", "F18 pastern, F19 forechest"),
    (
        gettext_noop("Back and loin"),
        "F4 length, F5 length, F6 loin, F7 back, F8 croup_height",
    ),
    (
        gettext_noop("Chest and belly"),
        "F20 depth, F21 depth, F22 tuck_up, R10a ribs, R10b ribs",
    ),
    (
        gettext_noop("Croup and tail"),
        "F9 pelvis, F10 pelvis, F11 tail_set, F12 tail_set",
    ),
    (
        gettext_noop("Quarters"),
        "F13 stifle, F14 stifle, F15 rear_pastern, F16 hock_height",
    ),
    (gettext_noop("From behind"), "R1 rear_hock, R2 rear_hock, R3 rear_foot"),
    (gettext_noop("From the front"), "R4 front_elbow, R5 front_chest, R6 front_elbow"),
    ("", "R7 fore_toes, R8 front_carpus, R9 toe_height"),
    (gettext_noop("Neck"), "F23 neck, F24 crest"),
    (gettext_noop("Head"), "F25 planes, F26 planes, F27 stop, F28a muzzle_depth"),
    ("", "F28b muzzle_to_skull, F29a jaw, F29b jaw"),
)


@cache
def _parsed() -> tuple[tuple[tuple, ...], dict[str, str]]:
    groups: list[tuple] = []
    measured: dict[str, str] = {}
    for part, text in _TABLE:
        pairs = [cell.split() for cell in text.split(",")]
        measured |= dict(pairs)
        codes = tuple(code for code, _name in pairs)
        if part:
            groups.append((part, codes))
        else:
            last, before = groups.pop()
            groups.append((last, before + codes))
    return tuple(groups), measured


def faults_by_part() -> list[tuple[str, list[Fault]]]:
    """Every fault that can be drawn, under its part of the dog, which a site may translate."""
    return [(part, [FAULTS[code] for code in codes]) for part, codes in _parsed()[0]]


def measured_by(code: str) -> str:
    """The measurement on which a fault is read."""
    return _parsed()[1][fault(code).code]


def telling_fault(codes: Iterable[str], dogs: Iterable) -> Fault | None:
    """Of these faults the one that tells the dogs apart most; None if they show none of them."""
    strengths = [dog.faults for dog in dogs]
    apart = {
        code: max(given) - min(given)
        for code in codes
        if max(given := [faults.get(code, 0) for faults in strengths]) > 0
    }
    return fault(max(apart, key=apart.__getitem__)) if apart else None
