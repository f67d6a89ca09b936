"""Which priorities the plates of a module's classes show, and which stand in words only."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.urls import reverse

from quizzes import generator
from quizzes.drawing.dogs import VIEW_LABELS
from quizzes.generator.drawing import drawn, views_of
from quizzes.generator.words import called
from quizzes.kinds.placing.content import ClassContent
from quizzes.practice import material
from trainer.study.models import Module, ModuleRevision, Priority
from trainer.study.reading import Document


@dataclass(frozen=True)
class Drawable:
    """A priority with the views that show it (none: in words only) and where it is written."""

    name: str
    views: tuple[str, ...]
    address: str


@dataclass(frozen=True)
class Drawables:
    """The priorities of a module as its plates show them."""

    module: Module
    has_breed: bool
    rows: tuple[Drawable, ...]

    @property
    def shown(self) -> list[Drawable]:
        return [row for row in self.rows if row.views]

    @property
    def in_words(self) -> list[Drawable]:
        return [row for row in self.rows if not row.views]


def drawables(document: Document) -> Drawables:
    """What plates of the module in force show, priority by priority."""
    breed, coats = material.drawn_as(document.module)
    look = drawn(material.priorities_of(document.priorities), breed, coats)
    addresses = _addresses(document.module, document.priorities)
    rows = tuple(
        Drawable(
            row.name,
            tuple(str(VIEW_LABELS[view]) for view in views_of(look, row.slug)),
            addresses[row.slug],
        )
        for row in document.priorities
    )
    return Drawables(document.module, bool(breed), rows)


def _addresses(module: Module, rows: Iterable[Priority]) -> dict[str, str]:
    """By slug, the page on which each priority is written: the draft's where there is one."""
    draft = Priority.objects.filter(
        revision__module=module, revision__state=ModuleRevision.State.DRAFT
    )
    pks = {row.slug: row.pk for row in rows} | dict(draft.values_list("slug", "pk"))
    return {
        slug: reverse("desk:row", args=[module.pk, "priorities", pk])
        for slug, pk in pks.items()
    }


def names_in_words(content: ClassContent, rows: Iterable[Priority]) -> list[str]:
    """Names, as within a sentence, of the priorities that no plate of the class shows."""
    priorities = material.priorities_of(rows)
    found = generator.in_words_only(priorities, content.document())
    return [called(one) for one in found]
