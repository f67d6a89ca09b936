"""All pairs of a class in the key's order, and what counts a half or not at all."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cached_property

from quizzes import grading
from quizzes.kinds.placing.content import ClassKey
from quizzes.kinds.placing.reader import Reader

MARKS = {"open": "=", "half": "½", "alone": "+"}


@dataclass(frozen=True)
class PairTable:
    """The pairs of one grade as one reader sees them.

    placed : the dogs the answer placed; letters : (upper, lower) -> letter
    """

    pairs: tuple[grading.Pair, ...]
    key: ClassKey
    placed: Collection[str]
    armbands: Mapping[str, int]
    letters: Mapping[tuple[str, str], str]
    reader: Reader

    @cached_property
    def verdicts(self) -> list[str]:
        """Of each pair; "unplaced" and "alone" are verdicts of the table only."""
        return [self._verdict(pair) for pair in self.pairs]

    def _verdict(self, pair: grading.Pair) -> str:
        """ "unplaced" if the key placed neither dog, "alone" if only the answer left one out."""
        if pair.verdict == "open" and pair.upper not in self.key.order:
            return "unplaced"
        left_out = pair.lower in self.key.order and pair.lower not in self.placed
        return "alone" if pair.verdict == "agreed" and left_out else pair.verdict

    @property
    def sorts(self) -> set[str]:
        """The verdicts that occur, for the legend."""
        return set(self.verdicts)

    @property
    def counting(self) -> list[str]:
        """A sentence for each sort of pair that counts a half or not at all."""
        return self.reader.counting(self.verdicts)

    @cached_property
    def rows(self) -> list[dict]:
        """Upper half only: a row per dog but the last, with blanks before its pairs."""
        rows: dict[str, list[dict]] = {}
        for pair, verdict in zip(self.pairs, self.verdicts, strict=True):
            rows.setdefault(pair.upper, []).append(self._cell(pair, verdict))
        return [
            {"armband": self.armbands[dog], "before": range(at), "cells": cells}
            for at, (dog, cells) in enumerate(rows.items())
        ]

    @property
    def heads(self) -> list[int]:
        """The armbands over the columns."""
        first = self.pairs[0].upper
        return [self.armbands[p.lower] for p in self.pairs if p.upper == first]

    def _cell(self, pair: grading.Pair, verdict: str) -> dict:
        upper, lower = self.armbands[pair.upper], self.armbands[pair.lower]
        letter = self.letters.get((pair.upper, pair.lower), "")
        return {
            "verdict": verdict,
            "letter": letter,
            "mark": MARKS.get(verdict, ""),
            "words": self.reader.verdict(verdict, upper, lower, letter),
        }
