"""Drawn dogs that a club keeps, as lessons can show them.

Drawing stands on a higher floor than study: it registers here what it has (quizzes/apps.py), so that this floor
knows nothing of how dogs are drawn.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class KeptDrawing:
    """A drawing to choose: the value that is sent, its name, its addresses, and the image a lesson stores."""

    value: str
    name: str
    light: str
    dark: str
    image: Mapping


_drawers: list[Callable[[Sequence[Mapping]], bytes | None]] = []
_sources: list[Callable[[int], Sequence[KeptDrawing]]] = []


def register(source: Callable[[int], Sequence[KeptDrawing]]) -> None:
    """Let lessons show what the source has of a club, given by its pk."""
    _sources.append(source)


def of_club(club_id: int) -> list[KeptDrawing]:
    """The drawings that the club keeps, the latest first."""
    return [drawing for source in _sources for drawing in source(club_id)]


def register_printer(draw: Callable[[Sequence[Mapping]], bytes | None]) -> None:
    """Let papers show what this draws of a lesson's images."""
    _drawers.append(draw)


def printed(images: Sequence[Mapping]) -> bytes | None:
    """A drawn dog of a lesson as SVG for paper, or two of them over each other; None where it can't be drawn."""
    found = (draw(images) for draw in _drawers)
    return next((svg for svg in found if svg), None)
