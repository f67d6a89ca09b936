"""A sheet answered by a room at once: asked in one order, counted row by row, and what one person is told."""

from __future__ import annotations

import random
from collections import Counter, defaultdict
from functools import cached_property

from quizzes.grading.items import FULL
from quizzes.kinds.in_room import InRoom, row
from quizzes.kinds.sheets.player import rows_to_ask, sent_rows
from quizzes.kinds.sheets.result import explained_rows


class Room(InRoom):
    """Everybody has the rows in the mentor's order, so that all mean the same by a number."""

    ask = "quizzes/sheets/_ask_in_room.html"
    told_by = "quizzes/sheets/_told_in_room.html"

    @property
    def styles(self):
        return self.kind.styles

    @cached_property
    def content(self):
        return {**self.revision.content, "mixed": False}

    @cached_property
    def sheet(self):
        return self.kind.sheet(self.revision.content)

    def show(self, rng: random.Random):
        return self.kind.show(self.content, rng=rng, again=False)

    def asked(self, shown, answer, at):
        look = self.kind.room_look(self.revision, at, told=False)
        given = answer.get("items", {})
        rows = rows_to_ask(self.kind, self.revision.content, shown, given, look)
        return {"asked": rows, "one_by": f"quizzes/{self.kind.slug}/_ask.html"}

    def sent(self, shown, post):
        return sent_rows(self.kind, self.revision.content, post)

    def gathered(self, answers):
        kind, known = self.kind, self.kind.key(self.revision.key)
        counts: dict[str, Counter] = defaultdict(Counter)
        right: Counter = Counter()
        rows = self.sheet.by_id
        for answer in answers:
            for pk, word in kind.marks(answer):
                counts[pk][word] += 1
            for pk, value in answer["items"].items():
                one = rows[pk]
                right[pk] += kind.points(one, kind.known_of(known, one), value) == FULL
        rows = [
            self._row(n, one, kind.known_of(known, one), counts[one.id])
            | {"right": right[one.id], "of": len(answers)}
            for n, one in enumerate(self.sheet, start=1)
        ]
        return {"kind": "sheet", "rows": rows}

    def _row(self, n: int, one, known, counts) -> dict:
        kind = self.kind
        return row(
            n,
            kind.named(one),
            kind.key_said(one, known),
            kind.put_together(one, known, counts),
            short=str(kind.key_in_short(one, known)),
            why=getattr(known, "why", ""),
        )

    def told(self, hand, at):
        kind, known = self.kind, self.kind.key(self.revision.key)
        look = kind.room_look(self.revision, at, told=True)
        points = hand.grade["result"]["points"]
        return {
            "headline": kind.said(_Graded(hand.grade)),
            "rows": explained_rows(
                kind, self.revision, hand.shown, hand.answer, points, look
            ),
            "explained": f"quizzes/{kind.slug}/_explained.html",
            "warned": kind.warned(self.sheet, known, hand.answer),
            "also": kind.also_said(self.sheet, known, hand.answer),
        }

    def on_stage(self, at):
        look = self.kind.room_look(self.revision, at, told=False)
        return {
            "asked": [
                {
                    "number": n,
                    "named": self.kind.named(one),
                    "armband": getattr(one, "armband", None),
                    "picture": self.kind.large_picture(look.get(one.id)),
                }
                for n, one in enumerate(self.sheet, start=1)
            ]
        }

    def plate(self, request, what, place, *, told):
        return self.kind.room_plate(request, self.sheet, what, place, told=told)

    @property
    def photographs(self):
        found: set[str] = set()

        def noted(name: str) -> str:
            found.add(name)
            return name

        for one in self.sheet:
            one.with_photographs(noted)
        return frozenset(found) - {""}


class _Graded:
    """As much of a grade as its sentence needs."""

    def __init__(self, stored):
        self.pairs_agreed, self.pairs_counted = stored["agreed"], stored["counted"]
