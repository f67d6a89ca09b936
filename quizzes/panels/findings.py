"""What the keys of a closed panel say together: plain values, no words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations, pairwise

import numpy as np
from numpy.typing import NDArray

from quizzes import grading
from quizzes.grading import agreement, consensus
from quizzes.kinds.placing.content import ClassContent, ClassKey, Reason


@dataclass(frozen=True)
class Voice:
    """One mentor's key that is done."""

    name: str
    key: ClassKey

    def over(self, upper: str, lower: str) -> int | None:
        """The cuts from the upper dog down to the lower, negative where the mentor has them
        the other way round; None if the key places not both, or gives no cuts."""
        order = self.key.order
        if upper not in order or lower not in order or not any(self.key.group_cuts):
            return None
        first, last = sorted((order.index(upper), order.index(lower)))
        cuts = [
            cut or 0
            for gap, cut in enumerate(self.key.cuts)
            if first <= gap < last and gap not in self.key.level
        ]
        return sum(cuts) if order[first] == upper else -sum(cuts)

    def reason(self, upper: str, lower: str, *, level: bool) -> Reason | None:
        """Why the upper dog is higher, if the mentor has them next to each other and says so.

        Where either order is fine, why the lower is higher does as well.
        """
        pairs = [(upper, lower), (lower, upper)] if level else [(upper, lower)]
        for pair in pairs:
            said = self.key.reasons.get(pair)
            if said and said.reason.strip() and pair in self.key.neighbours:
                grant = said.grant if pair == (upper, lower) else ""
                return replace(said, upper=upper, lower=lower, grant=grant)
        return None


@dataclass(frozen=True)
class Pair:
    """Two neighbours of a consensus order, the cut between them, and who said why."""

    upper: str
    lower: str
    level: bool
    cut: int | None
    reasons: tuple[tuple[str, Reason], ...]


