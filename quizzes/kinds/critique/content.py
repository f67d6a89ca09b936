"""What a critique is written of, what is asked for, and the key, as the documents that a revision stores."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field

from django.utils.translation import gettext as _

from quizzes.kinds.placing.content import ClassContent, Dog
from quizzes.kinds.placing.places import ordinal
from quizzes.marking.rubric import Rubric, usual_rubric

LONGEST = 8000
"""Characters that a critique may have, whatever the words asked for."""
FEWEST, MOST = 20, 600
"""The bounds of the words that a mentor may ask for."""
WORD = re.compile(r"\w+(?:[-'\u2019]\w+)*")


def count_words(text: str) -> int:
    """How many words the text has; "well-laid" and "dog's" are one each."""
    return len(WORD.findall(text))


def usual_checklist() -> tuple[str, ...]:
    """What a critique covers, by common practice; the mentor edits it."""
    return (
        _("Type and balance"),
        _("Head"),
        _("Front"),
        _("Body"),
        _("Quarters"),
        _("Movement"),
        _("Coat and temper"),
        _("One fault named"),
        _("Conclusion"),
    )


@dataclass(frozen=True)
class CritiqueContent:
    """One dog, and what is asked for.

    breed : slug of the breed the dog is drawn as; empty for one that is described only
    place : where the dog was placed in its class; None if that is not said
    least, most : how many words the critique has
    checklist : what a critique covers
    """

    dog: Dog
    breed: str = ""
    place: int | None = None
    least: int = 80
    most: int = 180
    checklist: tuple[str, ...] = ()

    @classmethod
    def read(cls, document: Mapping) -> CritiqueContent:
        klass = ClassContent.read({"dogs": document["dogs"]})
        return cls(
            dog=klass.dogs[0],
            breed=document.get("breed", ""),
            place=document.get("place"),
            least=document["least"],
            most=document["most"],
            checklist=tuple(document["checklist"]),
        )

    def document(self) -> dict:
        """The stored form. The dog stands in it as in a class of one, so that it is drawn like one."""
        return {
            "dogs": [asdict(self.dog)],
            "breed": self.breed,
            "place": self.place,
            "least": self.least,
            "most": self.most,
            "checklist": list(self.checklist),
        }

    @property
    def place_word(self) -> str:
        return ordinal(self.place) if self.place else ""

    @property
    def as_class(self) -> ClassContent:
        return ClassContent(dogs=(self.dog,), breed=self.breed)

    @property
    def pictures(self) -> frozenset[str]:
        return self.as_class.pictures


@dataclass(frozen=True)
class CritiqueKey:
    """The mentor's own critique, the points it should make, and what it is marked by."""

    critique: str = ""
    points: tuple[str, ...] = ()
    rubric: Rubric = field(default_factory=usual_rubric)

    @classmethod
    def read(cls, document: Mapping) -> CritiqueKey:
        rubric = document.get("rubric")
        return cls(
            critique=document.get("critique", ""),
            points=tuple(document.get("points", ())),
            rubric=usual_rubric() if rubric is None else Rubric.read(rubric),
        )

    def document(self) -> dict:
        return {
            "critique": self.critique,
            "points": list(self.points),
            "rubric": self.rubric.document(),
        }


@dataclass(frozen=True)
class Critique:
    """What a trainee wrote, and which rows of the checklist (by index) they ticked."""

    text: str = ""
    covered: tuple[int, ...] = ()

    @classmethod
    def read(cls, document: Mapping) -> Critique:
        return cls(
            text=document.get("text", ""), covered=tuple(document.get("covered", ()))
        )

    def document(self) -> dict:
        return {"text": self.text, "covered": list(self.covered)}

    @property
    def words(self) -> int:
        return count_words(self.text)
