"""Orders of an examination that put a person or a dog at risk, as rules over what the steps are.

A rule names what has to come first and what only then. It speaks only where the mentor has the two in that order
too, so the mentor's own sequence never breaks one. Show rules and the handler's wishes come before all of them.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import TextChoices
from django.utils.translation import gettext_lazy as _

from quizzes.kinds.examination.content import ExamKey

EYE = "eye"


class Mark(TextChoices):
    """What a step is, as far as safety asks."""

    APPROACH = "approach", _("the approach: the dog notices you")
    FIRST_TOUCH = "first-touch", _("the first touch")
    MOUTH = "mouth", _("hands at the mouth")
    TESTICLES = "testicles", _("testicles")


WORDS = {
    Mark.APPROACH: _("approach"),
    Mark.FIRST_TOUCH: _("first touch"),
    Mark.MOUTH: _("bite, mouth, teeth"),
    Mark.TESTICLES: _("testicle"),
}
"""Words in a step's name that say what it is, until the mentor says so."""


def marks_in(name: str) -> tuple[str, ...]:
    """What a step seems to be by its name."""
    said = name.casefold()
    return tuple(
        mark.value
        for mark, words in WORDS.items()
        if any(word.strip() in said for word in str(words).casefold().split(","))
    )


class Steps:
    """The key's steps by what they are."""

    def __init__(self, key: ExamKey):
        self.key = key

    def is_hand(self, step: str) -> bool:
        return self.key.of(step).sense != EYE

    def is_(self, mark: Mark) -> Callable[[str], bool]:
        return lambda step: mark.value in self.key.of(step).marks

    @property
    def gates(self) -> frozenset[str]:
        """Steps before which no hand goes on; where none is named, what the eye does before the first hand."""
        named = {
            step
            for step in self.key.order
            if self.key.of(step).gate or self.is_(Mark.APPROACH)(step)
        }
        return frozenset(named or self._seen_first())

    def _seen_first(self):
        for step in self.key.order:
            if self.is_hand(step):
                return
            yield step


@dataclass(frozen=True)
class Rule:
    """What comes first, what only then, what it is called when they do not, and why it matters.

    needed : leaving out what comes first breaks the rule as well
    """

    slug: str
    first: Callable[[Steps, str], bool]
    then: Callable[[Steps, str], bool]
    said: Any
    why: Any
    needed: bool = True


RULES = (
    Rule(
        "seen",
        first=lambda steps, step: step in steps.gates,
        then=lambda steps, step: steps.is_hand(step),
        said=_("Hands on before the dog was allowed to notice you"),
        why=_(
            "A dog that is touched before it has seen you is startled, and any dog can bite."
        ),
    ),
    Rule(
        "mouth",
        first=lambda steps, step: steps.is_(Mark.FIRST_TOUCH)(step),
        then=lambda steps, step: steps.is_(Mark.MOUTH)(step),
        said=_("To the mouth before the first touch"),
        why=_(
            "The first touch tells you whether the dog accepts a hand at all. The mouth is no "
            "place to find that out."
        ),
    ),
    Rule(
        "touch",
        first=lambda steps, step: steps.is_(Mark.FIRST_TOUCH)(step),
        then=lambda steps, step: steps.is_hand(step),
        said=_("Gone over before the first touch was accepted"),
        why=_(
            "A quiet hand that waits for a breath lets the dog say no before you are at work on it."
        ),
    ),
    Rule(
        "clean",
        first=lambda steps, step: steps.is_(Mark.MOUTH)(step),
        then=lambda steps, step: steps.is_(Mark.TESTICLES)(step),
        said=_("From the testicles to the mouth"),
        why=_(
            "Hands are cleaned after testicles and after mouths, and never go from the one to the other."
        ),
        needed=False,
    ),
    Rule(
        "surprise",
        first=lambda steps, step: steps.is_hand(step),
        then=lambda steps, step: steps.is_(Mark.TESTICLES)(step),
        said=_("Testicles before the rest of the body"),
        why=_(
            "They come after what else is felt on the body, with a word to the handler: a dog "
            "surprised there is entitled to object."
        ),
        needed=False,
    ),
)


@dataclass(frozen=True)
class Unsafe:
    """One rule that an order breaks: the steps that came too late or were left out, and those that came too early."""

    rule: Rule
    first: tuple[str, ...]
    then: tuple[str, ...]
    is_left_out: bool = False


def unsafe_orders(key: ExamKey, order: Sequence[str]) -> list[Unsafe]:
    """The rules that an order breaks, the gravest first; each two steps are named once."""
    steps, places = Steps(key), {step: n for n, step in enumerate(order)}
    groups, told, found = key.group_of, set(), []
    for rule in RULES:
        broken: dict[tuple, list[str]] = {}
        for first in filter(lambda one: rule.first(steps, one), key.order):
            too_early = [
                then
                for then in order
                if rule.then(steps, then)
                and groups.get(first, 0) < groups.get(then, -1)
                and (first, then) not in told
                and _breaks(rule, places, first, then)
            ]
            told |= {(first, then) for then in too_early}
            if too_early:
                by = (tuple(too_early), first not in places)
                broken.setdefault(by, []).append(first)
        found += [
            Unsafe(rule, tuple(firsts), then, left)
            for (then, left), firsts in broken.items()
        ]
    return found


def _breaks(rule, places, first, then) -> bool:
    return rule.needed if first not in places else places[then] < places[first]