class Findings:
    """How far the keys agree, and the orders that go against the fewest of their votes."""

    def __init__(self, content: ClassContent, voices: Sequence[Voice]):
        self.content, self.voices = content, voices

    @cached_property
    def rulings(self) -> dict[str, dict[str, str]]:
        """Rulings that more than half of the mentors gave, as a key has them.

        Where these differ, the ruling that most gave; of two given as often the one that
        comes first in grading.RULINGS.
        """
        return {
            dog.id: self._ruling(given)
            for dog in self.content
            if 2 * len(given := self.rulings_on(dog.id)) > len(self.voices)
        }

    def rulings_on(self, dog: str) -> dict[str, Mapping[str, str]]:
        """Who gave the dog a ruling, by name."""
        return {
            voice.name: voice.key.rulings[dog]
            for voice in self.voices
            if dog in voice.key.rulings
        }

    @staticmethod
    def _ruling(given: Mapping[str, Mapping[str, str]]) -> dict[str, str]:
        counts = Counter(entry["ruling"] for entry in given.values())
        most = max(grading.RULINGS, key=lambda ruling: counts[ruling])
        reasons = [
            entry.get("reason", "")
            for entry in given.values()
            if entry["ruling"] == most
        ]
        return {"ruling": most, "reason": next(filter(None, reasons), "")}

    @cached_property
    def _orders(self) -> list[tuple[tuple[str, ...], ...]]:
        """Each mentor's ring: dogs without a place are level at the end."""
        return [self._ring(voice.key) for voice in self.voices]

    def _ring(self, key: ClassKey) -> tuple[tuple[str, ...], ...]:
        gone = {
            dog for dog, entry in key.rulings.items() if entry["ruling"] != "withheld"
        }
        rest = tuple(
            dog.id
            for dog in self.content
            if dog.id not in key.order and dog.id not in gone
        )
        return (*key.groups, rest) if rest else key.groups

    @cached_property
    def dogs(self) -> list[str]:
        """The dogs that stay in the order, by Borda's mean rank."""
        ids = [dog.id for dog in self.content if dog.id not in self.rulings]
        means = consensus.mean_ranks(agreement.ranks_of(self._orders, ids))
        return [ids[at] for group in consensus.borda(means) for at in group]

    @cached_property
    def ranks(self) -> agreement.Ranks:
        return agreement.ranks_of(self._orders, self.dogs)

    @cached_property
    def votes(self) -> agreement.Votes:
        return agreement.votes(self.ranks)

    @cached_property
    def concordance(self) -> agreement.Concordance | None:
        return agreement.concordance(self.ranks)

    @cached_property
    def counted(self) -> NDArray[np.bool_]:
        """Which pairs (dogs x dogs, each once) count: not two dogs that nobody placed."""
        placed = {dog for voice in self.voices for dog in voice.key.order}
        has_place = np.array([dog in placed for dog in self.dogs], dtype=bool)
        return np.triu(np.logical_or.outer(has_place, has_place), 1)

    @property
    def pairs(self) -> int:
        """How many pairs of dogs of the order count."""
        return int(self.counted.sum())

    @property
    def agreed(self) -> int:
        """How many of these all mentors who ranked both dogs have alike."""
        return int((self.votes.unanimous & self.counted).sum())

    @property
    def can_be_compared(self) -> bool:
        return len(self.voices) >= 2 and bool(self.pairs)

    @cached_property
    def two_by_two(self) -> list[tuple[str, str, agreement.TwoMentors]]:
        """Every two mentors, and how they compare."""
        rows = zip((voice.name for voice in self.voices), self.ranks, strict=True)
        return [
            (one, other, agreement.compare_two(mine, theirs, self.counted))
            for (one, mine), (other, theirs) in combinations(rows, 2)
        ]

    @property
    def undecided(self) -> list[tuple[str, str]]:
        return [
            (self.dogs[i], self.dogs[j])
            for i, j in self.votes.undecided
            if self.counted[i, j]
        ]

    def sides(self, upper: str, lower: str) -> tuple[list[str], list[str], list[str]]:
        """Names of those who have the upper dog higher, the lower, and both level."""
        sides: tuple[list[str], list[str], list[str]] = ([], [], [])
        one, other = self.dogs.index(upper), self.dogs.index(lower)
        for voice, row in zip(self.voices, self.ranks, strict=True):
            if row[one] < row[other]:
                sides[0].append(voice.name)
            elif row[one] > row[other]:
                sides[1].append(voice.name)
            elif row[one] == row[other]:
                sides[2].append(voice.name)
        return sides

    @cached_property
    def borda(self) -> list[tuple[str, float | None]]:
        """Each dog with its mean rank, best first."""
        means = consensus.mean_ranks(self.ranks)
        return [
            (dog, None if mean is None else float(mean))
            for dog, mean in zip(self.dogs, means, strict=True)
        ]

    @cached_property
    def kemeny(self) -> consensus.Kemeny:
        return consensus.kemeny(self.votes.above, places=self.content.places)

    def groups(self, number: int) -> tuple[tuple[str, ...], ...]:
        """One of the best orders; dogs are level where no order has a majority."""
        order = self.kemeny.orders[number]
        return tuple(
            tuple(self.dogs[at] for at in group)
            for group in consensus.with_level(order, self.votes)
        )

    @cached_property
    def different(self) -> list[int]:
        """Numbers of the best orders that differ in more than dogs that are level."""
        seen: dict[tuple[frozenset[str], ...], int] = {}
        for number in range(len(self.kemeny.orders)):
            seen.setdefault(tuple(map(frozenset, self.groups(number))), number)
        return list(seen.values())

    def key(self, number: int) -> ClassKey:
        """One of the best orders as a key, without reasons."""
        groups = self.groups(number)
        order = tuple(dog for group in groups for dog in group)
        ends = {sum(map(len, groups[: at + 1])) - 1 for at in range(len(groups))}
        gaps = range(len(order) - 1)
        cuts = iter(self._cuts(groups))
        return ClassKey(
            order=order,
            cuts=tuple(next(cuts) if gap in ends else None for gap in gaps),
            level=frozenset(gap for gap in gaps if gap not in ends),
            rulings=self.rulings,
            mentors=len(self.voices),
        )

    def _cuts(self, groups: tuple[tuple[str, ...], ...]) -> Sequence[int | None]:
        """The median of the mentors' cuts between the groups, as wide as a key may have them.

        None for all if there is a gap for which no mentor gives any, or none would fit.
        """
        none = [None] * (len(groups) - 1)
        medians = [
            consensus.median_cut(self._distances(above[-1], below[0]))
            for above, below in pairwise(groups)
        ]
        wished = [cut for cut in medians if cut is not None]
        if len(wished) < len(medians):
            return none
        placed = {dog for group in groups for dog in group}
        bucket = len([dog for dog in self.dogs if dog not in placed])
        bucket += sum(entry["ruling"] == "withheld" for entry in self.rulings.values())
        sizes = [*map(len, groups), *([bucket] if bucket else [])]
        gaps = [*wished, *([0] if bucket else [])]
        fitted = consensus.fitted_cuts(sizes, gaps)
        return none if fitted is None else fitted[: len(none)]

    def _distances(self, upper: str, lower: str) -> list[int]:
        found = (voice.over(upper, lower) for voice in self.voices)
        return [cut for cut in found if cut is not None]

    def neighbours(self, key: ClassKey) -> list[Pair]:
        """The neighbours of a key with what the mentors said of them."""
        return [
            Pair(
                upper,
                lower,
                level=gap in key.level,
                cut=key.cuts[gap],
                reasons=tuple(
                    (voice.name, said)
                    for voice in self.voices
                    if (said := voice.reason(upper, lower, level=gap in key.level))
                ),
            )
            for gap, (upper, lower) in enumerate(key.neighbours)
        ]


def with_reasons(
    key: ClassKey, pairs: Sequence[Pair], chosen: Mapping[int, int]
) -> ClassKey:
    """The key with one mentor's reason for each pair, and the mentor's name to it.

    chosen : which of a pair's reasons, by the number of the pair
    """
    reasons = {}
    for gap, at in chosen.items():
        name, said = pairs[gap].reasons[at]
        text = f"{said.reason.strip()} ({name})"
        reasons[said.upper, said.lower] = replace(said, reason=text)
    return replace(key, reasons=reasons)
