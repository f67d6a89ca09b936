"""What a bundle has to know of critiques; their one dog stands in them as in a class."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from quizzes.bundles.placing import (
    STAYS_HERE,
    for_reading,
    pictures,
    undrawable,
    unknown_priorities,
    unknown_steps,
    with_pictures,
    without,
)
from quizzes.kinds.critique.content import CritiqueContent, CritiqueKey

__all__ = [
    "for_reading",
    "pictures",
    "problems",
    "settled",
    "stored",
    "unknown_priorities",
    "unknown_steps",
    "with_pictures",
]


def settled(content: Mapping, key: Mapping) -> tuple[dict, dict]:
    """What travels of content and key, with everything filled in that may be left out."""
    whole = CritiqueContent.read(content).document()
    return without(whole, STAYS_HERE), CritiqueKey.read(key).document()


stored = settled


def problems(content: Mapping, key: Mapping) -> Iterator[str]:
    """Why a critique can't be stored, in words."""
    yield from undrawable(content)
