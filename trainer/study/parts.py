"""The ordered parts of a module's revision, and each row as a document and back.

One mechanism for priorities, steps, faults and terms: the desk edits them, a bundle carries them, a removed
row is kept as its document.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db.models import TextField
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trainer.study.models import (
    LEVELS,
    Fault,
    Lesson,
    ModuleRevision,
    Phrase,
    Priority,
    RevisionPart,
    Step,
    Term,
)
from trainer.study.sections import check_sections


@dataclass(frozen=True)
class Part:
    """A kind of row.

    fields : columns that its document has under the same name
    tied : a row may name a priority, by its slug
    """

    slug: str
    model: type[RevisionPart]
    name: str | Promise
    one: str | Promise
    fields: tuple[str, ...]
    tied: bool = False

    def of(self, revision: ModuleRevision):
        return self.model.objects.filter(revision=revision)


PARTS: Mapping[str, Part] = {
    part.slug: part
    for part in (
        Part(
            "priorities",
            Priority,
            gettext_lazy("Priorities"),
            gettext_lazy("priority"),
            ("slug", "name", "weight", "look_for", "feel_for", "why_it_matters"),
        ),
        Part(
            "steps",
            Step,
            gettext_lazy("Examination"),
            gettext_lazy("step"),
            ("name", "where", "sense", "instruction", "find", "caution"),
            tied=True,
        ),
        Part(
            "faults",
            Fault,
            gettext_lazy("Faults"),
            gettext_lazy("fault"),
            ("name", "description", "severity", "ruling"),
            tied=True,
        ),
        Part(
            "lessons",
            Lesson,
            gettext_lazy("Lessons"),
            gettext_lazy("lesson"),
            ("slug", "name", "sections"),
        ),
        Part(
            "terms",
            Term,
            gettext_lazy("Terms"),
            gettext_lazy("term"),
            ("name", "forms", "meaning"),
        ),
    )
}
OPTIONAL = {"where", "forms", "feel_for", "find", "caution"}
"""Left out of a document they are empty."""


def part_of(row: RevisionPart) -> Part:
    return next(part for part in PARTS.values() if isinstance(row, part.model))


def row_document(row: RevisionPart) -> dict:
    """Everything a row says, without where it stands."""
    part = part_of(row)
    found = {name: getattr(row, name) for name in part.fields}
    if part.tied:
        found["priority"] = row.priority.slug if row.priority else None
    if isinstance(row, Priority):
        phrases = {phrase.level: phrase.text for phrase in row.phrases.all()}
        found["phrases"] = [phrases.get(level, "") for level in range(LEVELS)]
        found["plate"] = list(row.plate_faults)
    return found


def module_document(revision: ModuleRevision) -> dict:
    """The revision as `services.store_draft` takes it in."""
    breed = revision.module.breed
    tied = ("priority",)
    return {
        "breed": {
            name: getattr(breed, name)
            for name in ("slug", "name", "summary", "made_for")
        },
        "title": revision.title,
        "introduction": revision.introduction,
        "standard": {
            "title": revision.standard_title,
            "date": revision.standard_date,
            "note": revision.standard_note,
            "link": revision.standard_link,
        },
        "priorities": _rows(revision.priorities.prefetch_related("phrases")),
        "examination": {
            "where": revision.examined,
            "introduction": revision.examination_note,
            "steps": _rows(revision.steps.select_related(*tied)),
        },
        "faults": _rows(revision.faults.select_related(*tied)),
        "lessons": _rows(revision.lessons.all()),
        "terms": _rows(revision.terms.all()),
    }


def _rows(rows) -> list[dict]:
    return [row_document(row) for row in rows]


def store_row(
    revision: ModuleRevision,
    part: Part,
    data: Mapping,
    *,
    number: int,
    priorities: Mapping[str, Priority],
) -> RevisionPart:
    """A row of a draft from its document; texts may be still to be written.

    priorities : those of the revision, by slug
    Raises KeyError for what the document lacks, ValidationError for what does not fit.
    """
    unknown = set(data) - {*part.fields, "priority", "phrases", "plate"}
    if unknown:
        text = _("“%(name)s” is not part of it.")
        raise ValidationError(text, code="unknown", params={"name": min(unknown)})
    row = part.model(revision=revision, number=number)
    for name in part.fields:
        setattr(row, name, data.get(name, "") if name in OPTIONAL else data[name])
    if part.tied and data.get("priority"):
        row.priority = priorities[data["priority"]]
    if isinstance(row, Priority):
        row.plate_faults = list(data.get("plate", []))
    if isinstance(row, Lesson):
        check_sections(row.sections)
    row.full_clean(exclude=_unwritten(row))
    row.save()
    if isinstance(row, Priority):
        _store_phrases(row, data["phrases"])
    return row


def _unwritten(row: RevisionPart) -> set[str]:
    texts = (field.name for field in row._meta.fields if isinstance(field, TextField))
    return {name for name in texts if not getattr(row, name)}


def _store_phrases(priority: Priority, texts) -> None:
    if len(texts) != LEVELS:
        text = _("it needs a phrase for each of the five levels.")
        raise ValidationError(text, code="phrases")
    for level, text in enumerate(texts):
        if not text:
            continue
        phrase = Phrase(priority=priority, level=level, text=text)
        phrase.full_clean()
        phrase.save()
