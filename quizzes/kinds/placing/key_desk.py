"""The key while a mentor works on it: what was sent, one change at a time, and what the page shows."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from django.core.exceptions import ValidationError
from django.urls import reverse
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
from quizzes.kinds.placing.differences import class_differences
from quizzes.kinds.placing.pictures import is_drawn, photograph_ids
from quizzes.kinds.placing.places import cut_word, ordinal
from quizzes.kinds.placing.problems import class_problems, gaps_without_cut

LARGEST_CUT = 8


def key_from_post(post, content: ClassContent, old: ClassKey) -> ClassKey:
    """The key as the page sent it. Reasons of pairs that are not on the page are kept.

    The page sends the order it showed, since another window may have saved another one.
    """
    armbands = {dog.id: dog.armband for dog in content}
    shown = post["order"].split(",") if "order" in post else old.order
    order = tuple(dog for dog in dict.fromkeys(shown) if dog in armbands)
    at = {pair: gap for gap, pair in enumerate(pairwise(shown))}
    gaps = [at.get(pair) for pair in pairwise(order)]
    return replace(
        old.reordered(order),
        cuts=tuple(_cut(post.get(f"cut-{gap}", "")) for gap in gaps),
        level=frozenset(i for i, gap in enumerate(gaps) if f"level-{gap}" in post),
        rulings=_rulings(post, old, [dog for dog in armbands if dog not in order]),
        reasons={**old.reasons, **_reasons(post, pairwise(order), armbands)},
        note=with_references(post.get("note", "").strip(), armbands),
    )


def _reasons(post, pairs, armbands) -> dict:
    """The reasons of the pairs, with armbands turned into references to the dogs."""
    reasons = {}
    for upper, lower in pairs:
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
    return reasons


def _cut(text: str) -> int | None:
    """The cut as typed. What is too large stays and is named among the things to mend."""
    return min(int(text), 99) if text.isdecimal() else None


def _rulings(post, old: ClassKey, free) -> dict:
    """The rulings that the page showed, on dogs without a place, with reasons as sent."""
    shown = {dog: entry["ruling"] for dog, entry in old.rulings.items()}
    if "order" in post:
        shown = {dog: post.get(f"ruling-{dog}") for dog in free}
    return {
        dog: {
            "ruling": ruling,
            "reason": post.get(
                f"ruling-reason-{dog}", old.rulings.get(dog, {}).get("reason", "")
            ).strip()[:200],
        }
        for dog, ruling in shown.items()
        if dog in free and ruling in Ruling.values
    }


def changed_key(
    key: ClassKey, do: str, content: ClassContent, priorities=()
) -> ClassKey:
    """The key after the pressed button: "up:<dog>", "wider:<gap>" and so on.

    Moving a dog keeps cuts, "either order" and reasons with the pair.
    Raises ValidationError for a button the page does not have.
    """
    name, _colon, target = do.partition(":")
    if name in ("save", "publish"):
        return key
    if name == "own":
        return replace(key, mentors=0)
    if name == "weights":
        return key.reordered(weight_order(content, key, priorities) or key.order)
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
    return key.reordered(order)


class KeyDesk:
    """What the key page shows.

    moved : id of the dog that the last button moved, "" without one
    theirs : the key that another window saved, where this one was refused for it
    """

    def __init__(
        self,
        revision,
        content: ClassContent,
        key: ClassKey,
        priorities,
        *,
        moved: str = "",
        theirs: ClassKey | None = None,
    ):
        self.revision, self.content, self.key = revision, content, key
        self.priorities, self.moved, self.theirs = priorities, moved, theirs
        self.armbands = {dog.id: dog.armband for dog in content}
        self.photographs = photograph_ids(content, revision.exercise.club_id)

    @property
    def drawn(self) -> bool:
        return is_drawn(self.content)

    def plate_address(self, dog: str) -> str:
        return reverse(
            "quizzes:placing-draft-plate", args=[self.revision.exercise_id, dog]
        )

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
                "plate": self.drawn and by_id[dog].drawn and self.plate_address(dog),
                "gap": self._gap(at) if at < last else None,
            }
            for at, dog in enumerate(self.key.order)
        ]

    def _gap(self, at: int) -> dict:
        upper, lower = self.key.neighbours[at]
        reason = self.key.reasons.get((upper, lower), Reason(upper, lower))
        cut = self.key.cuts[at]
        lacks_cut = at in gaps_without_cut(self.key, parted=True)
        suggested = suggested_cut(self.key, upper, lower) if lacks_cut else None
        return {
            "number": at,
            "stem": f"{upper}-{lower}",
            "upper": self.armbands[upper],
            "lower": self.armbands[lower],
            "cut": cut or suggested,
            "suggested": suggested,
            "word": cut_word(cut or suggested) if cut or suggested else "",
            "level": at in self.key.level,
            "lacks_cut": lacks_cut,
            "reason": self._written(reason.reason),
            "grant": self._written(reason.grant),
            "priority": reason.priority,
            "theirs": self._saved_there(at, reason),
        }

    def _saved_there(self, at: int, reason: Reason) -> dict[str, str]:
        """What another window saved for this pair, by field, where it is not the same."""
        if self.theirs is None:
            return {}
        pair = (reason.upper, reason.lower)
        there = self.theirs.reasons.get(pair, Reason(*pair))
        names = {priority.slug: priority.name for priority in self.priorities}
        found = {
            "reason": (reason.reason, there.reason, self._written(there.reason)),
            "grant": (reason.grant, there.grant, self._written(there.grant)),
            "priority": (reason.priority, there.priority, names.get(there.priority)),
        }
        if pair in self.theirs.neighbours:
            gap = self.theirs.neighbours.index(pair)
            cut, level = self.theirs.cuts[gap], gap in self.theirs.level
            found["cut"] = (self.key.cuts[at], cut, cut)
            either = _("either order") if level else _("in this order only")
            found["level"] = (at in self.key.level, level, either)
        return {
            name: words or _("nothing")
            for name, (here, saved, words) in found.items()
            if here != saved
        }

    @property
    def saved_there(self) -> list[str]:
        """Order and rulings that another window saved; what belongs to a pair stands with it."""
        if self.theirs is None:
            return []
        bare = [
            ClassKey.read({"order": key.order, "rulings": key.rulings})
            for key in (self.key, self.theirs)
        ]
        mine, there = ((self.content, key) for key in bare)
        return class_differences(mine, there)

    @property
    def note_there(self) -> str:
        """The note on the class that another window saved, if it is another one."""
        if self.theirs is None or self.theirs.note == self.key.note:
            return ""
        return self._written(self.theirs.note) or _("nothing")

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
    def cut_words(self) -> list[str]:
        """The word for each cut from 1 on."""
        return [cut_word(cut) for cut in range(1, LARGEST_CUT + 1)]

    @property
    def kept_by_move(self) -> list[dict]:
        """Reasons that the last move put out of use: of the dog moved, or round it."""
        near = {self.moved}
        if self.moved in self.key.order:
            at = self.key.order.index(self.moved)
            near |= {*self.key.order[max(at - 2, 0) : at + 3]}
        return [
            one
            for one in self.unused_reasons
            if self.moved in one["pair"] or near.issuperset(one["pair"])
        ]

    @property
    def unused_reasons(self) -> list[dict]:
        """Reasons whose two dogs are no neighbours now; they come back with the pair."""
        return [
            {
                "pair": stem,
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
        order = weight_order(self.content, self.key, self.priorities)
        return [self.armbands[dog] for dog in order]

    @property
    def is_by_weights(self) -> bool:
        """Whether the key is in that order already."""
        order = weight_order(self.content, self.key, self.priorities)
        return tuple(order) == self.key.order

    @property
    def note(self) -> str:
        return self._written(self.key.note)


def suggested_cut(key: ClassKey, upper: str, lower: str) -> int | None:
    """A cut to begin with for new neighbours: what the move left behind at this place.

    The same two the other way round lie as far apart as before; else it is the cut that
    stood below the upper dog, or above the lower one. None where no cut was given.
    """
    left = {pair: cut for pair, (cut, _level) in key.apart.items() if cut}
    if cut := left.get((lower, upper)):
        return cut
    turned = {pair for pair in left if pair[::-1] in key.neighbours}
    near = [
        cut for pair, cut in left.items() if pair[0] == upper and pair not in turned
    ]
    near += [
        cut for pair, cut in left.items() if pair[1] == lower and pair not in turned
    ]
    return near[0] if near else None


def weight_order(content: ClassContent, key: ClassKey, priorities) -> list[str]:
    """The dogs without a ruling as weights and levels have them, as many as get a place.

    Equal ones stay as the key has them; empty while a level is missing.
    """
    standing = [dog for dog in content if dog.id not in key.rulings]
    sums = {dog.id: weighed(dog, priorities) for dog in standing}
    if not (sums and priorities) or None in sums.values():
        return []
    now = {dog: place for place, dog in enumerate(key.order)}
    ranked = sorted(sums, key=lambda dog: (-sums[dog], now.get(dog, len(now))))
    return ranked[: content.places]


def weighed(dog, priorities) -> int | None:
    """The sum of weight times level; None if a level is missing."""
    if any(priority.slug not in dog.levels for priority in priorities):
        return None
    return sum(priority.weight * dog.levels[priority.slug] for priority in priorities)
