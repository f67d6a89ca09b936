"""Why the mentor has a pair as it is: each pair that differs, gravest first, with its reasons."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise

from django.utils.translation import gettext as _

from quizzes import grading, plates
from quizzes.drawing.dogs import conformation_of
from quizzes.kinds.placing.content import (
    ClassContent,
    ClassKey,
    Dog,
    with_numbers,
)
from quizzes.kinds.placing.crossing import letters_for
from quizzes.kinds.placing.pictures import Pictures, Shown
from quizzes.kinds.placing.places import cut_word
from quizzes.kinds.placing.reader import Reader
from quizzes.plates.figures import value_words
from quizzes.plates.measuring import UNITS
from quizzes.plates.parts import measured_by, telling_fault

OPEN = 3
"""How many pairs are explained without being unfolded."""
MOST_STEPS = 3
"""The longest way from one dog to the other whose reasons are quoted at the pair."""

Ends = tuple[str, str]


@dataclass(frozen=True)
class Step:
    """A neighbour pair of the key with the mentor's reason.

    at : the fragment where the reason is quoted; letter : of the pair there, if it is one
    quoted : it is quoted here
    """

    upper: int
    lower: int
    level: bool
    reason: str
    grant: str
    at: str
    letter: str
    quoted: bool
    priority: object | None


@dataclass(frozen=True)
class Side:
    """A dog as the reader of the result knows it."""

    dog: Dog
    armband: int
    picture: Shown | None
    phrase: str = ""
    measured: str = ""


@dataclass(frozen=True)
class Explained:
    """One pair that differs: the mentor has `upper` over `lower`, the answer had not.

    turned_on : the priority that the mentor names for this very pair
    differ_on : where none is named, the one on which weight and levels part the dogs most
    taken : how the measurement beside the plates is taken, by its name
    """

    letter: str
    upper: Side
    lower: Side
    had: str
    cuts: tuple[int, ...]
    steps: tuple[Step, ...]
    is_direct: bool
    turned_on: object | None
    differ_on: object | None
    overlay: Shown | None
    taken: Mapping[str, str] = field(default_factory=dict)

    @property
    def sides(self) -> tuple[Side, Side]:
        return self.upper, self.lower

    @property
    def priority(self):
        return self.turned_on or self.differ_on

    @property
    def by_levels(self):
        """The priority the levels differ most on, told only where no reason is quoted."""
        return None if self.quotes else self.differ_on

    @property
    def named(self) -> set:
        """The priorities that the page names at this pair."""
        quoted = {step.priority for step in self.steps if step.quoted}
        return (quoted | {self.turned_on, self.by_levels}) - {None}

    @property
    def on_balance(self) -> bool:
        """The mentor's reason is for this very pair and names no priority."""
        return self.is_direct and bool(self.steps) and self.turned_on is None

    @property
    def quotes(self) -> bool:
        return any(step.quoted for step in self.steps)

    @property
    def cut(self) -> int:
        return sum(self.cuts)

    @property
    def cut_sum(self) -> str:
        """ "2 + 1 = 3" where the cuts between add up, "4" for neighbours."""
        if len(self.cuts) < 2:
            return str(self.cut)
        return f"{' + '.join(map(str, self.cuts))} = {self.cut}"

    @property
    def cut_word(self) -> str:
        return cut_word(self.cut)

    @property
    def apart(self) -> str:
        """How easily the two are told apart, with the cut or the sum of cuts that says so."""
        words = {
            cut_word(1): (_("Close"), _("close")),
            cut_word(4): (_("Some way apart"), _("moderately easy to see")),
            cut_word(8): (_("Clearly apart"), _("easy to see")),
        }
        one, chain = words[self.cut_word]
        if len(self.cuts) < 2:
            return _("%(apart)s (cut %(cut)s).") % {"apart": one, "cut": self.cut}
        return _("Apart by %(sum)s: %(seen)s.") % {"sum": self.cut_sum, "seen": chain}


