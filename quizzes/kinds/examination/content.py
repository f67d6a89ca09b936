"""What an examination from memory asks, its key and an answer, as the documents that are stored.

The steps of the content stand in no meaningful order, and what to find has ids of its own, so that nothing on
the page of an open attempt says where a step belongs or what is found at it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import Annotated

from django.utils.translation import gettext_lazy as _

from quizzes.kinds import shapes
from quizzes.kinds.sheets.rows import Document

MOST_STEPS = 200
"""As many as a module's examination may have."""
# With what the running tallies put before it, an id has at most 20 characters.
Id = Annotated[str, shapes.Says(pattern="^[A-Za-z0-9]{1,12}$")]
NoId = Annotated[str, shapes.Says(pattern="^[A-Za-z0-9]{0,12}$")]
Ids = Annotated[tuple[Id, ...], shapes.at_most(MOST_STEPS)]
SENSES = ("eye", "hand", "both")
MARKS = ("approach", "first-touch", "mouth", "testicles")
"""What a step may be for the rules of safety (safety.Mark)."""

ORDER, SENSE, FIND, GAP = PARTS = ("order", "sense", "find", "gap")
"""Put in order, by eye or by hand, what to find, which step is missing."""

PART_LABELS = {
    ORDER: _("Put the steps in order"),
    SENSE: _("Say for each what is done by eye, by hand or both"),
    FIND: _("Say what to find at a step"),
    GAP: _("Find the step that is missing"),
}
FEWEST_TO_ORDER = 3
FEWEST_FOR_GAP = 5


@dataclass(frozen=True)
class Step(Document):
    """A step as the trainee reads it."""

    id: Id = ""
    name: Annotated[str, shapes.NAME] = ""


@dataclass(frozen=True)
class KnownStep(Document):
    """What the key says of a step.

    find : id of what is found at it; empty where the module says nothing
    marks : what it is, for the rules of safety (safety.Mark)
    gate : no hand goes on before this step
    why : why it stands where it stands, shown afterwards
    """

    sense: Annotated[str, shapes.one_of(SENSES, or_none=False)] = "hand"
    find: NoId = ""
    instruction: str = ""
    caution: str = ""
    marks: tuple[Annotated[str, shapes.one_of(MARKS, or_none=False)], ...] = ()
    gate: bool = False
    why: Annotated[str, shapes.SAID] = ""


@dataclass(frozen=True)
class ToFind(Document):
    """A step for which it is asked what is found, and the texts to choose from, by id."""

    step: Id = ""
    options: Ids = ()


@dataclass(frozen=True)
class Gap(Document):
    """A stretch of the sequence without one step, and the steps that it may be."""

    shown: Ids = ()
    options: Ids = ()


@dataclass(frozen=True)
class ExamContent:
    """All that is asked. asked : the parts, in the order of PARTS; where : table, ground or ramp, in words."""

    steps: Annotated[tuple[Step, ...], shapes.at_most(MOST_STEPS)] = ()
    finds: Annotated[Mapping[Id, str], shapes.Says(maxProperties=MOST_STEPS)] = field(
        default_factory=dict
    )
    asked: tuple[Annotated[str, shapes.one_of(PARTS, or_none=False)], ...] = ()
    to_find: Annotated[tuple[ToFind, ...], shapes.at_most(MOST_STEPS)] = ()
    gap: Gap = field(default_factory=Gap)

    @classmethod
    def read(cls, document: Mapping) -> ExamContent:
        return cls(
            steps=tuple(map(Step.read, document.get("steps", ()))),
            finds=document.get("finds", {}),
            asked=tuple(p for p in PARTS if p in document.get("asked", ())),
            to_find=tuple(map(ToFind.read, document.get("to_find", ()))),
            gap=Gap.read(document.get("gap", {})),
        )

    def document(self) -> dict:
        return plain(asdict(self))

    @property
    def names(self) -> dict[str, str]:
        return {step.id: step.name for step in self.steps}

    @property
    def in_two(self) -> bool:
        """Whether the missing step is asked on a second page, since the stretch gives away the order."""
        return ORDER in self.asked and GAP in self.asked

    @property
    def questions(self) -> int:
        """How many answers are given beside the order."""
        counts = {SENSE: len(self.steps), FIND: len(self.to_find), GAP: 1}
        return sum(counts.get(part, 0) for part in self.asked)


@dataclass(frozen=True)
class ExamKey:
    """The mentor's sequence.

    level : places (by index) whose step may change places with the next
    gap : the step that is missing from the stretch
    """

    order: Ids = ()
    level: Annotated[
        frozenset[Annotated[int, shapes.span(0, MOST_STEPS)]],
        shapes.at_most(MOST_STEPS),
    ] = frozenset()
    steps: Annotated[Mapping[Id, KnownStep], shapes.Says(maxProperties=MOST_STEPS)] = (
        field(default_factory=dict)
    )
    gap: NoId = ""

    @classmethod
    def read(cls, document: Mapping) -> ExamKey:
        order = tuple(document.get("order", ()))
        known = document.get("steps", {})
        return cls(
            order=order,
            level=frozenset(n for n in document.get("level", ()) if n < len(order) - 1),
            steps={pk: KnownStep.read(one) for pk, one in known.items()},
            gap=document.get("gap", ""),
        )

    def document(self) -> dict:
        return {
            "order": list(self.order),
            "level": sorted(self.level),
            "steps": {pk: plain(one.document()) for pk, one in self.steps.items()},
            "gap": self.gap,
        }

    def of(self, step: str) -> KnownStep:
        return self.steps.get(step) or KnownStep()

    @property
    def groups(self) -> tuple[tuple[str, ...], ...]:
        """The sequence with steps that may change places side by side."""
        groups: list[list[str]] = []
        for place, step in enumerate(self.order):
            if place and place - 1 in self.level:
                groups[-1].append(step)
            else:
                groups.append([step])
        return tuple(map(tuple, groups))

    @property
    def group_of(self) -> dict[str, int]:
        return {step: n for n, group in enumerate(self.groups) for step in group}


def plain(value):
    """The value with lists for tuples, as JSON gives it back."""
    if isinstance(value, dict):
        return {key: plain(one) for key, one in value.items()}
    return [plain(one) for one in value] if isinstance(value, list | tuple) else value


@dataclass(frozen=True)
class ExamAnswer:
    """What a trainee answered.

    order : the steps that have a place; left : the others are left out on purpose
    gap : which step is missing, and after how many of the stretch it belongs; -1 is not said
    sealed : the first page is done with and stays as it is
    """

    order: tuple[str, ...] = ()
    left: bool = False
    senses: Mapping[str, str] = field(default_factory=dict)
    finds: Mapping[str, str] = field(default_factory=dict)
    gap: str = ""
    after: int = -1
    sealed: bool = False

    @classmethod
    def read(cls, document: Mapping) -> ExamAnswer:
        known = {
            name: document[name] for name in cls.__annotations__ if name in document
        }
        return cls(**{**known, "order": tuple(known.get("order", ()))})

    def document(self) -> dict:
        return plain(asdict(self))
