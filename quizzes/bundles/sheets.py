"""What a bundle has to know of any kind that asks on a sheet: all of it follows from the kind's rows.

A sheet travels row by row, as it is asked, however the kind stores it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from django.utils.translation import gettext as _

from quizzes.bundles import plates
from quizzes.kinds import shapes
from quizzes.kinds.placing.content import Dog
from quizzes.kinds.sheets.kind import MOST_ROWS, SheetKind
from quizzes.kinds.sheets.rows import Asked, Sheet, key_document, read_sheet


@dataclass(frozen=True)
class SheetBundle:
    """The same functions as placing.py has, for one such kind."""

    kind: SheetKind

    @property
    def shapes(self) -> tuple[dict, dict]:
        """The forms of content and key."""
        rows = {"maxItems": MOST_ROWS, "items": shapes.shape_of(self.kind.asked)}
        known = shapes.shape_of(self.kind.known)
        key = {
            "type": "object",
            "maxProperties": MOST_ROWS,
            "propertyNames": {"type": "string", **shapes.ID},
            "additionalProperties": known,
        }
        whole = self.kind.asked.whole
        content = {
            "items": {"type": "array", **rows},
            "mixed": {"type": "boolean"},
            **(shapes.shape_of(whole)["properties"] if whole else {}),
        }
        return shapes.obj(content, ["items"]), shapes.obj({"items": key})

    def settled(self, content: Mapping, key: Mapping) -> tuple[dict, dict]:
        """What travels of content and key as they are stored."""
        sheet, known = self.kind.sheet(content), self.kind.key(key)
        kept = {row.id: known[row.id] for row in sheet if row.id in known}
        return _travelling(sheet, lambda row: row.travelling()), key_document(kept)

    def stored(self, content: Mapping, key: Mapping) -> tuple[dict, dict]:
        """What a revision keeps of content and key that came in."""
        found = self.kind.stored(self._sheet(content), self.kind.key(key))
        return found["content"], found["key"]

    def for_reading(self, content: Mapping) -> dict:
        """The sheet as a trainee may have it."""
        return _travelling(self._sheet(content), lambda row: row.for_reading())

    def pictures(self, content: Mapping) -> set[str]:
        """The ids of the photographs in all rows."""
        found: set[str] = set()

        def note(photograph: str) -> str:
            found.add(photograph)
            return photograph

        self.with_pictures(content, note)
        return found

    def with_pictures(self, content: Mapping, name: Callable[[str], str]) -> dict:
        """The sheet with each photograph under another id; "" takes it away."""
        named = [
            row.with_photographs(name).travelling() for row in self._sheet(content)
        ]
        # What was left out stays left out.
        items = [
            {member: value for member, value in after.items() if member in before}
            for before, after in zip(content["items"], named, strict=True)
        ]
        return {**content, "items": items}

    def problems(self, content: Mapping, key: Mapping) -> Iterator[str]:
        """Why sheet and key can't be stored, in words."""
        sheet, known = self._sheet(content), self.kind.key(key)
        if len(sheet.by_id) < len(sheet):
            yield _("two rows have the same id.")
        for pk in sorted(known.keys() - sheet.by_id.keys()):
            yield _("the key names the row “%(id)s”, which is not asked.") % {"id": pk}
        for number, row in enumerate(sheet, start=1):
            for why in row.misfits(self.kind.known_of(known, row)):
                yield _("row %(n)s: ") % {"n": number} + why
            why = _undrawable(row, sheet.more.get("breed", ""))
            if why:
                yield _("row %(n)s: the dog %(why)s.") % {"n": number, "why": why}

    def unknown_priorities(
        self, content: Mapping, key: Mapping, known: frozenset[str]
    ) -> set[str]:
        """Priorities that rows or key name and the module does not have."""
        return set().union(*self._of_each(content, key)) - known - {""}

    def unknown_steps(self, content: Mapping, known: frozenset[str]) -> set[str]:
        """No row names a step."""
        return set()

    def _of_each(self, content: Mapping, key: Mapping) -> Iterator[frozenset[str]]:
        of_key = self.kind.key(key)
        for row in self._sheet(content):
            yield row.priorities(self.kind.known_of(of_key, row))

    def _sheet(self, content: Mapping) -> Sheet:
        """The sheet of a content that travels."""
        return read_sheet(self.kind.asked, content)


def _travelling(sheet: Sheet, of_row: Callable[[Asked], dict]) -> dict:
    return {**sheet.document(), "items": [of_row(row) for row in sheet]}


def _undrawable(row: Asked, breed: str) -> str:
    """Why a dog in the row can't be drawn, in words; "" if all can."""
    if isinstance(row, Dog):
        return plates.dog_problem(breed, row.travelling())
    found = (plates.drawn_problem(one) for one in row.plates())
    return next(filter(None, found), "")
