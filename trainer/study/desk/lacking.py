"""What a draft still lacks before it can be published: for each part, in words, with the row where it is."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from trainer.study.models import (
    LEVELS,
    Fault,
    Lesson,
    ModuleRevision,
    Priority,
    Step,
)
from trainer.study.sections import lacks_of

FEWEST_PRIORITIES = 2


@dataclass(frozen=True)
class Lack:
    """Something that is missing.

    part : slug of a part, "about" or "weights"
    row : the row that lacks it; None if the part does
    said : the text without the name of the row
    """

    part: str
    text: str
    row: int | None = None
    said: str = ""

    @property
    def what(self) -> str:
        return self.said or self.text


class Whole:
    """A revision with its parts, loaded in a fixed number of queries."""

    def __init__(self, revision: ModuleRevision):
        self.revision = revision
        self.priorities: list[Priority] = list(
            revision.priorities.prefetch_related("phrases").order_by("number")
        )
        self.steps: list[Step] = list(revision.steps.order_by("number"))
        self.faults: list[Fault] = list(revision.faults.order_by("number"))
        self.lessons: list[Lesson] = list(revision.lessons.order_by("number"))
        self.terms = list(revision.terms.order_by("number"))

    def rows(self, part: str) -> list:
        return getattr(self, part)


def lacking(whole: Whole) -> list[Lack]:
    """Everything that stands between the draft and publishing; empty if nothing does."""
    return [
        *_about(whole.revision),
        *_priorities(whole.priorities),
        *_weights(whole.priorities),
        *_steps(whole.steps),
        *_faults(whole.faults),
        *_lessons(whole.lessons),
        *_terms(whole.terms),
    ]


def lacking_in(revision: ModuleRevision) -> list[Lack]:
    return lacking(Whole(revision))


def _about(revision: ModuleRevision) -> Iterator[Lack]:
    if not revision.introduction.strip():
        yield Lack("about", _("An introduction: what the breed is for, in your words."))
    if not revision.standard_title.strip():
        yield Lack("about", _("Which standard you teach from."))
    if not revision.standard_note.strip():
        text = _("What in this module is the standard's, and what is your opinion.")
        yield Lack("about", text)


def _empty(row, **fields) -> Iterator[str]:
    """Words for the fields of a row that are empty."""
    return (words for name, words in fields.items() if not getattr(row, name).strip())


def _of_rows(part: str, rows: Iterable, **fields) -> Iterator[Lack]:
    for row in rows:
        for words in _empty(row, **fields):
            yield Lack(part, f"{row}: {words}", row.pk, words)


def _priorities(rows: list[Priority]) -> Iterator[Lack]:
    if len(rows) < FEWEST_PRIORITIES:
        yield Lack("priorities", _("At least two priorities, the weightiest first."))
    yield from _of_rows(
        "priorities",
        rows,
        look_for=_("what to look for"),
        why_it_matters=_("why it matters"),
    )
    for row in rows:
        written = {one.level for one in row.phrases.all() if one.text.strip()}
        missing = LEVELS - len(written)
        if missing:
            text = ngettext(
                "a phrase for one level", "phrases for %(n)s levels", missing
            ) % {"n": missing}
            yield Lack("priorities", f"{row}: {text}", row.pk, text)


def unweighed(rows: list[Priority]) -> bool:
    """Whether each still has the weight that it began with."""
    return len(rows) > 1 and all(row.weight == 1 for row in rows)


def _weights(rows: list[Priority]) -> Iterator[Lack]:
    if unweighed(rows):
        yield Lack(
            "weights", _("How much each counts. Their order gives a first weight.")
        )
        return
    total = sum(row.weight for row in rows)
    if rows and total != 100:
        text = _("The weights add up to %(n)s; they must make 100.")
        yield Lack("weights", text % {"n": total})
    for above, below in pairwise(rows):
        if below.weight > above.weight:
            text = _("%(below)s weighs more than %(above)s, which is ranked above it.")
            yield Lack("weights", text % {"below": below, "above": above})


def _steps(rows: list[Step]) -> Iterator[Lack]:
    if not rows:
        yield Lack("steps", _("The steps of your examination, from the approach on."))
    yield from _of_rows("steps", rows, instruction=_("what to do"))


def _faults(rows: list[Fault]) -> Iterator[Lack]:
    if not rows:
        yield Lack("faults", _("At least one fault, with what a judge does about it."))
    yield from _of_rows("faults", rows, description=_("what it is"))
    for row in rows:
        disqualifies = row.severity == Fault.Severity.DISQUALIFYING
        if disqualifies and row.ruling != Fault.Ruling.DISQUALIFY:
            text = _("called disqualifying, but the judge does something else")
            yield Lack("faults", f"{row}: {text}", row.pk, text)


def _lessons(rows: list[Lesson]) -> Iterator[Lack]:
    for row in rows:
        if not row.sections:
            yield Lack("lessons", f"{row}: {_('a section')}", row.pk, _("a section"))
        for number, section in enumerate(row.sections, start=1):
            for words in lacks_of(section):
                text = _("section %(n)s: %(what)s") % {"n": number, "what": words}
                yield Lack("lessons", f"{row}, {text}", row.pk, text)


def _terms(rows) -> Iterator[Lack]:
    yield from _of_rows("terms", rows, meaning=_("what it means"))
