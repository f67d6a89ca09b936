"""Why one dog stands over another, said as it is said in a ring.

A reason names the priority that gains the upper dog most, by weight times levels, with
both dogs' phrases; then what else speaks for it. A grant is what the lower dog has
better, in a sentence that is understood without the reason. Sentences change from pair
to pair, so that a class does not read like a form.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from quizzes.generator.levels import deciding
from quizzes.generator.streams import Stream
from quizzes.generator.wishes import Document, Priority
from quizzes.generator.words import called, names_its_part, wording

LEADS = (
    "{U} has {better} {name}: {u}.",
    "{U} goes over {L} on {name}: {u}.",
    "In {name} {U} is {ahead}: {u}.",
    "This pair turns on {name}. {U} leads there: {u}.",
    "{U} stands over {L} for {better} {name}: {u}.",
    "What puts {U} higher is {better} {name}: {u}.",
)
POOR = (
    "{L} gives way there: {l}.",
    "{L} has no answer to that: {l}.",
    "{L} fails there: {l}.",
)
SHORT = (
    "{L} falls short of that: {l}.",
    "{L} is no match for it: {l}.",
    "{L} has the worse of it: {l}.",
)
NEAR = (
    "{L} is not far behind: {l}.",
    "{L} comes near it: {l}.",
    "{L} is a step behind: {l}.",
)
FOUND = "In {L} the {sense} finds {whole}."
MORE = (
    "{U} is ahead in {more} too.",
    "{U} gains in {more} as well.",
    "{U} leads in {more} besides.",
)
GRANTS = (
    "{L} has {better} {name} of the two: {l}.",
    "In {name} {L} is {ahead} of {U}: {l}.",
    "{L} is {ahead} of {U} in {name}: {l}.",
)
TWO_GRANTS = (
    "{L} is ahead of {U} in {one}, and in {other}.",
    "{L} has the better {one} of the two, and the better {other}.",
)
CLOSE = ("Close.", "Little between them.", "A near thing.")
BALANCE = "{U} over {L} on balance; no single priority decides it."
EITHER = "Either order: {U} leads in {one}, {L} in {other}."
ALIKE = "Either order: there is nothing to choose between {U} and {L}."

CLOSE_BELOW = 0.62
"""Chance of a standard trainee below which a pair is called close."""

_BETTER = ("slightly the better", "the better", "much the better")
_AHEAD = ("a little ahead", "ahead", "well ahead")


@dataclass(frozen=True)
class Sayer:
    """What is said of the pairs of one class.

    key : names the class; the same key words it the same way
    felt : slugs of what only the hand can tell
    """

    priorities: Sequence[Priority]
    weights: Sequence[int]
    felt: frozenset[str]
    key: object

    def pair(
        self, upper: Document, lower: Document, place: int, chance: float, level: bool
    ) -> Document:
        """The pair's entry in the key.

        place : 0 for the pair at the top; it chooses the sentences
        chance : of a standard trainee to have the pair right
        level : the two may stand in either order
        """
        top, low = self._levels(upper), self._levels(lower)
        lead, granted = deciding(top, low, self.weights), self._favouring(low, top)
        turn = Stream.of(self.key, "sentences").below(60) + place
        if level:
            reason = self._either(upper, lower, lead, granted)
        elif lead < 0:
            reason = BALANCE.format(U=_mark(upper), L=_mark(lower))
        else:
            reason = self._reason(upper, lower, lead, turn)
            if chance < CLOSE_BELOW and turn % 3 == 0:
                reason = f"{CLOSE[turn // 3 % 3]} {reason}"
        return {
            "upper": upper["id"],
            "lower": lower["id"],
            "reason": reason,
            "grant": self._grant(upper, lower, granted, turn),
            "priority": self.priorities[lead].slug if lead >= 0 else "",
        }

    def _levels(self, dog: Document) -> list[int]:
        return [dog["levels"][priority.slug] for priority in self.priorities]

    def _favouring(self, one: Sequence[int], other: Sequence[int]) -> list[int]:
        """Priorities on which one dog is ahead, those that gain it most first."""
        gains = [w * (a - b) for a, b, w in zip(one, other, self.weights, strict=True)]
        ahead = [at for at, gain in enumerate(gains) if gain > 0]
        return sorted(ahead, key=lambda at: (-gains[at], at))

    def _reason(self, upper: Document, lower: Document, lead: int, turn: int) -> str:
        priority = self.priorities[lead]
        top, low = self._levels(upper), self._levels(lower)
        words = self._words(upper, lower, priority)
        second = self._second(priority, top[lead], low[lead], turn)
        texts = [LEADS[turn % len(LEADS)], second]
        more = self._favouring(top, low)[1:3]
        strong = [
            at
            for at in more
            if self._gain(top, low, at) * 2 >= self._gain(top, low, lead)
        ]
        if strong:
            words["more"] = self._joined(strong)
            texts.append(MORE[turn % len(MORE)])
        return " ".join(text.format(**words) for text in texts)

    def _gain(self, top: Sequence[int], low: Sequence[int], at: int) -> int:
        return self.weights[at] * (top[at] - low[at])

    def _second(self, priority: Priority, above: int, level: int, turn: int) -> str:
        """What is said of the lower dog, by how good it is there and how far behind."""
        if names_its_part(priority) and turn % 2:
            return FOUND
        near = level >= 3 or above - level == 1
        kind = NEAR if near else SHORT if level == 2 else POOR
        return kind[turn // 2 % len(kind)]

    def _grant(
        self, upper: Document, lower: Document, granted: Sequence[int], turn: int
    ) -> str:
        top, low = self._levels(upper), self._levels(lower)
        if not granted:
            return ""
        first, *rest = granted
        if (
            rest
            and self._gain(low, top, rest[0]) * 3 >= self._gain(low, top, first) * 2
        ):
            one, other = (called(self.priorities[at]) for at in (first, rest[0]))
            return TWO_GRANTS[turn % 2].format(
                U=_mark(upper), L=_mark(lower), one=one, other=other
            )
        priority = self.priorities[first]
        words = self._words(upper, lower, priority)
        return GRANTS[turn % len(GRANTS)].format(**words)

    def _either(
        self, upper: Document, lower: Document, lead: int, granted: Sequence[int]
    ) -> str:
        marks = {"U": _mark(upper), "L": _mark(lower)}
        if lead < 0 or not granted:
            return ALIKE.format(**marks)
        one, other = called(self.priorities[lead]), called(self.priorities[granted[0]])
        return EITHER.format(one=one, other=other, **marks)

    def _words(
        self, upper: Document, lower: Document, priority: Priority
    ) -> dict[str, str]:
        levels = [dog["levels"][priority.slug] for dog in (upper, lower)]
        step = min(abs(levels[0] - levels[1]), 3) - 1
        name = called(priority)
        phrases = [wording(priority, level) for level in levels]
        return {
            "U": _mark(upper),
            "L": _mark(lower),
            "name": name,
            "better": _BETTER[step],
            "ahead": _AHEAD[step],
            "u": _unnamed(name, phrases[0]),
            "l": _unnamed(name, phrases[1]),
            "whole": phrases[1].replace(f"{name}: ", f"{name} ", 1),
            "sense": "hand" if priority.slug in self.felt else "eye",
        }

    def _joined(self, at: Sequence[int]) -> str:
        return ", and in ".join(called(self.priorities[one]) for one in at)

    def note(self, pairs: Sequence[Mapping], odd: bool, level: bool) -> str:
        """What the class comes down to, for reading after the answer is in."""
        names = {priority.slug: called(priority) for priority in self.priorities}
        turned = [pair["priority"] for pair in pairs if pair["priority"]]
        often = sorted(
            set(turned), key=lambda slug: (-turned.count(slug), turned.index(slug))
        )
        texts = []
        if often:
            first, *rest = [names[slug] for slug in often[:2]]
            after = f", and after that {rest[0]}" if rest else ""
            texts.append(f"What divides this class is {first}{after}.")
        if level:
            texts.append("Where either order will do, don't look for a difference.")
        if odd:
            texts.append(
                "Go over every dog before you place any: one leaves the class."
            )
        return " ".join(texts)


def _mark(dog: Document) -> str:
    return "{" + dog["id"] + "}"


def _unnamed(name: str, phrase: str) -> str:
    """The phrase without the name it begins with, where that would say it again."""
    rest = phrase.removeprefix(name)
    said = rest.lstrip(": ")
    return said if rest != phrase and said and rest[0] in " :" else phrase
