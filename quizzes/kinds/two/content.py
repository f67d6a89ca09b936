"""What an exercise of pairs asks, as a revision keeps it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated

from quizzes.drawing.amounts import DEGREES, HEIGHT, PER_CENT, POINTS
from quizzes.drawing.dogs import VIEW_LABELS
from quizzes.drawing.sketch import MEASURES
from quizzes.grading.staircase import Plan
from quizzes.kinds import shapes
from quizzes.kinds.sheets.rows import Document

PAIRS, FEWEST, MOST = 36, 20, 60


@dataclass(frozen=True)
class Part(Document):
    """A priority with the fault that draws it; weights of all parts add up to 100."""

    slug: Annotated[str, shapes.SLUG] = ""
    name: Annotated[str, shapes.NAME] = ""
    code: Annotated[str, shapes.Says(maxLength=8)] = ""
    weight: Annotated[float, shapes.span(0, 100)] = 100.0


@dataclass(frozen=True)
class PairsContent(Document):
    """Pairs of dogs that differ in these parts.

    parts : one, or several for a pair that is judged over all
    unit : see quizzes.drawing.amounts; points of 100, by the mentor's weights, over all
    largest, smallest : the differences the plates show, in the unit; none where nothing is chosen yet
    build : how the module's breed is drawn from `breed`
    """

    parts: tuple[Annotated[Mapping, Part], ...] = ()
    breed: Annotated[str, shapes.BREED] = ""
    build: Annotated[Mapping, shapes.named("build")] = field(default_factory=dict)
    view: Annotated[str, shapes.one_of(VIEW_LABELS, or_none=False)] = "side"
    measure: Annotated[str, shapes.one_of(MEASURES)] = ""
    unit: Annotated[str, shapes.one_of((DEGREES, HEIGHT, PER_CENT, POINTS))] = ""
    largest: Annotated[float, shapes.span(0, 1000)] = 0.0
    smallest: Annotated[float, shapes.span(0, 1000)] = 0.0
    down: Annotated[int, shapes.span(1, 4)] = 2
    pairs: Annotated[int, shapes.span(1, MOST)] = PAIRS
    least: Annotated[int, shapes.span(1, MOST)] = FEWEST

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
