"""What the reading pages show of a module: loaded once, shared by everybody who may read it."""

from __future__ import annotations

import re
import time
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import accumulate
from typing import Any

from django.db.models import F
from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from trainer.clubs.models import reached_by
from trainer.study.illustrations import Illustrations
from trainer.study.models import Fault, Lesson, ModuleRevision
from trainer.study.rich import Glossary

LEVEL_WORDS = (_("faulty"), _("poor"), _("fair"), _("good"), _("ideal"))
"""A word for each level, 0 to 4; what it means for a priority says the mentor's phrase."""

GRAVEST_FIRST = (
    Fault.Severity.DISQUALIFYING,
    Fault.Severity.SERIOUS,
    Fault.Severity.MINOR,
)
NOTCH = 5
KEPT_SECONDS = 60


class Document:
    """A revision with all its parts, for reading only.

    kept : it does not change any more, so what is rendered of it may be kept
    pages : those that are read, by language; places.pages_of fills it
    """

    def __init__(self, revision: ModuleRevision, *, kept: bool = True):
        self.kept = kept
        self._bodies: dict[tuple, SafeString] = {}
        self.pages: dict[str | None, dict] = {}
        self.revision = revision
        self.module = revision.module
        parts = revision.priorities.prefetch_related("phrases", "steps", "faults")
        self.priorities = list(parts)
        self.steps = list(revision.steps.select_related("priority"))
        self.faults = list(revision.faults.select_related("priority"))
        self.lessons = list(revision.lessons.all())
        self.glossary = Glossary(list(revision.terms.all()))

    @cached_property
    def weights(self) -> Weights:
        return weigh(self.priorities)

    @cached_property
    def faults_by_severity(self) -> list[tuple[Fault.Severity, list[Fault]]]:
        """The gravest first; a severity without faults is left out."""
        groups = [
            (severity, [fault for fault in self.faults if fault.severity == severity])
            for severity in GRAVEST_FIRST
        ]
        return [(severity, faults) for severity, faults in groups if faults]

    def body(self, template: str, key, context: dict, request) -> SafeString:
        """The body of a page, the same for everybody who reads the language: rendered once.

        key : what tells this page from others with the same template
        """
        if not self.kept:
            return render_to_string(template, context, request)
        kept_as = (template, key, get_language())
        if kept_as not in self._bodies:
            body = render_to_string(template, context)
            # Nothing in these pages keeps its blanks, and a page is a fifth lighter without indents.
            self._bodies[kept_as] = mark_safe(re.sub(r"\n\s+", "\n", body))
        return self._bodies[kept_as]


def readable_by(user):
    """Revisions in force in the person's clubs.

    Mentors belong to their clubs, so for what is in force membership is all there is to ask.
    """
    return ModuleRevision.objects.in_force().filter(module__club__in=reached_by(user))


def revisions_for_list(user):
    """What can be read, by breed, as plain rows with all that a list says of it."""
    rows = readable_by(user).values(
        "pk",
        "number",
        "title",
        "examined",
        "published_at",
        "module_id",
        club_id=F("module__club"),
        breed=F("module__breed__name"),
        summary=F("module__breed__summary"),
        club=F("module__club__name"),
        by=F("author__name"),
    )
    return rows.order_by("module__breed__name", "module__slug", "pk")


def document(user, module_id: int) -> Document | None:
    """The module's revision in force; None if the person is in no club that has it."""
    readable = readable_by(user).filter(module=module_id).order_by()
    states = readable.values_list("pk", "published_at")[:1]
    return next((document_of(*state) for state in states), None)


def draft(user, module_id: int) -> Document | None:
    """The module's draft as it stands now; None if there is none or the person is no mentor of it."""
    mine = ModuleRevision.objects.editable_by(user).filter(module=module_id)
    found = mine.select_related("module__breed", "module__club", "author").first()
    return Document(found, kept=False) if found else None


def sections_of(document: Document, lesson: Lesson) -> list[dict]:
    """The sections of a lesson with their images, for its page."""
    club = document.module.club_id
    shown = Illustrations(lesson, lesson.sections, club)
    return [
        {**section, "images": shown.of(section), "over": shown.overlay(section)}
        for section in lesson.sections
    ]


def document_of(pk, published_at) -> Document:
    """The document of a revision that the person may read.

    It is kept in the process: a published revision does not change, and loading it takes
    longer than the rest of a page. What stands beside it, such as a name, may change, so
    nothing is kept for longer than a minute or so.
    """
    return _loaded(pk, published_at, int(time.monotonic() / KEPT_SECONDS))


@lru_cache(maxsize=32)
def _loaded(pk, _published_at, _minute) -> Document:
    revisions = ModuleRevision.objects.select_related(
        "module__breed", "module__club", "author"
    )
    return Document(revisions.get(pk=pk))


@dataclass(frozen=True)
class Weights:
    """The priorities in two groups: the first few that outweigh all others, and the others.

    first_sum, rest_sum : what each group weighs
    scale : where the rules that show a weight end; a multiple of five at or above the largest
    """

    first: Sequence[Any]
    rest: Sequence[Any]
    first_sum: int
    rest_sum: int
    scale: int

    @property
    def total(self) -> int:
        return self.first_sum + self.rest_sum

    @property
    def ruled_line(self) -> str:
        """The path of a line as long as the scale, ten high, with a notch at every five."""
        return ruled_line(self.scale, every=NOTCH)


def ruled_line(length: int, *, every: int = 1) -> str:
    """The path of a line that lies ten units down, with a notch upward at each step."""
    notches = "".join(f"M{at} 4V10" for at in range(0, length + 1, every))
    return f"M0 10H{length}{notches}"


def weigh(priorities: Sequence[Any]) -> Weights:
    """Split priorities, in rank order, where the sum of their weights passes the half."""
    sums = list(accumulate((priority.weight for priority in priorities), initial=0))
    total = sums[-1]
    passed = next((n for n, part in enumerate(sums) if part * 2 > total), 0)
    largest = max((priority.weight for priority in priorities), default=0)
    return Weights(
        first=priorities[:passed],
        rest=priorities[passed:],
        first_sum=sums[passed],
        rest_sum=total - sums[passed],
        scale=-(-largest // NOTCH) * NOTCH,
    )


@dataclass(frozen=True)
class Position:
    """One row of a sequence: its place, counted from 1, and its neighbours (None at the ends)."""

    row: Any
    place: int
    of: int
    before: Any
    after: Any

    @property
    def ruled_line(self) -> str:
        return ruled_line(self.of)


def position(rows: Sequence[Any], **wanted) -> Position | None:
    """Where the row stands whose attribute has the value asked for; None if none has it."""
    ((name, value),) = wanted.items()
    at = next((n for n, row in enumerate(rows) if getattr(row, name) == value), None)
    if at is None:
        return None
    return Position(
        row=rows[at],
        place=at + 1,
        of=len(rows),
        before=rows[at - 1] if at else None,
        after=rows[at + 1] if at + 1 < len(rows) else None,
    )


def levels_in_words(phrases) -> list[tuple[str, str]]:
    """Pairs of a level's word and the mentor's phrase for it, ideal first."""
    by_level = sorted(phrases, key=lambda phrase: -phrase.level)
    return [(LEVEL_WORDS[phrase.level], phrase.text) for phrase in by_level]
