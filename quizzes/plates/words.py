"""What a plate says in words: a neutral text while the answer is open, a full one afterwards."""

from collections.abc import Iterable

from .conformation import Conformation
from .faults import fault
from .figures import value_words
from .markings import words as pattern_words
from .measuring import UNITS, measure

_VIEWS = {
    "side": "seen from the side",
    "front": "seen from the front",
    "rear": "seen from behind",
    "top": "seen from above",
    "head": "head in profile",
}
_EARS = {
    "drop": "hanging ears",
    "drop-short": "small hanging ears",
    "semi-prick": "semi-prick ears",
    "prick": "prick ears",
}


def neutral_text(dog: Conformation, view: str = "side") -> str:
    """What stands on the plate without anything that could place the dog; the same recipe for every dog."""
    facing = "right" if dog.mirror else "left"
    turned = f", facing {facing}" if view in ("side", "head") else ""
    return (
        f"Schematic drawing of a dog {_VIEWS[view]}{turned}: {dog.breed.coat} coat, "
        f"{pattern_words(dog.breed, dog.seed)}, {_EARS[dog.breed.ear]}."
    )


def degree(strength: float) -> str:
    """A fault's strength in a judge's words."""
    for limit, word in (
        (0.2, "a trace of"),
        (0.45, "a little"),
        (0.7, "plainly"),
        (0.9, "clearly"),
    ):
        if strength < limit:
            return word
    return "markedly"


def describe(dog: Conformation, view: str = "side") -> str:
    """The full text, for when the answer is in: what departs from the breed, strongest first."""
    given = sorted(
        ((strength, code) for code, strength in dog.faults if strength > 0),
        reverse=True,
    )
    if not given:
        return (
            f"{neutral_text(dog, view)} Nothing departs from the drawing of the breed."
        )
    parts = [
        f"{fault(code).name} ({degree(strength)})".replace("a trace of", "a trace")
        for strength, code in given
    ]
    return f"{neutral_text(dog, view)} To be seen: {'; '.join(parts)}."


def measured_text(dog: Conformation, names: Iterable[str]) -> list[str]:
    """A sentence for each measurement: value, points and axis, as a legend beside a measured plate."""
    found = measure(dog)
    lines = []
    for name in names:
        one = found[name]
        points = ", ".join(point.replace("_", " ") for point in one.points)
        unit = " per cent of height" if one.unit == UNITS else ""
        lines.append(f"{one.label}: {value_words(one)}{unit} ({one.axis}: {points})")
    return lines
