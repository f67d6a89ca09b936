"""An examination done from memory by a room at once: one page, and where each step was put."""

from __future__ import annotations

from collections import Counter, defaultdict
from functools import cached_property

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from quizzes.grading.items import FULL
from quizzes.kinds.examination import result
from quizzes.kinds.examination.content import (
    FIND,
    GAP,
    ORDER,
    SENSE,
    ExamAnswer,
    ExamContent,
    ExamKey,
)
from quizzes.kinds.examination.grading import points_of
from quizzes.kinds.examination.player import MOVES, asked_of, first_page, with_gap
from quizzes.kinds.examination.safety import unsafe_orders
from quizzes.kinds.in_room import InRoom, most_first, row
from quizzes.kinds.placing.places import ordinal
from trainer.study.models import Step

SENSES = dict(Step.Sense.choices)


class Room(InRoom):
    """All parts stand on one page; the missing step gives away part of the order, so not both are asked."""

    ask = "quizzes/examination/_ask_in_room.html"
    told_by = "quizzes/examination/_told_in_room.html"
    styles = ("css/from-memory.css",)

    @property
    def note(self):
        if self.whole.in_two:
            return gettext_lazy(
                "The missing step is left out in a room: it gives away the order."
            )
        return ""

    @cached_property
    def whole(self) -> ExamContent:
        return ExamContent.read(self.revision.content)

    @cached_property
    def content(self):
        content = self.revision.content
        if not self.whole.in_two:
            return content
        asked = [part for part in self.whole.asked if part != GAP]
        return {**content, "asked": asked, "gap": {}}

    @cached_property
    def exam(self) -> ExamContent:
        return ExamContent.read(self.content)

    @property
    def key(self) -> ExamKey:
        return ExamKey.read(self.revision.key)

    def asked(self, shown, answer, at):
        return asked_of(self.exam, shown, ExamAnswer.read(answer))

    def sent(self, shown, post):
        answer = first_page(self.exam, shown, post)
        return with_gap(self.exam, answer, post).document()

    def is_step(self, post):
        return post.get("do", "").partition(":")[0] in MOVES

    def grade(self, answer):
        return self.kind.grade(self.content, self.revision.key, answer)

    # The room.

    def gathered(self, answers):
        counts: dict[str, Counter] = defaultdict(Counter)
        right: Counter = Counter()
        key = self.key
        for answer in answers:
            for item, value in self.kind.marks(answer):
                counts[item][value] += 1
            given = ExamAnswer.read(answer)
            for item, points in points_of(self.exam, key, given).items():
                right[item] += points == FULL
            for n, step in enumerate(given.order, start=1):
                right[f"{ORDER}-{step}"] += n in _places(key, step)
        rows = [
            row(
                n,
                named,
                known,
                most_first(counts[item], said.get, is_right),
                right=right[item],
                of=len(answers),
            )
            for n, (item, named, known, said, is_right) in enumerate(
                self._asked_rows(key), start=1
            )
        ]
        found = {"kind": "sheet", "rows": rows}
        if ORDER not in self.exam.asked:
            return found
        return {**found, "share_of": "steps", "figures": self._unsafe(answers, key)}

    def _unsafe(self, answers, key) -> list[str]:
        """How many would have put a hand on too early, or otherwise unsafely."""
        n = sum(bool(unsafe_orders(key, one["order"])) for one in answers)
        text = ngettext(
            "One of %(of)s orders is unsafe.", "%(n)s of %(of)s orders are unsafe.", n
        )
        return [text % {"n": n, "of": len(answers)}] if n else []

    def _asked_rows(self, key):
        """Each thing that is asked: its mark, its words, the key's answer, and what each answer means."""
        exam, names = self.exam, self.exam.names
        ordinals = {str(n): ordinal(n) for n in range(1, len(names) + 1)}
        if ORDER in exam.asked:
            for step in key.order:
                places = [str(place) for place in _places(key, step)]
                known = " / ".join(ordinals[place] for place in places)
                yield (
                    f"{ORDER}-{step}",
                    names[step],
                    known,
                    ordinals,
                    places.__contains__,
                )
        if SENSE in exam.asked:
            for step in key.order:
                sense = key.of(step).sense
                named = _("%(step)s: eye or hand") % {"step": names[step]}
                yield f"{SENSE}-{step}", named, SENSES[sense], SENSES, sense.__eq__
        if FIND in exam.asked:
            for one in exam.to_find:
                find = key.of(one.step).find
                named = _("%(step)s: what to find") % {"step": names[one.step]}
                known = exam.finds.get(find, "")
                yield f"{FIND}-{one.step}", named, known, exam.finds, find.__eq__
        if GAP in exam.asked:
            named = _("The step that is missing")
            yield GAP, named, names.get(key.gap, ""), names, key.gap.__eq__

    def told(self, hand, at):
        exam, key = self.exam, self.key
        answer = ExamAnswer.read(hand.answer)
        return {
            "headline": self.kind.said(_Graded(hand.grade)),
            "order": result.ordered(exam, key, answer) if ORDER in exam.asked else None,
            "senses": result.senses(exam, key, answer) if SENSE in exam.asked else None,
            "finds": result.finds(exam, key, answer) if FIND in exam.asked else None,
            "gap": result.gap(exam, key, answer) if GAP in exam.asked else None,
        }

    def on_stage(self, at):
        return {}


class _Graded:
    """As much of a grade as its sentence needs."""

    def __init__(self, stored):
        self.pairs_agreed, self.pairs_counted = stored["agreed"], stored["counted"]
        self.result = stored["result"]


def _places(key: ExamKey, step: str) -> range:
    """The places of the key that a step may have."""
    group = key.groups[key.group_of[step]]
    first = key.order.index(group[0]) + 1
    return range(first, first + len(group))
