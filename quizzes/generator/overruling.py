"""A mentor overrules a class: what follows from levels is derived anew, the rest stays.

What the class would say by itself is worked out from its old levels. Where the stored
document says something else, a person wrote it, and it is kept; where a person changes
something now, that wins over both.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass
from itertools import pairwise

from quizzes.generator.difficulty import expected_share
from quizzes.generator.drawing import Drawn, drawn_in, faults_of, is_shown
from quizzes.generator.keys import Judge
from quizzes.generator.levels import deciding, too_near
from quizzes.generator.wishes import (
    LEVELS,
    Changes,
    Document,
    MadeClass,
    Note,
    Priority,
    WishProblem,
    gettext_noop,
)
from quizzes.generator.words import swapped, wording, wordings

Pair = tuple[str, str]
TOO_ALIKE = gettext_noop(
    "%(upper)s over %(lower)s turns on %(name)s, by too little to be seen on a plate."
)


def overrule(
    priorities: Sequence[Priority], content: Mapping, key: Mapping, changes: Changes
) -> MadeClass:
    """The class with the changes, and with all that follows from them derived anew.

    An order, cuts, level gaps, reasons, grants, texts and a note that a person gave are
    kept; those that the class had by itself follow the new levels.

    Raises
    ------
    WishProblem for a dog, priority or level that the class doesn't have.
    """
    _check(priorities, content, changes)
    old, new = deepcopy(dict(content)), deepcopy(dict(content))
    for dog in new["dogs"]:
        _relevel(dog, priorities, content, changes.levels.get(dog["id"], {}))
        dog |= changes.texts.get(dog["id"], {})
    before = State.of(priorities, old, key)
    derived = _rekey(before, State.of(priorities, new, key), key, changes)
    return _finished(priorities, new, derived)


@dataclass(frozen=True)
class State:
    """A class at one set of levels, with what it would say by itself."""

    judge: Judge
    dogs: Mapping[str, Document]
    ranked: tuple[str, ...]
    places: int | None
    look: Drawn

    @classmethod
    def of(
        cls, priorities: Sequence[Priority], content: Document, key: Mapping
    ) -> State:
        judge = Judge.of(priorities, content)
        standing = [dog for dog in content["dogs"] if dog["id"] not in key["rulings"]]
        ranked = tuple(dog["id"] for dog in judge.order(standing))
        by_id = {dog["id"]: dog for dog in content["dogs"]}
        look = drawn_in(priorities, content)
        return cls(judge, by_id, ranked, content.get("places"), look)

    @property
    def order(self) -> list[str]:
        return list(self.ranked[: self.places])

    def placed(self, order: Sequence[str]) -> list[Document]:
        return [self.dogs[dog] for dog in order]

    def equal(self, order: Sequence[str]) -> list[int]:
        """Gaps of an order between dogs of the same merit."""
        return self.judge.level_gaps(self.placed(order), 0)

    def cuts(self, order: Sequence[str], level: Sequence[int]) -> list[int | None]:
        unplaced = len(self.ranked) - len(order)
        return self.judge.cuts(self.placed(order), level, unplaced)

    def pairs(self, order: Sequence[str], level: Sequence[int]) -> list[Document]:
        return self.judge.pairs(self.placed(order), level)


def _check(priorities: Sequence[Priority], content: Mapping, changes: Changes) -> None:
    ids = {dog["id"] for dog in content["dogs"]}
    slugs = {priority.slug for priority in priorities}
    named = {*changes.levels, *changes.texts, *(changes.order or ())}
    if unknown := named - ids:
        text = gettext_noop("The class has no dog %(dogs)s.")
        raise WishProblem(text, dogs=", ".join(sorted(unknown)))
    for levels in changes.levels.values():
        for slug, level in levels.items():
            if slug not in slugs or level not in range(LEVELS):
                text = gettext_noop("%(name)s has no level %(level)s.")
                raise WishProblem(text, name=slug, level=level)


def _relevel(
    dog: Document, priorities: Sequence[Priority], content: Mapping, levels: Mapping
) -> None:
    """Give the dog the levels, with the phrases and faults that go with them."""
    look = drawn_in(priorities, content)
    for priority in priorities:
        was, slug = dog["levels"][priority.slug], priority.slug
        level = levels.get(slug, was)
        if level == was:
            continue
        new = wording(priority, level)
        for name in ("ringside", "hands_on"):
            dog[name] = swapped(dog[name], wordings(priority, was), new)
        dog["levels"][slug] = level
        codes = look.codes.get(slug, ())
        if is_shown(content["dogs"], slug, codes):
            fresh = faults_of(look, dog["id"], dog["levels"])
            kept = {c: s for c, s in dog["faults"].items() if c not in codes}
            dog["faults"] = kept | {c: fresh[c] for c in codes if c in fresh}


def _rekey(before: State, after: State, key: Mapping, changes: Changes) -> Document:
    was = list(key["order"])
    order = after.order if was == before.order else was
    if changes.order is not None:
        order = list(changes.order)
    level = _level(after, key, changes, order)
    pairs = _pairs(before, after, key, changes, order, level)
    note = key["note"]
    if note == _note(before, was, key["level"], key["rulings"]):
        note = _note(after, order, level, key["rulings"])
    return {
        **key,
        "order": order,
        "level": level,
        "cuts": _cuts(before, after, key, changes, order, level),
        "pairs": pairs,
        "note": note,
    }


def _note(
    state: State, order: Sequence[str], level: Sequence[int], rulings: Mapping
) -> str:
    pairs = state.pairs(order, level)
    return state.judge.sayer.note(pairs, bool(rulings), bool(level))


def _level(
    after: State, key: Mapping, changes: Changes, order: Sequence[str]
) -> list[int]:
    """Pairs that were level stay so while they are neighbours and their levels stand."""
    if changes.level is not None:
        return sorted(changes.level)
    was = list(key["order"])
    kept = {
        frozenset(was[gap : gap + 2])
        for gap in key["level"]
        if not changes.levels.keys() & set(was[gap : gap + 2])
    }
    by_merit = after.equal(order) if order == after.order else []
    return [
        gap
        for gap, pair in enumerate(pairwise(order))
        if gap in by_merit or frozenset(pair) in kept
    ]


def _cuts(
    before: State,
    after: State,
    key: Mapping,
    changes: Changes,
    order: Sequence[str],
    level: Sequence[int],
) -> list[int | None]:
    """Cuts stay with their gap if a person gave them."""
    if changes.cuts is not None:
        return list(changes.cuts)
    was = list(key["cuts"])
    own = was != before.cuts(key["order"], key["level"])
    return was if own and len(was) == len(order) - 1 else after.cuts(order, level)


def _pairs(
    before: State,
    after: State,
    key: Mapping,
    changes: Changes,
    order: Sequence[str],
    level: Sequence[int],
) -> list[Document]:
    """Reasons for the new neighbours; what a person wrote stays with its pair."""
    said = {_pair(p): p for p in before.pairs(list(key["order"]), key["level"])}
    stored = {_pair(entry): dict(entry) for entry in key["pairs"]}
    own = {
        pair: {
            name: entry[name]
            for name in ("reason", "grant", "priority")
            if entry[name] != said.get(pair, {}).get(name)
        }
        for pair, entry in stored.items()
    }
    pairs = [
        {**entry, **own.get(_pair(entry), {}), **changes.reasons.get(_pair(entry), {})}
        for entry in after.pairs(order, level)
    ]
    neighbours = set(pairwise(order))
    left = [
        stored[pair] for pair, texts in own.items() if texts and pair not in neighbours
    ]
    return [*pairs, *left]


def _pair(entry: Mapping) -> Pair:
    return entry["upper"], entry["lower"]


def _finished(
    priorities: Sequence[Priority], content: Document, key: Document
) -> MadeClass:
    state = State.of(priorities, content, key)
    order = key["order"]
    rest = [dog for dog in state.ranked if dog not in order]
    rows = state.judge.levels(state.placed([*order, *rest]))
    share = expected_share(
        rows, state.judge.weights, placed=len(order), level=key["level"]
    )
    return MadeClass(content, key, share, tuple(_blurred(priorities, state, key)))


def _blurred(priorities: Sequence[Priority], state: State, key: Mapping) -> list[Note]:
    """Neighbours whose plates are too alike on what their pair turns on."""
    seen = [priority.slug in state.look.codes for priority in priorities]
    weights, notes = state.judge.weights, []
    for gap, (upper, lower) in enumerate(pairwise(state.placed(key["order"]))):
        rows = state.judge.levels([upper, lower]).tolist()
        if gap not in key["level"] and too_near(rows[0], rows[1], weights, seen):
            name = priorities[deciding(rows[0], rows[1], weights)].name
            numbers = {"upper": upper["armband"], "lower": lower["armband"]}
            notes.append(Note(TOO_ALIKE, **numbers, name=name))
    return notes
