"""A critique written by a room at once: a few sentences, what the room named, and the mentor's own afterwards."""

from __future__ import annotations

from collections import Counter
from functools import cached_property
from statistics import median

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from quizzes.kinds.critique.content import (
    FEWEST,
    Critique,
    CritiqueContent,
    CritiqueKey,
)
from quizzes.kinds.critique.player import sent_parts
from quizzes.kinds.critique.pointing import pointed_out
from quizzes.kinds.in_room import AtRoom, InRoom, dog_cards, line_of, most_first, row
from quizzes.kinds.placing.pictures import photograph_ids, plate_of
from trainer.study import reading


class Room(InRoom):
    """No program marks it. The room hears which priorities were named, and nobody's words are shown to others."""

    ask = "quizzes/critique/_ask_in_room.html"
    told_by = "quizzes/critique/_told_in_room.html"
    styles = ("css/critique.css",)
    hand_in = gettext_lazy("Hand in the critique")
    note = gettext_lazy(
        "A few sentences are enough in a room. The stage shows which priorities were named; you mark the critiques afterwards."
    )

    @cached_property
    def content(self):
        content = self.revision.content
        return {**content, "least": min(content["least"], FEWEST)}

    @cached_property
    def task(self) -> CritiqueContent:
        return CritiqueContent.read(self.content)

    def card(self, at, *, told=False):
        klass = self.task.as_class
        shown = photograph_ids(klass, self.revision.exercise.club_id)
        pictures = AtRoom(klass, self.revision, at, shown)
        return dog_cards(pictures, told=told)[self.task.dog.id]

    def asked(self, shown, answer, at):
        written = Critique.read(answer)
        rows = enumerate(self.task.checklist)
        return {
            "task": self.task,
            "card": self.card(at),
            "written": written,
            "checklist": [(n, text, n in written.covered) for n, text in rows],
        }

    def sent(self, shown, post):
        return sent_parts(post).document()

    # The room.

    @cached_property
    def module(self) -> reading.Document:
        module = self.revision.module_revision
        return reading.document_of(module.pk, module.published_at)

    def found_in(self, text: str):
        return pointed_out(text, self.module.glossary, self.module.priorities)

    def gathered(self, answers):
        written = [Critique.read(one) for one in answers]
        named = Counter(dict.fromkeys((one.name for one in self.module.priorities), 0))
        ticked = Counter(dict.fromkeys(self.task.checklist, 0))
        for one in written:
            named.update(
                each.priority.name for each in self.found_in(one.text).mentioned
            )
            ticked.update(self.task.checklist[at] for at in one.covered)
        texts = [
            (_("Priorities of the module that the critiques name"), named),
            (_("Ticked as covered"), ticked),
        ]
        rows = [
            row(n, title, "", most_first(counts, str, _is_right), of=len(written))
            for n, (title, counts) in enumerate(texts, start=1)
            if counts
        ]
        words = [one.words for one in written]
        said = _("Half of the critiques have %(n)s words or more.")
        figures = [said % {"n": round(median(words))}] if words else []
        return {"kind": "sheet", "rows": rows, "figures": figures}

    def told(self, hand, at):
        written, key = Critique.read(hand.answer), CritiqueKey.read(self.revision.key)
        found = self.found_in(written.text)
        return {
            "written": written,
            "key": key,
            "card": self.card(at, told=True),
            "mentioned": [one.priority.name for one in found.mentioned],
            "not_mentioned": [one.name for one in found.not_mentioned],
        }

    def on_stage(self, at):
        card = self.card(at)
        return {"dogs": line_of([card]), "armbands": [card.armband]}

    def plate(self, request, what, place, *, told):
        return plate_of(request, self.task.as_class, what, told=told)

    @property
    def photographs(self):
        return self.task.pictures


def _is_right(_value) -> bool:
    """Nothing that is named is right or wrong by itself."""
    return False
