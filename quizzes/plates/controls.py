"""What may be moved when somebody builds a dog by hand: parameters with their label, unit and range.

Ranges are shares and shifts of the breed's own value, so that they fit a low dog as well as a tall one.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from .breeds import Breed


@dataclass(frozen=True)
class Control:
    """A parameter that may be moved, and how far to either side of the breed's value."""

    name: str
    label: str
    group: str
    unit: str
    less: float
    more: float
    step: float

    def span(self, breed: Breed) -> tuple[float, float, float]:
        """Lowest, the breed's own and highest value."""
        own = breed.values()[self.name]
        return own - self.less, own, own + self.more


# parameter | label | unit | less | more | step
_TABLE = """
# Forehand
layback | Layback of the blade, from vertical | degrees | 14 | 8 | 1
arm | Upper arm, from vertical | degrees | 16 | 8 | 1
arm_ratio | Upper arm to blade | ratio | .25 | .12 | .01
elbow_h | Height of the elbow joint | per cent of height | 3 | 5 | .5
past | Slope of the pastern | degrees | 16 | 24 | 1
forechest | Breastbone in front of the point of shoulder | per cent of height | 4.5 | 3 | .5
# Body
length | Length, point of shoulder to point of buttock | per cent of height | 8 | 12 | .5
depth | Depth of chest | per cent of height | 8 | 8 | .5
tuck | Height of the tuck-up | per cent of height | 3 | 8 | .5
back | Height of the middle of the back | per cent of height | 5 | 3 | .5
loin | Height of the loin | per cent of height | 5 | 4 | .5
croup | Height of the croup | per cent of height | 3 | 6 | .5
# Quarters
pelvis | Slope of the pelvis | degrees | 16 | 14 | 1
thigh | Thigh against the horizontal | degrees | 10 | 6 | 1
shank | Second thigh against the horizontal | degrees | 14 | 18 | 1
hock_h | Height of the hock joint | per cent of height | 4 | 8 | .5
meta | Rear pastern, lean forward | degrees | 4 | 18 | 1
# Tail
tail_drop | Tail set below the croup | per cent of height | 3.5 | 6 | .5
tail_len | Length of the tail | per cent of height | 40 | 10 | 1
tail_root | Carriage at the root, above horizontal | degrees | 20 | 60 | 1
# Neck and head
neck_len | Length of neck | per cent of height | 10 | 6 | .5
neck_ang | Carriage of neck, above horizontal | degrees | 8 | 8 | 1
head_len | Length of head | per cent of height | 6 | 5 | .5
muzzle | Muzzle as a share of the head | share | .12 | .08 | .01
stop | Step of the stop | per cent of height | 2 | 2 | .1
muz_turn | Muzzle turned down | degrees | 4 | 10 | 1
skull_d | Depth of skull | per cent of height | 2 | 3 | .5
muz_d | Depth of muzzle | per cent of height | 1.5 | 2 | .1
ear_size | Size of ear | times | .25 | .3 | .05
# Substance
bone | Bone | times | .15 | .3 | .01
neck_th | Thickness of neck | times | .1 | .25 | .01
thigh_w | Breadth of thigh | times | .1 | .12 | .01
# Front, rear and ribs
shoulder_w | Points of shoulder from the midline | per cent of height | 4 | 5 | .5
elbow_w | Elbows from the midline | per cent of height | 4 | 5 | .5
carpus_w | Carpus from the midline | per cent of height | 4 | 4 | .5
foot_w | Front feet from the midline | per cent of height | 4 | 4 | .5
fore_turn | Front toes turned out | degrees | 10 | 30 | 1
rib_w | Ribs from the midline | per cent of height | 4.5 | 5 | .5
hock_w | Hocks from the midline | per cent of height | 5 | 5 | .5
rear_foot_w | Rear feet from the midline | per cent of height | 4 | 4 | .5
rear_turn | Rear toes turned out | degrees | 14 | 20 | 1
"""


def _parse() -> dict[str, Control]:
    found, group = {}, ""
    for line in _TABLE.strip().splitlines():
        if line.startswith("#"):
            group = line[2:]
            continue
        name, label, unit, less, more, step = (cell.strip() for cell in line.split("|"))
        found[name] = Control(
            name, label, group, unit, float(less), float(more), float(step)
        )
    return found


CONTROLS: Mapping[str, Control] = _parse()


def adjustment(breed: Breed, values: Mapping[str, float]) -> dict[str, float]:
    """What to hand to `conformation(adjust=...)` for wanted values, kept within each control's range.

    Raises KeyError for a parameter that has no control.
    """
    shifts = {}
    for name, wanted in values.items():
        low, own, high = CONTROLS[name].span(breed)
        shifts[name] = min(max(wanted, low), high) - own
    return shifts
