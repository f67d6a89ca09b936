"""The faults a plate can show, as changes of parameters.

A fault never moves a point: it changes the angles, lengths and heights that the points follow from, so joints stay
joined and a stronger fault always measures stronger. Strength 0 is none, 0.5 mild, 1 marked.
"""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class Fault:
    """One fault: its name, the view that shows it, and (parameter, mild, marked) changes."""

    code: str
    name: str
    view: str
    changes: tuple[tuple[str, float, float], ...]

    @property
    def in_head(self) -> bool:
        """Whether the fault is plain only in a head study."""
        return self.view == "head"

    def shift(self, strength: float) -> dict[str, float]:
        """Parameter changes at a strength from 0 to 1, linear from none to mild and from mild to marked."""
        if not 0 <= strength <= 1:
            raise ValueError(
                f"strength of {self.code} must lie between 0 and 1, not {strength}"
            )
        if strength <= 0.5:
            return {name: 2 * strength * mild for name, mild, _ in self.changes}
        share = 2 * strength - 1
        return {
            name: mild + share * (marked - mild) for name, mild, marked in self.changes
        }


# code | name | view | parameter mild marked, ...
_TABLE = """
F1 | straight shoulder | side | layback -6 -12, neck_ang 1.5 3, neck_len -1 -2
F2 | short upper arm | side | arm_ratio -.13 -.23, elbow_h 3.1 5.4
F3 | upright upper arm | side | arm -8 -15
F4 | long in back and loin | side | length 6 12
F5 | short, cramped back | side | length -5 -8
F6 | roach back | side | back 1 2, loin 2.5 5, loin_mid 3 6, croup_skin .875 1.75, tuck 1 2
F7 | sway back | side | back -3 -5, loin -3 -6, loin_mid -1.5 -3
F8 | high behind | side | croup 4 7, loin_mid 3.6 6.3, loin 2.4 4.2, back .8 1.4
F9 | steep croup | side | pelvis 10 15, tail_drop 4 6.5
F10 | flat croup | side | pelvis -10 -18, tail_drop -3 -5
F11 | low tail set | side | tail_drop 4 7, tail_back -1 -2
F12 | high tail set, gay tail | side | tail_drop -2.5 -4, tail_gay .5 1
F13 | straight stifle | side | thigh 3 6, shank 10 18
F14 | over-angulated behind | side | thigh -6 -11, shank -8 -15, shank_ratio .12 .25
F15 | sickle hocks | side | meta 10 18
F16 | long hocks, not well let down | side | hock_h 5 8
F17 | weak pastern | side | past 13 26
F18 | upright or knuckled pastern | side | past -12 -17, knuckle 1 1.5
F19 | lacking forechest | side | forechest -2.5 -4.5, prosternum 0 1
F20 | shallow brisket | side | depth -4 -9, sternum_drop -1 -3
F21 | brisket too deep | side | depth 4 8, sternum_drop 1 2
F22 | herring-gutted, too much tuck-up | side | sternum_drop 3 6, tuck 5 9, flank 5 9
F23 | short neck | side | neck_len -6 -10
F24 | ewe neck | side | ewe 4 7, throat_bulge 1.2 2.4
F25 | dish face | head | dish 1 2, muz_turn -2 -4
F26 | down face | head | muz_turn 6 12, hump .8 1.5, stop -1 -2
F27 | lacking stop | head | stop -1.5 -2.5
F28a | snipy muzzle | head | snipe .18 .34, muz_d -.5 -1
F28b | short muzzle | head | head_len -6 -11, muzzle -.088 -.19
F29a | undershot | head | jaw_shift 1.2 2.5
F29b | overshot | head | jaw_shift -1.5 -3
R1 | cow hocks | rear | hock_w -2.7 -5.2, rear_foot_w 1.3 2.8, rear_turn 10 20, stifle_w 1 1
R2 | bowed, wide hocks | rear | hock_w 2.3 4.8, rear_foot_w -.7 -1.7, rear_turn -7 -14
R3 | close behind | rear | hock_w -3.2 -4.7, rear_foot_w -3.2 -4.7
R4 | out at elbow | front | elbow_w 2.2 4.7, foot_w -.5 -1.5, carpus_w 0 -.4, fore_turn -5 -10
R5 | narrow front | front | shoulder_w -3 -4.8, carpus_w -3 -4.8, foot_w -3 -4.8, elbow_w -3.3 -5.1, chest_w -3 -4.5
R6 | wide, loaded front | front | shoulder_w 2.5 5, elbow_w 2.7 5.7, carpus_w 2.4 5, foot_w 2.2 4.6, chest_w 2.5 5.5
R7 | east-west front | front | fore_turn 15 30, carpus_w -1 -2
R8 | fiddle front | front | elbow_w 1.7 3.7, carpus_w -2 -4, foot_w .5 1.5, fore_turn 12 22
R9 | splayed feet | front | foot_spread 1 1.7, toe_height -1.5 -2.8, toe_gap .5 1
R10a | slab-sided | top | rib_w -2.5 -4.5, chest_w -.8 -1.6
R10b | barrel ribs | top | rib_w 2.5 5, chest_w .8 1.8
"""

# Codes used where the two directions of a fault are not told apart.
ALIASES = {"F28": "F28a", "F29": "F29a", "R10": "R10a"}


def _parse(line: str) -> Fault:
    code, name, view, changes = (cell.strip() for cell in line.split("|"))
    parts = [change.split() for change in changes.split(",")]
    return Fault(
        code,
        name,
        view,
        tuple((p, float(mild), float(marked)) for p, mild, marked in parts),
    )


FAULTS: Mapping[str, Fault] = {
    fault.code: fault
    for fault in (_parse(line) for line in _TABLE.strip().splitlines())
}


def fault(code: str) -> Fault:
    """The fault with this code; raises KeyError for an unknown one."""
    return FAULTS[ALIASES.get(code, code)]


# What a long, dense coat hides even when it is marked: such a fault is for the hand, not for the plate.
_HIDDEN = {"double": frozenset({"F1", "F2", "F17", "F24"}), "curly": frozenset({"F24"})}


def hidden_by_coat(coat: str) -> frozenset[str]:
    """Codes of faults that a plate of a dog in this coat does not show at phone size."""
    return _HIDDEN.get(coat, frozenset())
