"""What is pointed out in a critique: terms of the trade, and priorities that are mentioned.

Both are found by their words alone. Whether what is said is true, only somebody who knows the dog can tell.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.utils.safestring import SafeString

from trainer.study.rich import Glossary

SHORTEST = 4
LINKS = frozenset({"with", "from", "over", "under", "both", "their", "upper"})
"""Words of a name that say nothing by themselves."""


@dataclass(frozen=True)
class Mentioned:
    """A priority, and the words of its name that occur in the text as they stand there."""

    priority: Any
    words: tuple[str, ...]


@dataclass(frozen=True)
class PointedOut:
    """text : the critique as HTML, each term a button where it occurs first"""

    text: SafeString
    terms: list
    mentioned: list[Mentioned]
    not_mentioned: list


def names_in(name: str, text: str) -> tuple[str, ...]:
    """The words of a priority's name that the text has, in one number or the other."""
    found: dict[str, str] = {}
    for word in re.findall(r"\w+", name):
        stem = word.lower().removesuffix("s")
        if len(word) < SHORTEST or word.lower() in LINKS:
            continue
        match = re.search(rf"(?<!\w){re.escape(stem)}s?(?!\w)", text, re.IGNORECASE)
        if match:
            found.setdefault(stem, match.group())
    return tuple(found.values())


def pointed_out(text: str, glossary: Glossary, priorities: Iterable) -> PointedOut:
    """The terms and priorities of a module that a critique has; priorities in rank order."""
    html = glossary.text(text)
    rows = list(priorities)
    own = _own_terms(rows, glossary)
    pairs = [
        (one, names_in(one.name, text) or glossary.found_in(text, own[at]))
        for at, one in enumerate(rows)
    ]
    return PointedOut(
        text=html,
        terms=glossary.used_in(html),
        mentioned=[Mentioned(one, words) for one, words in pairs if words],
        not_mentioned=[one for one, words in pairs if not words],
    )


def _own_terms(priorities: list, glossary: Glossary) -> list[set[str]]:
    """For each priority the terms that stand in what to look and feel for there, and nowhere else.

    Whoever writes of the hock writes of the hindquarters.
    """
    told = [
        {term.name for term in glossary.terms_in(f"{one.look_for} {one.feel_for}")}
        for one in priorities
    ]
    return [
        names - set().union(*told[:at], *told[at + 1 :])
        for at, names in enumerate(told)
    ]
