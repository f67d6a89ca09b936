"""What changes the sections of a lesson. Each section has a version of its own, so two mentors
can work on one lesson as long as it is not the same section."""

from __future__ import annotations

from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from trainer.study.desk.drafts import EditedElsewhere, touch, writable
from trainer.study.models import Lesson, Removed
from trainer.study.sections import MOST_SECTIONS, check_sections, new_section

SECTION = "section"


class SectionGone(ValidationError):
    """Somebody took the section out."""

    def __init__(self):
        text = _("This section was taken out meanwhile. It can be put back.")
        super().__init__(text, code="gone")


def place_of(lesson: Lesson, section_id: str) -> int:
    """Where the section stands, from 0. Raises SectionGone."""
    ids = [section["id"] for section in lesson.sections]
    if section_id not in ids:
        raise SectionGone
    return ids.index(section_id)


class _Change:
    """A lesson held for a change of its sections, checked and stored at the end."""

    def __init__(self, lesson: Lesson, by, now: datetime):
        self.revision = writable(lesson.revision_id)
        self.lesson = Lesson.objects.select_for_update().filter(pk=lesson.pk).first()
        self.by, self.now = by, now
        if self.lesson is None:
            raise SectionGone

    @property
    def sections(self) -> list:
        return self.lesson.sections

    def store(self) -> Lesson:
        check_sections(self.sections)
        self.lesson.edited_by, self.lesson.edited_at = self.by, self.now
        self.lesson.save(update_fields=["sections", "edited_by", "edited_at"])
        touch(self.revision, by=self.by, now=self.now)
        return self.lesson


@transaction.atomic
def add_section(lesson: Lesson, kind: str, *, by, now: datetime, **fields) -> dict:
    """A new section at the end of the lesson."""
    change = _Change(lesson, by, now)
    if len(change.sections) >= MOST_SECTIONS:
        text = _("A lesson has at most %(n)s sections. Begin another lesson.")
        raise ValidationError(text, code="full", params={"n": MOST_SECTIONS})
    section = {**new_section(kind), **fields}
    change.sections.append(section)
    change.store()
    return section


@transaction.atomic
def save_section(
    lesson: Lesson, section_id: str, *, by, now: datetime, version: int, **changes
) -> dict:
    """Keep changes to a section.

    Raises EditedElsewhere if it was saved since `version` was read, SectionGone if it is there no more.
    """
    change = _Change(lesson, by, now)
    at = place_of(change.lesson, section_id)
    section = change.sections[at]
    if section["version"] != version:
        raise EditedElsewhere(change.lesson, by)
    change.sections[at] = {**section, **changes, "version": version + 1}
    change.store()
    return change.sections[at]


@transaction.atomic
def move_section(lesson: Lesson, section_id: str, to: int, *, by, now: datetime) -> int:
    """Give a section another place, counted from 1; returns it."""
    change = _Change(lesson, by, now)
    section = change.sections.pop(place_of(change.lesson, section_id))
    to = min(max(to, 1), len(change.sections) + 1)
    change.sections.insert(to - 1, section)
    change.store()
    return to


@transaction.atomic
def remove_section(lesson: Lesson, section_id: str, *, by, now: datetime) -> Removed:
    """Take a section out of its lesson; it can be put back."""
    change = _Change(lesson, by, now)
    at = place_of(change.lesson, section_id)
    section = change.sections.pop(at)
    change.store()
    return Removed.objects.create(
        revision=change.revision,
        part=SECTION,
        name=_("Section %(n)s of %(lesson)s") % {"n": at + 1, "lesson": lesson},
        document={"lesson": lesson.pk, "at": at, "section": section},
        removed_by=by,
        removed_at=now,
    )


@transaction.atomic
def put_section_back(removed: Removed, *, by, now: datetime) -> Lesson:
    """Put a section that was taken out back where it stood."""
    kept = removed.document
    lesson = Lesson.objects.filter(pk=kept["lesson"], revision=removed.revision).first()
    if lesson is None:
        raise ValidationError(_("Put its lesson back first."), code="gone")
    change = _Change(lesson, by, now)
    change.sections.insert(kept["at"], kept["section"])
    removed.delete()
    return change.store()
