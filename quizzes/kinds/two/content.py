"""What an exercise of pairs asks, as a revision keeps it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from quizzes.drawing.amounts import POINTS
from quizzes.grading.staircase import Plan
from quizzes.kinds.sheets.rows import Document

PAIRS, FEWEST = 36, 20


@dataclass(frozen=True)
class Part(Document):
    """A priority with the fault that draws it; weights of all parts add up to 100."""

    slug: str = ""
    name: str = ""
    code: str = ""
    weight: float = 100.0


@dataclass(frozen=True)
class PairsContent(Document):
    """Pairs of dogs that differ in these parts.

    parts : one, or several for a pair that is judged over all
    unit : see quizzes.drawing.amounts; points of 100, by the mentor's weights, over all
    largest, smallest : the differences the plates show, in the unit; none where nothing is chosen yet
    build : how the module's breed is drawn from `breed`
    """

    parts: tuple[Mapping, ...] = ()
    breed: str = ""
    build: Mapping = field(default_factory=dict)
    view: str = "side"
    measure: str = ""
    unit: str = ""
    largest: float = 0.0
    smallest: float = 0.0
    down: int = 2
    pairs: int = PAIRS
    least: int = FEWEST

    def document(self) -> dict:
        return {**super().document(), "parts": [dict(one) for one in self.parts]}

    @property
    def of(self) -> list[Part]:
        return [Part.read(one) for one in self.parts]

    @property
    def over_all(self) -> bool:
        return self.unit == POINTS

    @property
    def plan(self) -> Plan:
        return Plan(self.largest, self.smallest, self.down)
