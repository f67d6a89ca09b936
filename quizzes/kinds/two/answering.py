"""The answer to an exercise of pairs: which dog was chosen in each, and what followed from it.

Only the choices are the person's; everything else is worked out anew from the attempt's seed, so nothing that is
sent can change it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from quizzes.grading.staircase import Threshold, Track, threshold, track
from quizzes.kinds.two.content import PairsContent
from quizzes.kinds.two.making import Pair, pair


def chosen_in(answer: Mapping) -> list[int]:
    """The choices of an answer, the first pair's first. Raises ValueError for what is no answer."""
    trials = answer.get("trials", []) if isinstance(answer, Mapping) else None
    if not isinstance(trials, list | tuple):
        raise ValueError("no list of pairs")
    return [_choice(one) for one in trials]


def _choice(trial) -> int:
    found = trial.get("chosen") if isinstance(trial, Mapping) else None
    if type(found) is not int or found not in (0, 1):
        raise ValueError("no choice between two")
    return found


@dataclass(frozen=True)
class Run:
    """The pairs that were answered in an attempt, and the one that comes next."""

    content: PairsContent
    seed: str
    chosen: tuple[int, ...]

    @classmethod
    def of(cls, content: PairsContent, shown: Mapping, answer: Mapping) -> Run:
        return cls(content, shown["seed"], tuple(chosen_in(answer)))

    @cached_property
    def pairs(self) -> list[Pair]:
        """Those that were answered, as they were drawn, then the next one."""
        made: list[Pair] = []
        for n in range(len(self.chosen) + 1):
            made.append(self._next_after(made, self.chosen[:n]))
        return made

    def _next_after(self, made: list[Pair], chosen: Sequence[int]) -> Pair:
        rows = zip(made, chosen, strict=True)
        right = [one.better == choice for one, choice in rows]
        wanted = track(self.content.plan, right).following
        return pair(self.content, self.seed, len(made) + 1, wanted)

    @property
    def answered(self) -> Sequence[Pair]:
        return self.pairs[: len(self.chosen)]

    @property
    def right(self) -> list[bool]:
        rows = zip(self.answered, self.chosen, strict=True)
        return [one.better == choice for one, choice in rows]

    @property
    def number(self) -> int:
        """Of the pair that is to be answered next, counted from 1."""
        return len(self.chosen) + 1

    @property
    def is_whole(self) -> bool:
        return len(self.chosen) >= self.content.pairs

    @property
    def may_stop(self) -> bool:
        return len(self.chosen) >= self.content.least

    @cached_property
    def track(self) -> Track:
        return track(self.content.plan, self.right)

    @cached_property
    def threshold(self) -> Threshold:
        shown = [one.difference for one in self.answered]
        return threshold(shown, self.right, self.content.plan)

    def document(self) -> dict:
        """As it is stored: each pair with its number, difference, the better side and the one chosen."""
        rows = zip(self.answered, self.chosen, strict=True)
        return {
            "trials": [
                {
                    "n": n,
                    "seed": f"{self.seed}/{n}",
                    "difference": one.difference,
                    "side": one.better,
                    "chosen": choice,
                }
                for n, (one, choice) in enumerate(rows, start=1)
            ]
        }

    def with_choice(self, choice: int) -> Run:
        """The run with one more answer; the pairs that were drawn are not drawn again."""
        run = Run(self.content, self.seed, (*self.chosen, choice))
        run.__dict__["pairs"] = [
            *self.pairs,
            run._next_after(self.pairs, run.chosen),
        ]
        return run
