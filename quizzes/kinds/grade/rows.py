"""A dog that is graded, and what the key says of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Annotated, ClassVar

from django.utils.translation import gettext as _

from quizzes.kinds import shapes
from quizzes.kinds.grade.grades import Grade
from quizzes.kinds.placing.content import Dog
from quizzes.kinds.sheets.rows import Asked, Document, Known, new_row_id

MOST_REASONS = 3
FOR, AGAINST = "for", "against"


REASON = shapes.Says(pattern=f"^({FOR}|{AGAINST}):[-a-zA-Z0-9_]{{1,50}}$")


@dataclass(frozen=True)
class Named(Document):
    """A priority as it was when the dogs were begun."""

    slug: Annotated[str, shapes.SLUG]
    name: Annotated[str, shapes.NAME]


@dataclass(frozen=True)
class AllDogs(Document):
    """What is said of all dogs together: how they are drawn, and the priorities to choose reasons from."""

    breed: Annotated[str, shapes.BREED] = ""
    priorities: Annotated[tuple[Named, ...], shapes.at_most(60)] = ()


@dataclass(frozen=True)
class GradedDog(Dog, Asked):
    """A dog of a class, as a row: all that draws, shows or describes one works on it."""

    id: str = field(default_factory=new_row_id)
    whole: ClassVar[type[Document] | None] = AllDogs
    shape: ClassVar[Mapping] = {
        "allOf": [shapes.named("dog"), {"properties": {"id": shapes.ID}}]
    }

    def travelling(self):
        own = ("library", "library_version")
        found = self.document().items()
        return {name: value for name, value in found if name not in own}

    def for_reading(self):
        found = self.travelling()
        del found["levels"]
        return found

    def with_photographs(self, name):
        """Without the first one goes its credit."""
        picture = self.picture and name(self.picture)
        credit = "" if self.picture and not picture else self.credit
        views = {view: name(one) for view, one in self.pictures.items()}
        shown = {view: one for view, one in views.items() if one}
        return replace(self, picture=picture, credit=credit, pictures=shown)

    def priorities(self, known: KnownGrade):
        return frozenset(self.levels) | {one.partition(":")[2] for one in known.reasons}


@dataclass(frozen=True)
class KnownGrade(Known):
    """The grade, and up to three priorities that decide it: "for:slug" or "against:slug"."""

    grade: Annotated[str, shapes.one_of(Grade.values)] = ""
    reasons: Annotated[
        tuple[Annotated[str, REASON], ...], shapes.at_most(MOST_REASONS)
    ] = ()


def options(priorities: Iterable[Mapping]) -> list[tuple[str, list[tuple[str, str]]]]:
    """The reasons that can be chosen, in two groups; priorities have slug and name."""
    sides = (
        (FOR, _("Speaks for it"), _("For: %(name)s")),
        (AGAINST, _("Speaks against it"), _("Against: %(name)s")),
    )
    return [
        (label, [(f"{side}:{one['slug']}", text % one) for one in priorities])
        for side, label, text in sides
    ]


def known_reasons(priorities: Iterable[Mapping]) -> frozenset[str]:
    return frozenset(
        value for _side, rows in options(priorities) for value, _name in rows
    )


def said(reason: str, names: Mapping[str, str]) -> str:
    """A reason in words."""
    side, _colon, slug = reason.partition(":")
    name = names.get(slug, slug)
    text = _("for it: %(name)s") if side == FOR else _("against it: %(name)s")
    return text % {"name": name}


def compared(
    mine: Sequence[str], theirs: Sequence[str], names: Mapping[str, str]
) -> dict[str, list[str]]:
    """Reasons that both name, those that are held the other way round, and those of one alone."""
    slugs = {one.partition(":")[2]: one for one in theirs}
    turned = [
        one for one in mine if one not in theirs and one.partition(":")[2] in slugs
    ]
    turned_slugs = {one.partition(":")[2] for one in turned}
    rest = [
        one
        for one in theirs
        if one not in mine and one.partition(":")[2] not in turned_slugs
    ]
    groups = {
        "both": [one for one in mine if one in theirs],
        "turned": turned,
        "mine": [one for one in mine if one not in theirs and one not in turned],
        "theirs": rest,
    }
    return {name: [said(one, names) for one in found] for name, found in groups.items()}
