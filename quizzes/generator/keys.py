"""The key of a class, derived from its dogs' levels and the mentor's weights."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

import numpy as np

from quizzes.generator.cutting import fitting_cuts, wanted_cut
from quizzes.generator.difficulty import Whole, certainty, pair_chances
from quizzes.generator.drawing import drawn_in
from quizzes.generator.reasons import Sayer
from quizzes.generator.streams import key_of
from quizzes.generator.wishes import Document, Priority, weights_of


@dataclass(frozen=True)
class Judge:
    """The mentor's priorities, applied to the dogs of one class."""

    priorities: tuple[Priority, ...]
    weights: tuple[int, ...]
    sayer: Sayer

    @classmethod
    def of(cls, priorities: Sequence[Priority], content: Mapping) -> Judge:
        """The judge of a class; the words follow from the ids of its dogs."""
        mine = tuple(priorities)
        weights = weights_of(mine)
        felt = drawn_in(mine, content).felt
        key = key_of(*sorted(dog["id"] for dog in content["dogs"]))
        return cls(mine, weights, Sayer(mine, weights, felt, key))

    def levels(self, dogs: Sequence[Document]) -> Whole:
        rows = [[dog["levels"][one.slug] for one in self.priorities] for dog in dogs]
        return np.array(rows, dtype=np.int64).reshape(len(dogs), len(self.priorities))

    def order(self, dogs: Sequence[Document]) -> list[Document]:
        """The dogs by weighted merit, best first; equal ones by id."""
        merits = (self.levels(dogs) @ np.array(self.weights)).tolist()
        ranked = sorted(
            zip(merits, dogs, strict=True), key=lambda row: (-row[0], row[1]["id"])
        )
        return [dog for _merit, dog in ranked]

    def level_gaps(
        self, dogs: Sequence[Document], either_below: float, seed: object = 0
    ) -> list[int]:
        """Gaps of an order whose dogs have equal merit, or are less certain than that."""
        levels = self.levels(dogs)
        merits = (levels @ np.array(self.weights)).tolist()
        gaps = [gap for gap, (a, b) in enumerate(pairwise(merits)) if a == b]
        if either_below > 0:
            sure = certainty(levels, self.weights, seed=str(seed)).tolist()
            gaps += [g for g in range(len(dogs) - 1) if sure[g][g + 1] < either_below]
        return sorted(set(gaps))

    def cuts(
        self, dogs: Sequence[Document], level: Sequence[int], unplaced: int
    ) -> list[int | None]:
        """A cut for each gap of an order, None between dogs that are level or if none fit."""
        chances = pair_chances(self.levels(dogs), self.weights).tolist()
        gaps = [gap for gap in range(len(dogs) - 1) if gap not in level]
        wanted = [wanted_cut(chances[gap][gap + 1]) for gap in gaps]
        sizes = _groups(len(dogs), level) + [unplaced] * bool(unplaced)
        fitting = fitting_cuts(sizes, wanted)
        cuts: list[int | None] = [None] * (len(dogs) - 1)
        for gap, cut in zip(gaps, fitting or (), strict=False):
            cuts[gap] = cut
        return cuts

    def pairs(self, dogs: Sequence[Document], level: Sequence[int]) -> list[Document]:
        """Reason and grant for each pair of neighbours of an order."""
        chances = pair_chances(self.levels(dogs), self.weights).tolist()
        return [
            self.sayer.pair(upper, lower, gap, chances[gap][gap + 1], gap in level)
            for gap, (upper, lower) in enumerate(pairwise(dogs))
        ]

    def key(
        self,
        placed: Sequence[Document],
        unplaced: int,
        level: Sequence[int],
        rulings: Mapping[str, Mapping[str, str]],
    ) -> Document:
        """The key's document for an order of the placed dogs."""
        pairs = self.pairs(placed, level)
        return {
            "order": [dog["id"] for dog in placed],
            "cuts": self.cuts(placed, level, unplaced),
            "level": list(level),
            "rulings": {dog: dict(entry) for dog, entry in rulings.items()},
            "pairs": pairs,
            "note": self.sayer.note(pairs, bool(rulings), bool(level)),
        }


def _groups(dogs: int, level: Sequence[int]) -> list[int]:
    """Sizes of the tie groups of an order whose level gaps join their two dogs."""
    number = [at - sum(gap < at for gap in level) for at in range(dogs)]
    return [len(list(same)) for _number, same in groupby(number)]


def certainties(
    priorities: Sequence[Priority],
    content: Mapping,
    key: Mapping,
    *,
    level_error: float = 0.35,
    weight_error: float = 0.2,
    draws: int = 2000,
    seed: int | str = 0,
) -> dict[tuple[str, str], float]:
    """How certain each pair of the key is, (upper id, lower id) -> share of the draws.

    See ``difficulty.certainty`` for what is uncertain and how it is drawn.
    """
    judge, by_id = Judge.of(priorities, content), {d["id"]: d for d in content["dogs"]}
    order = list(key["order"])
    levels = judge.levels([by_id[dog] for dog in order])
    sure = certainty(
        levels,
        judge.weights,
        level_error=level_error,
        weight_error=weight_error,
        draws=draws,
        seed=seed,
    ).tolist()
    return {
        (order[upper], order[lower]): sure[upper][lower]
        for upper in range(len(order))
        for lower in range(upper + 1, len(order))
    }