@dataclass(frozen=True)
class Explainer:
    """What it takes to explain the pairs of one attempt to one reader."""

    content: ClassContent
    key: ClassKey
    answer: Mapping
    armbands: Mapping[str, int]
    priorities: Mapping
    pictures: Pictures
    reader: Reader
    pairs: tuple[grading.Pair, ...]

    @cached_property
    def wrong(self) -> list[Ends]:
        """The pairs that differ: widest cut first, then furthest apart in key and answer."""
        wrong = [(p.upper, p.lower) for p in self.pairs if p.verdict == "disagreed"]
        return sorted(wrong, key=self._gravity, reverse=True)

    @cached_property
    def letters(self) -> dict[Ends, str]:
        return letters_for(self.wrong)

    @cached_property
    def explained(self) -> list[Explained]:
        return [self._explain(pair) for pair in self.wrong]

    @cached_property
    def reasons(self) -> list[Step]:
        """The mentor's reasons from the top; some of them are quoted at a pair."""
        return [self._step(pair) for pair in self.key.neighbours if self._has(pair)]

    @cached_property
    def homes(self) -> dict[Ends, str]:
        """The letter of the pair at which a reason is quoted; others stand in the list."""
        homes = {}
        for pair in self.wrong:
            if self._between(*pair) == [pair]:
                homes[pair] = self.letters[pair]
        for pair in self.wrong[:OPEN]:
            steps = self._between(*pair)
            if len(steps) <= MOST_STEPS:
                homes |= {s: self.letters[pair] for s in steps if s not in homes}
        return homes

    def _gravity(self, pair: Ends) -> tuple[int, int, int]:
        orders = self.key.order, self.answer["order"]
        key, answer = (
            abs(_place(order, pair[0]) - _place(order, pair[1])) for order in orders
        )
        return sum(self._cuts_between(*pair)), key, answer

    def _explain(self, pair: Ends) -> Explained:
        upper, lower = (self.content.by_id[dog] for dog in pair)
        steps = self._between(*pair)
        is_direct = len(steps) == 1
        turned_on = self._named(pair) if is_direct else None
        differ_on = None if turned_on else self._differ_on(upper, lower)
        priority = turned_on or differ_on
        fault = self._drawn_fault(priority, upper, lower)
        letter = self.letters[pair]
        return Explained(
            letter=letter,
            upper=self._side(upper, priority, fault),
            lower=self._side(lower, priority, fault),
            had=self.reader.had(self.answer, *pair, self.armbands),
            cuts=self._cuts_between(*pair),
            steps=tuple(self._step(s, letter) for s in steps if self._has(s)),
            is_direct=is_direct,
            turned_on=turned_on,
            differ_on=differ_on,
            overlay=self.pictures.overlay(upper, lower),
            taken=self._taken(fault, upper),
        )

    def _has(self, pair: Ends) -> bool:
        reason = self.key.reasons.get(pair)
        return bool(reason and (reason.reason or reason.grant))

    def _step(self, pair: Ends, here: str = "") -> Step:
        """The reason with the numbers that this reader saw; here: the letter it is told at."""
        reason, letter = self.key.reasons[pair], self.homes.get(pair, "")
        upper, lower = (self.armbands[dog] for dog in pair)
        return Step(
            upper=upper,
            lower=lower,
            level=self.key.neighbours.index(pair) in self.key.level,
            reason=with_numbers(reason.reason, self.armbands),
            grant=with_numbers(reason.grant, self.armbands),
            at=f"pair-{letter}" if letter else f"reason-{upper}-{lower}",
            letter=letter,
            quoted=letter == here,
            priority=self.priorities.get(reason.priority),
        )

    def _between(self, upper: str, lower: str) -> list[Ends]:
        """The neighbour pairs from one dog down to the other; none to a dog without a place."""
        order = self.key.order
        if lower not in order:
            return []
        return list(pairwise(order[order.index(upper) : order.index(lower) + 1]))

    def _cuts_between(self, upper: str, lower: str) -> tuple[int, ...]:
        first = _place(self.key.order, upper)
        gaps = range(first, first + len(self._between(upper, lower)))
        cuts = self.key.cuts
        return tuple(
            cuts[gap] for gap in gaps if cuts[gap] and gap not in self.key.level
        )

    def _named(self, pair: Ends):
        reason = self.key.reasons.get(pair)
        return self.priorities.get(reason.priority) if reason else None

    def _differ_on(self, upper: Dog, lower: Dog):
        """The priority that gains the upper dog most by weight and level; None if none does."""
        gains = {
            slug: priority.weight * (upper.levels[slug] - lower.levels[slug])
            for slug, priority in self.priorities.items()
            if slug in upper.levels and slug in lower.levels
        }
        best = max(gains, key=gains.__getitem__, default=None)
        return self.priorities[best] if best and gains[best] > 0 else None

    def _drawn_fault(self, priority, upper: Dog, lower: Dog):
        """The fault by which the plates tell the pair apart on this priority; None if by none."""
        if priority is None or not all(map(self.pictures.is_plate, (upper, lower))):
            return None
        return telling_fault(priority.plate_faults, (upper, lower))

    def _side(self, dog: Dog, priority, fault) -> Side:
        armband, phrase = self.armbands[dog.id], _phrase(priority, dog)
        if fault is None:
            return Side(dog, armband, self.pictures.of(dog, told=True), phrase)
        name = measured_by(fault.code)
        picture = self.pictures.of(dog, told=True, view=fault.view, measured=name)
        found = self._measured(dog, name)
        unit = f" {UNITS}" if found.unit == UNITS else ""
        measured = f"{found.label}: {value_words(found)}{unit}"
        return Side(dog, armband, picture, phrase, measured)

    def _taken(self, fault, dog: Dog) -> dict[str, str]:
        """The measurement's name, and the axis and the points from which it is taken."""
        if fault is None:
            return {}
        found = self._measured(dog, measured_by(fault.code))
        points = ", ".join(point.replace("_", " ") for point in found.points)
        return {found.label: f"{found.axis}: {points}"}

    def _measured(self, dog: Dog, name: str) -> plates.Measurement:
        if dog.id not in self._measures:
            drawn = conformation_of(self.content.breed, dog)
            self._measures[dog.id] = plates.measure(drawn)
        return self._measures[dog.id][name]

    @cached_property
    def _measures(self) -> dict[str, dict[str, plates.Measurement]]:
        """What was measured so far, by the dog's id: a dog stands in many pairs."""
        return {}


def _place(order, dog: str) -> int:
    """Where the dog stands, from 0; below all others if it has no place."""
    return order.index(dog) if dog in order else len(order)


def _phrase(priority, dog: Dog) -> str:
    """The mentor's phrase for what the dog is on this priority."""
    if priority is None or priority.slug not in dog.levels:
        return ""
    phrases = {phrase.level: phrase.text for phrase in priority.phrases.all()}
    return phrases.get(dog.levels[priority.slug], "")
