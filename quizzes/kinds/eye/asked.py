"""What is estimated, row by row, and what the key holds of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Annotated

from django.utils.translation import gettext as _

from quizzes.drawing.dogs import VIEW_LABELS
from quizzes.drawing.sketch import MEASURES, Sketch
from quizzes.kinds import shapes
from quizzes.kinds.sheets.rows import Asked, Known
from trainer.pictures.landmarks import FRONT_FOOT, NAMES, REAR_FOOT

LEFT_OUT = frozenset(
    ("back", "loin", "croup_height", "crest", "balance", "planes", "pelvis_to_thigh")
)
"""Sums, and small differences with a sign: nobody estimates them as numbers."""

ASKABLE = {
    name: one
    for name, one in MEASURES.items()
    if one.figure != "none" and name not in LEFT_OUT
}
"""What can be asked, by name: all that a line on the plate can show afterwards."""

IN_HEAD = frozenset({"head_length", "muzzle_to_skull", "stop"})
"""Measurements from the side that a head study shows as well."""

MARKS = {
    name: label for name, label in NAMES.items() if name not in (FRONT_FOOT, REAR_FOOT)
}
"""Landmarks that can be put on a picture, all of them seen from the side."""

MOST_MARKS = 8
PLAIN = {"measures": (), "landmarks": False, "ideal": False}
"""Nothing is laid over a plate that is to be estimated."""


def plain(drawing: Mapping) -> dict:
    """A drawing's whole document, without anything laid over it."""
    return Sketch.of_document({**drawing, **PLAIN}).document() if drawing else {}


@dataclass(frozen=True)
class Estimate(Asked):
    """One picture, and what is to be estimated on it.

    drawing : a Sketch document; the photograph goes before it
    photo : public id of a photograph of the club
    measure : name of a measurement; empty where landmarks are put
    """

    drawing: Annotated[Mapping, shapes.empty_or(shapes.named("drawn"))] = field(
        default_factory=dict
    )
    view: Annotated[str, shapes.one_of(VIEW_LABELS, or_none=False)] = "side"
    photo: Annotated[str, shapes.PHOTO] = ""
    measure: Annotated[str, shapes.one_of(ASKABLE)] = ""
    marks: tuple[Annotated[str, shapes.one_of(MARKS, or_none=False)], ...] = ()

    @classmethod
    def read(cls, document):
        return super().read({**document, "drawing": plain(document.get("drawing", {}))})

    def document(self) -> dict:
        return {**super().document(), "marks": list(self.marks)}

    def texts(self):
        """Nobody reads names of measurements as texts."""
        return iter(())

    def with_photographs(self, name):
        return replace(self, photo=name(self.photo)) if self.photo else self

    def plates(self):
        if self.drawing:
            yield self.drawing

    def misfits(self, known: Placed):
        points = known.photo.get("landmarks", {}).get("points", {})
        for name in sorted(set(points) - set(NAMES)):
            text = _("the key has the landmark “%(name)s”, which is not known.")
            yield text % {"name": name}

    @property
    def is_photograph(self) -> bool:
        return bool(self.photo)

    @property
    def sketch(self) -> Sketch:
        return Sketch.of_document(self.drawing)


PIXELS = {"type": "integer", "minimum": 1, "maximum": 100_000}
PHOTOGRAPH = shapes.obj(
    {"landmarks": shapes.named("landmarks"), "width": PIXELS, "height": PIXELS},
    ("landmarks", "width", "height"),
)


@dataclass(frozen=True)
class Placed(Known):
    """What the key holds: of a plate nothing, since it is measured; of a photograph its landmarks.

    photo : {"landmarks", "width", "height"} as they were when the row was saved
    """

    photo: Annotated[Mapping, shapes.empty_or(PHOTOGRAPH)] = field(default_factory=dict)
