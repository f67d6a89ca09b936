"""The key while a mentor works on it: what was sent, one change at a time, and what the page shows."""

from __future__ import annotations

from dataclasses import replace

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from quizzes import grading
from quizzes.kinds.placing.board import Ruling
from quizzes.kinds.placing.content import (
    ClassContent,
    ClassKey,
    Reason,
    with_numbers,
    with_references,
)
from quizzes.kinds.placing.pictures import is_drawn, photograph_ids
from quizzes.kinds.placing.places import cut_word, ordinal
from quizzes.kinds.placing.problems import class_problems

LARGEST_CUT = 8


def key_from_post(post, content: ClassContent, old: ClassKey) -> ClassKey:
    """The key as the page sent it. Reasons of pairs that are not on the page are kept."""
    order = old.order
    armbands = {dog.id: dog.armband for dog in content}
    reasons = dict(old.reasons)
    for upper, lower in old.neighbours:
        stem = f"{upper}-{lower}"
        if f"reason-{stem}" in post:
            pair = {upper: armbands[upper], lower: armbands[lower]}
            reasons[upper, lower] = Reason(
                upper,
                lower,
                with_references(post[f"reason-{stem}"].strip(), pair),
                with_references(post.get(f"grant-{stem}", "").strip(), pair),
                post.get(f"priority-{stem}", ""),
            )
    gaps = range(max(len(order) - 1, 0))
    return replace(
        old,
        cuts=tuple(_cut(post.get(f"cut-{gap}", "")) for gap in gaps),
        level=frozenset(gap for gap in gaps if f"level-{gap}" in post),
        rulings=_rulings(post, old),
        reasons=reasons,
        note=with_references(post.get("note", "").strip(), armbands),
    )


def _cut(text: str) -> int | None:
    """The cut as typed. What is too large stays and is named among the things to mend."""
    return min(int(text), 99) if text.isdecimal() else None


def _rulings(post, old: ClassKey) -> dict:
    """The reasons of the rulings as sent; a ruling itself is given and taken by a button."""
    return {
        dog: {
            **entry,
            "reason": post.get(f"ruling-reason-{dog}", entry["reason"]).strip()[:200],
        }
        for dog, entry in old.rulings.items()
    }


def changed_key(key: ClassKey, do: str, content: ClassContent) -> ClassKey:
    """The key after the pressed button: "up:<dog>", "wider:<gap>" and so on.

    Moving a dog keeps cuts with the gap and reasons with the pair.
    Raises ValidationError for a button the page does not have.
    """
    name, _colon, target = do.partition(":")
    if name in ("save", "publish"):
        return key
    if (
        name in ("wider", "closer")
        and target.isdecimal()
        and int(target) < len(key.cuts)
    ):
        return _recut(key, int(target), +1 if name == "wider" else -1)
    if target not in content.by_id:
        raise ValidationError(_("This dog is not in the class any more."), code="dog")
    if name in Ruling.values:
        entry = {
            "ruling": name,
            "reason": key.rulings.get(target, {}).get("reason", ""),
        }
        return replace(
            key.without_place(target), rulings={**key.rulings, target: entry}
        )
    if name == "place":
        return key.unruled(target).placed_last(target)
    if name == "line":
        return key.unruled(target).without_place(target)
    if name in ("up", "down") and target in key.order:
        return _moved(key, target, -1 if name == "up" else +1)
    raise ValidationError(_("Press one of the buttons on the page."), code="button")


def _recut(key: ClassKey, gap: int, by: int) -> ClassKey:
    cuts = list(key.cuts)
    cuts[gap] = min(max((cuts[gap] or 0) + by, 1), LARGEST_CUT)
    return replace(key, cuts=tuple(cuts), level=key.level - {gap})


def _moved(key: ClassKey, dog: str, by: int) -> ClassKey:
    order = list(key.order)
    at = order.index(dog)
    to = min(max(at + by, 0), len(order) - 1)
    order[at], order[to] = order[to], order[at]
    return replace(key, order=tuple(order))


