"""Inks and papers."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Theme:
    """Colours of a plate, and whether lines print light instead of shade (white-line engraving)."""

    ink: str
    leaf: str
    pitch: str
    pencil: str
    green: str
    white_line: bool = False
    background: str = ""
    heavier: float = 1.0

    @property
    def light(self) -> str:
        """What a light on something dark is drawn in."""
        return self.ink if self.white_line else self.leaf


THEMES = {
    "light": Theme("#1e282a", "#fbf8ee", "#1e282a", "#a3277f", "#174536"),
    "dark": Theme(
        "#ede5d1", "#162b33", "#0a171c", "#e58ac8", "#a2dcb9", white_line=True
    ),
    "print": Theme("#000000", "#ffffff", "#000000", "#000000", "#000000"),
    "contrast": Theme(
        "#000000",
        "#ffffff",
        "#000000",
        "#000000",
        "#000000",
        background="#ffffff",
        heavier=1.35,
    ),
}


@dataclass(frozen=True)
class Grain:
    """How fine a plate is cut: line spacing of trunk, leg and head, and the weight of contours."""

    trunk: float
    leg: float
    head: float
    contour: float

    def finer(self, lines: float, contour: float) -> "Grain":
        """The same for a view that is shown larger."""
        trunk, leg, head = (
            lines * value for value in (self.trunk, self.leg, self.head)
        )
        return Grain(trunk, leg, head, contour * self.contour)


GRAINS = {
    "thumb": Grain(3.7, 2.8, 2.4, 2.1),
    "card": Grain(1.9, 1.35, 1.15, 1.3),
    "large": Grain(1.45, 1.0, 0.85, 1.0),
}
