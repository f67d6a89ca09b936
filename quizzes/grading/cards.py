"""Reading paper cards: a placing and rulings as judges write them."""

from __future__ import annotations

import re
from typing import NamedTuple

from quizzes.grading.batch import RULING_CODE
from quizzes.grading.model import RULINGS, Key
from quizzes.grading.table import read_table

DASHES = str.maketrans(dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2212", "-"))
DATE = re.compile(
    r"""(?: \d+[./]\d+ (?:[./]\d+)?               # 4.2., 04.02.2003, 4/2/03
          | \d{4}-\d\d?-\d\d? | \d\d?-\d\d?-\d{4}  # 2003-02-04, 4-2-2003
          | \d+[-.\ ]+[^\W\d_]{3,}\.? (?:[-,\ ]+\d+)?   # 4-Feb, 4. Feb 2003
          | [^\W\d_]{3,}\.?[-\ ]\d+ (?:[-,\ ]+\d+)?     # Feb-04, Feb 4, 2003
        ) (?:[T\ ]+\d\d?:[\d:]+ (?:\ ?[ap]m)?)?       # and a time of day
    """,
    re.IGNORECASE | re.VERBOSE,
)
"""What a spreadsheet makes of a placing like 4-2-3 in a column that is not text."""


SEPARATED = re.compile(r"[,;\s]+")


class AnswerRow(NamedTuple):
    """One paper card as written, and on which line of its table; 0 if there is none."""

    name: str
    placing: str
    rulings: str = ""
    line: int = 0


def armband(text: str) -> str:
    """Return an armband as it is compared: stripped, numbers without leading zeros."""
    text = text.strip()
    return text.lstrip("0") or "0" if text.isdecimal() else text


def read_answers(data: bytes | str) -> list[AnswerRow]:
    """Return the cards of ANSWERS.csv; raises Problem if a column is missing."""
    rows = read_table(data, required=("name", "placing"), optional=("rulings",))
    return [
        AnswerRow(row["name"], row["placing"], row["rulings"], int(row["line"]))
        for row in rows
    ]


class Card(NamedTuple):
    """A card as numbers in the columns of ``key.dogs``, or what is wrong with it."""

    places: list[int]
    rulings: list[int]
    problem: str


class CardReader:
    """Reads cards against the armbands of a key; cards written alike are read once."""

    def __init__(self, key: Key) -> None:
        self.column = {armband(str(dog)): at for at, dog in enumerate(key.dogs)}
        # In order of armbands, so that a refusal does not tell the key.
        names = sorted(self.column, key=lambda name: (len(name), name))
        self.armbands = ", ".join(names)
        self.known: dict[tuple[str, str], Card] = {}

    def read(self, placing: str, rulings: str) -> Card:
        """Return one card, say ``4-2=3-1`` and ``31 disqualified; 8 excused``."""
        written = (placing, rulings)
        if written not in self.known:
            self.known[written] = self._read(placing, rulings)
        return self.known[written]

    def _read(self, placing: str, rulings: str) -> Card:
        numbers = self._without_hyphens(placing.strip(" '"), rulings)
        if numbers:
            said = f"write hyphens between the numbers, {'-'.join(numbers)}"
            nobody = [0] * len(self.column)
            return Card(nobody, nobody, said)
        problems: list[str] = []
        places = self._places(placing.strip(" '").translate(DASHES), problems)
        codes = self._codes(rulings.strip(" '"), places, problems)
        return Card(places, codes, "; ".join(dict.fromkeys(problems)))

    def _without_hyphens(self, placing: str, rulings: str) -> list[str]:
        """Return the armbands of a placing written 12, 7, 31; none of any other.

        Written without quotes in a table with commas, all but the first stand in the column of rulings.
        """
        if armband(placing) in self.column:
            rest = [armband(part) for part in SEPARATED.split(rulings.strip()) if part]
            known = rest and all(part in self.column for part in rest)
            return [armband(placing), *rest] if known else []
        parts = [armband(part) for part in SEPARATED.split(placing) if part]
        known = len(parts) > 1 and all(part.isdecimal() for part in parts)
        return parts if known else []

    def _places(self, text: str, problems: list[str]) -> list[int]:
        places = [0] * len(self.column)
        if not text:
            problems.append("the placing is empty; write it like 4-2-3-1")
            return places
        place = 1
        for group in text.split("-"):
            for dog in group.split("="):
                at = self._find(dog, problems)
                if at is not None and places[at]:
                    problems.append(f"armband {armband(dog)} twice in the placing")
                elif at is not None:
                    places[at] = place
            place += group.count("=") + 1
        if problems and DATE.fullmatch(text):
            problems[:] = [
                f"the placing {text} looks like a date made by the spreadsheet;"
                " format its column as text and write it again"
            ]
        return places

    def _codes(self, text: str, places: list[int], problems: list[str]) -> list[int]:
        codes = [0] * len(self.column)
        for part in filter(None, map(str.strip, re.split("[;,]", text))):
            dog, _, word = part.replace(":", " ").partition(" ")
            word = word.strip().casefold()
            at = self._find(dog, problems)
            if word not in RULINGS:
                known = ", ".join(RULINGS)
                said = f"unknown ruling {word}" if word else "no ruling"
                problems.append(f"{said} for armband {armband(dog)}; use {known}")
            elif at is not None and codes[at]:
                problems.append(f"armband {armband(dog)} twice in the rulings")
            elif at is not None and places[at]:
                problems.append(f"armband {armband(dog)} both placed and {word}")
            elif at is not None:
                codes[at] = RULING_CODE[word]
        return codes

    def _find(self, dog: str, problems: list[str]) -> int | None:
        name = armband(dog)
        if name in self.column:
            return self.column[name]
        said = f"unknown armband {name}" if name else "an armband is missing"
        problems.append(f"{said}; the class has {self.armbands}")
        return None