class KeyDesk:
    """What the key page shows."""

    def __init__(self, revision, content: ClassContent, key: ClassKey, priorities):
        self.revision, self.content, self.key = revision, content, key
        self.priorities = priorities
        self.armbands = {dog.id: dog.armband for dog in content}
        self.photographs = photograph_ids(content, revision.exercise.club_id)

    @property
    def drawn(self) -> bool:
        return is_drawn(self.content)

    def _written(self, text: str) -> str:
        return with_numbers(text, self.armbands)

    @property
    def rows(self) -> list[dict]:
        """Each placed dog with the gap below it."""
        places, by_id = self.key.places(), self.content.by_id
        last = len(self.key.order) - 1
        return [
            {
                "dog": by_id[dog],
                "place": ordinal(places[dog]),
                "is_first": at == 0,
                "is_last": at == last,
                "levels": self._levels(by_id[dog]),
                "gap": self._gap(at) if at < last else None,
            }
            for at, dog in enumerate(self.key.order)
        ]

    def _gap(self, at: int) -> dict:
        upper, lower = self.key.neighbours[at]
        reason = self.key.reasons.get((upper, lower), Reason(upper, lower))
        cut = self.key.cuts[at]
        return {
            "number": at,
            "stem": f"{upper}-{lower}",
            "upper": self.armbands[upper],
            "lower": self.armbands[lower],
            "cut": cut,
            "word": cut_word(cut) if cut else "",
            "level": at in self.key.level,
            "reason": self._written(reason.reason),
            "grant": self._written(reason.grant),
            "priority": reason.priority,
        }

    def _levels(self, dog) -> list[str]:
        return [
            f"{priority.name.lower()} {dog.levels[priority.slug]}"
            for priority in self.priorities
            if priority.slug in dog.levels
        ]

    @property
    def in_line(self):
        return [
            dog
            for dog in self.content
            if dog.id not in self.key.order and dog.id not in self.key.rulings
        ]

    @property
    def next_place(self) -> str:
        return ordinal(len(self.key.order) + 1)

    @property
    def ruled(self) -> list[dict]:
        by_id = self.content.by_id
        return [
            {"dog": by_id[dog], "label": Ruling(entry["ruling"]).label, **entry}
            for dog, entry in self.key.rulings.items()
        ]

    @property
    def rulings(self):
        return list(Ruling)

    @property
    def unused_reasons(self) -> list[dict]:
        """Reasons whose two dogs are no neighbours now; they come back with the pair."""
        return [
            {
                "upper": self.armbands[pair.upper],
                "lower": self.armbands[pair.lower],
                "text": self._written(pair.reason),
            }
            for stem, pair in self.key.reasons.items()
            if stem not in self.key.neighbours
            and pair.reason
            and pair.upper in self.armbands
            and pair.lower in self.armbands
        ]

    @property
    def problems(self):
        return class_problems(self.content, self.key)

    @property
    def room(self) -> dict | None:
        """What the worst order loses, of 50; None while there are no cuts or no usable key."""
        try:
            loss = grading.worst_loss(self.key.for_grading(self.content))
        except grading.KeyProblem:
            return None
        return (
            None
            if loss is None
            else {"loss": loss, "left": 50 - loss, "tenths": loss / 5}
        )

    @property
    def by_weights(self) -> list[int]:
        """Armbands in the order the weights and levels give; empty while levels are missing."""
        sums = {
            dog.id: weighed(dog, self.priorities)
            for dog in self.content
            if dog.id in self.key.order or dog in self.in_line
        }
        if not sums or None in sums.values():
            return []
        return [
            self.armbands[dog]
            for dog in sorted(sums, key=sums.__getitem__, reverse=True)
        ]

    @property
    def note(self) -> str:
        return self._written(self.key.note)


def weighed(dog, priorities) -> int | None:
    """The sum of weight times level; None if a level is missing."""
    if any(priority.slug not in dog.levels for priority in priorities):
        return None
    return sum(priority.weight * dog.levels[priority.slug] for priority in priorities)
