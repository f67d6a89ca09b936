"""Points for a question, and what guessing is worth. Exact: everything is counted in fractions."""

from __future__ import annotations

import math
import re
from collections.abc import Collection
from fractions import Fraction

from quizzes.grading.items import FULL, HALF, NONE, Points, guessing

LARGEST = 1e9
"""A number beyond it, either way, is no answer."""
NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)", re.ASCII)


def number_of(text: str) -> float | None:
    """The number that somebody typed, with a point or a comma before its decimals; None for anything else."""
    plain = text.strip().replace(",", ".").replace("\N{MINUS SIGN}", "-")
    return within_reach(float(plain)) if NUMBER.fullmatch(plain) else None


def within_reach(value: float) -> float | None:
    return value if math.isfinite(value) and abs(value) <= LARGEST else None


def number_text(value: float) -> str:
    """The number as it is shown: no more than six figures, and none that say nothing."""
    return f"{value:.6g}"


def _exact(value: float) -> Fraction:
    """The decimal that was typed, and not the nearest binary number to it."""
    return Fraction(repr(float(value)))


def for_one(right: Collection[str], given: str) -> Fraction:
    return FULL if given in right else NONE


def for_several(right: Collection[str], given: Collection[str]) -> Fraction:
    """Full for exactly the right set; half for one mistake with at least one right one ticked.

    A mistake is a right option that is not ticked or a wrong one that is.
    """
    mistakes = len(set(right) ^ set(given))
    if not mistakes:
        return FULL
    return HALF if mistakes == 1 and set(right) & set(given) else NONE


def for_number(
    right: float, given: float, within: float, nearly: float | None
) -> Fraction:
    """Full no further off than `within`, half no further than `nearly`; both ends count as inside."""
    off = abs(_exact(given) - _exact(right))
    if off <= _exact(within):
        return FULL
    return HALF if nearly is not None and off <= _exact(nearly) else NONE


def guessing_one(options: int) -> Points:
    """Any option as likely as another."""
    return guessing(Fraction(1, options))


def guessing_several(options: int, right: int) -> Points:
    """Any set of ticks as likely as another, but for none at all, which is no answer.

    Of the 2^n - 1 sets one is right. One mistake have the sets with a wrong one more (n - r) and those with a
    right one less (r); where only one is right, the last of these is empty or shares nothing with it.
    """
    sets = 2**options - 1
    one_off = (options - right) + (right if right > 1 else 0)
    return guessing(Fraction(1, sets), Fraction(one_off, sets))
