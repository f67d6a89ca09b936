"""Where a person stopped in a module, what they have opened of it and for how long."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property

from django.db import transaction
from django.db.models import F
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from trainer.study.page_reads import LONGEST_VISIT, PageRead
from trainer.study.reading import Document
from trainer.study.sections import QUESTION

Part = PageRead.Part
Key = tuple[str, str]
OLDEST_REPORT = timedelta(days=30)
"""What was read without a connection is told later, but not as older than this."""

_MARKER = re.compile(r"<!-- read ([a-z]+) ([\w-]*) ?-->")


@dataclass(frozen=True)
class Page:
    """A page of a module that is read.

    counts : it is one of those that "5 of 12 pages" counts; a step is part of the examination
    """

    part: str
    slug: str
    name: str
    address: str
    counts: bool = True

    @property
    def key(self) -> Key:
        return self.part, self.slug


def pages_of(document: Document) -> dict[Key, Page]:
    """The pages of a document that are read, in their order."""
    kept_as = get_language()
    if kept_as not in document.pages:
        found = _pages(document, document.module.pk)
        document.pages[kept_as] = {page.key: page for page in found}
    return document.pages[kept_as]


def _pages(document: Document, pk: int):
    def address(name, *more):
        return reverse(f"study:{name}", args=[pk, *more])

    for row in document.lessons:
        at = address("lesson-detail", row.slug)
        yield Page(Part.LESSON, row.slug, row.name, at)
    for row in document.priorities:
        at = address("priority-detail", row.slug)
        yield Page(Part.PRIORITY, row.slug, row.name, at)
    yield Page(Part.EXAMINATION, "", _("Examination"), address("examination"))
    for row in document.steps:
        at, number = address("step-detail", row.number), str(row.number)
        yield Page(Part.STEP, number, row.name, at, counts=False)
    at = address("rehearsal")
    yield Page(Part.REHEARSAL, "", _("Hands free"), at, counts=False)
    yield Page(Part.FAULTS, "", _("Faults and rulings"), address("fault-list"))
    if document.glossary.terms:
        yield Page(Part.TERMS, "", _("Terms"), address("term-list"))


def note_opened(user, module_id: int, page: Page, *, now: datetime) -> dict:
    """The person opened this page; the answers they chose on it before.

    Nothing is written while they stay at the same place.
    """
    mine = PageRead.objects.of(user, module_id)
    last = mine.latest_first().values_list("part", "slug", "answers")[:1]
    for part, slug, answers in last:
        if (part, slug) == page.key:
            return answers
    return _open(user, module_id, page, now)


def _open(user, module_id: int, page: Page, now: datetime) -> dict:
    row = PageRead.objects.filter(
        person_id=user.pk, module_id=module_id, part=page.part, slug=page.slug
    )
    if row.update(name=page.name, opened_at=now, times=F("times") + 1):
        asks = page.part == Part.LESSON
        return row.values_list("answers", flat=True).get() if asks else {}
    # Two windows may open a page for the first time at once: the second one finds it there.
    fresh = PageRead(
        person=user,
        module_id=module_id,
        part=page.part,
        slug=page.slug,
        name=page.name,
        first_at=now,
        opened_at=now,
    )
    PageRead.objects.bulk_create([fresh], ignore_conflicts=True)
    return {}


@dataclass(frozen=True)
class Report:
    """What the page tells of one visit to it.

    visit : made by the page; seconds is the whole of this visit so far
    ago : seconds since the visit began; it may be told late
    section : the one in view last
    answers : for each question in passing the answers chosen so far, as their places from 0
    """

    visit: str
    seconds: int
    ago: int = 0
    section: str = ""
    answers: Mapping[str, Sequence[int]] | None = None


@transaction.atomic
def note_read(
    user, document: Document, page: Page, report: Report, *, now: datetime
) -> None:
    """Add what a visit tells to the tallies. A report that comes twice counts once."""
    module_id = document.module.pk
    began = now - min(timedelta(seconds=report.ago), OLDEST_REPORT)
    rows = PageRead.objects.of(user, module_id).select_for_update()
    rows = rows.filter(part=page.part, slug=page.slug)
    if not rows.exists():
        _open(user, module_id, page, began)
    row = rows.get()
    told = row.visit_seconds if row.visit == report.visit else 0
    seconds = min(report.seconds, LONGEST_VISIT)
    row.seconds += max(seconds - told, 0)
    row.visit, row.visit_seconds = report.visit, max(seconds, told)
    row.opened_at = max(row.opened_at, began)
    sections = _sections(document, page)
    if report.section in sections:
        row.section = report.section
    row.answers = _answers(row.answers, report.answers or {}, sections)
    row.save()


def _sections(document: Document, page: Page) -> dict[str, Mapping]:
    if page.part != Part.LESSON:
        return {}
    lesson = next(row for row in document.lessons if row.slug == page.slug)
    return {section["id"]: section for section in lesson.sections}


def _answers(before: Mapping, given: Mapping, sections: Mapping) -> dict:
    """The answers known of questions that the lesson has, in the order in which they were chosen."""
    found = {}
    for name, section in sections.items():
        if section["kind"] != QUESTION:
            continue
        chosen = [*before.get(name, ()), *given.get(name, ())]
        known = [n for n in chosen if 0 <= n < len(section["options"])]
        if known:
            found[name] = list(dict.fromkeys(known))
    return found


class Progress:
    """How far a person has come in a module."""

    def __init__(self, document: Document, rows: Sequence[PageRead]):
        self._pages = pages_of(document)
        self.rows = [row for row in rows if row.key in self._pages]

    @cached_property
    def _opened(self) -> set[Key]:
        return {row.key for row in self.rows}

    @property
    def last(self) -> PageRead | None:
        """The page opened last that the module still has."""
        return self.rows[0] if self.rows else None

    @property
    def go_on(self) -> Page | None:
        return self._pages[self.last.key] if self.last else None

    @property
    def go_on_at(self) -> str:
        """Where to go on: the page, and within a lesson the section that was in view last."""
        anchor = f"#section-{self.last.section}" if self.last.section else ""
        return f"{self.go_on.address}{anchor}"

    @property
    def counted(self) -> list[Page]:
        return [page for page in self._pages.values() if page.counts]

    @property
    def opened(self) -> int:
        return sum(page.key in self._opened for page in self.counted)

    @property
    def of(self) -> int:
        return len(self.counted)

    @property
    def next_new(self) -> Page | None:
        """The first page that was not opened yet."""
        new = (page for page in self.counted if page.key not in self._opened)
        return next(new, None)

    @property
    def minutes(self) -> int:
        return round(sum(row.seconds for row in self.rows) / 60)

    @property
    def history(self) -> list[tuple[Page, PageRead]]:
        """Every page opened, in the module's order."""
        rows = {row.key: row for row in self.rows}
        return [(page, rows[key]) for key, page in self._pages.items() if key in rows]

    def marked(self, body: str) -> SafeString:
        """A body that is the same for all readers, with a word where a page of this list was read."""
        word = format_html('<span class="read-mark">{}</span>', _("Opened"))

        def mark(found: re.Match) -> str:
            return word if (found[1], found[2]) in self._opened else ""

        return mark_safe(_MARKER.sub(mark, body))


def progress(user, document: Document) -> Progress:
    mine = PageRead.objects.of(user, document.module.pk)
    return Progress(document, list(mine.latest_first()))


def last_places(user, most: int = 3) -> list[PageRead]:
    """The pages a person opened last, one for each module at most, the latest first."""
    rows = PageRead.objects.owned_by(user).latest_first().select_related("module")
    latest: dict[int, PageRead] = {}
    for row in rows:
        latest.setdefault(row.module_id, row)
    return list(latest.values())[:most]
