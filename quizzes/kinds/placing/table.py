"""All pairs of a class in the key's order, and what counts a half or not at all."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from quizzes import grading
from quizzes.kinds.placing.content import ClassKey
from quizzes.kinds.placing.reader import Reader

MARKS = {"open": "=", "half": "½"}


@dataclass(frozen=True)
class PairTable:
    """The pairs of one grade as one reader sees them. letters: (upper, lower) -> letter."""

    pairs: tuple[grading.Pair, ...]
    key: ClassKey
    armbands: Mapping[str, int]
    letters: Mapping[tuple[str, str], str]
    reader: Reader

    @cached_property
    def verdicts(self) -> list[str]:
        """Of each pair; "unplaced" where the mentor placed neither dog."""
        placed = set(self.key.order)
        return [
            "unplaced"
            if pair.verdict == "open" and pair.upper not in placed
            else pair.verdict
            for pair in self.pairs
        ]

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
