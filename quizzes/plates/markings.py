"""Colour patterns, from the dog's seed and nothing else.

A pattern answers one question for every part: is the coat dark here? Borders are ragged along the lie of the coat.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .breeds import Breed
from .engraving import clipped, noise
from .splines import Array

Mask = NDArray[np.bool_]

WORDS = {
    "solid": "of one mid colour",
    "light": "pale all over",
    "dark": "dark all over",
    "dark-bib": "dark with a pale chest and feet",
    "grizzle": "grizzled, darker over the back",
    "saddle": "pale with a dark saddle",
    "patched": "pale with dark patches",
    "tan-points": "dark with pale legs and muzzle",
}


@dataclass(frozen=True)
class Marking:
    """A pattern and the numbers that vary it."""

    pattern: str
    seed: int
    dice: tuple[float, ...]


def marking(breed: Breed, seed: int) -> Marking:
    """The pattern of a dog of this breed and seed."""
    dice = noise(12, seed, 77)
    pattern = breed.patterns[int(dice[0] * len(breed.patterns)) % len(breed.patterns)]
    return Marking(pattern, seed, tuple(float(d) for d in dice))


def words(breed: Breed, seed: int) -> str:
    """The pattern in words."""
    return WORDS[marking(breed, seed).pattern]


def _saddle(m: Marking, s: Array, v: Array) -> Mask:
    depth = 0.35 * (m.dice[1] - 0.5)
    border = np.interp(
        s,
        [2.5, 4.5, 6, 9, 12, 14, 15.5, 16.5],
        [1.1, 0.3, -0.15, -0.2, 0.0, 0.4, 1.1, 1.1],
    )
    return v > border + depth


def _dark_head(m: Marking) -> bool:
    return m.dice[9] > 0.4


def _patches(m: Marking, s: Array, v: Array) -> Mask:
    d = m.dice
    spots = (
        (6.2 + 1.6 * d[1], 0.45 + 0.3 * d[2], 1.2 + 0.9 * d[3], 0.7 + 0.4 * d[4]),
        (12.4 + 1.2 * d[5], 0.5 + 0.3 * d[6], 1.5 + 0.8 * d[7], 0.7 + 0.3 * d[8]),
        (0.6 + 0.8 * d[9], 0.4, 1.6, 1.2),
    )[: 3 if _dark_head(m) else 2]
    wobble = 0.12 * np.sin(5 * s + 9 * d[10]) + 0.10 * np.sin(7 * v + 3 * s)
    dark = np.zeros(len(s), dtype=bool)
    for centre, height, wide, tall in spots:
        dark |= np.hypot((s - centre) / wide, (v - height) / tall) < 1 + wobble
    return dark


def _trunk(m: Marking, s: Array, v: Array) -> Mask:
    if m.pattern == "saddle":
        return _saddle(m, s, v)
    if m.pattern == "patched":
        return _patches(m, s, v)
    if m.pattern == "dark-bib":
        bib = (
            v < np.interp(s, [0, 2, 4, 5.5, 6.3], [-0.75, -0.5, -0.1, -0.5, -1.1])
        ) & (s < 6.4)
        return ~(bib | (s > 22.2 + 0.4 * m.dice[2]))
    if m.pattern == "tan-points":
        chest = (v < -0.55) & (s > 2.8) & (s < 5.2)
        return ~(chest | (s > 18.6 + 0.8 * v) | ((v > 0.8) & (s > 13) & (s < 16.5)))
    return np.full(len(s), m.pattern == "dark")


def _foreleg(m: Marking, s: Array, v: Array) -> Mask:
    if m.pattern == "dark-bib":
        return s < 7.6 + m.dice[3]
    if m.pattern == "tan-points":
        return s + 0.7 * v < 2.4
    return np.full(len(s), m.pattern == "dark")


def _head(m: Marking, s: Array, v: Array) -> Mask:
    if m.pattern == "patched" and not _dark_head(m):
        return np.zeros(len(s), dtype=bool)
    if m.pattern == "patched":
        return (s < 4.6 + 0.8 * m.dice[3]) & (v > -0.25 - 0.4 * m.dice[4])
    if m.pattern == "dark-bib":
        return ~((s > 8.5) & (v < 0.2))
    if m.pattern == "tan-points":
        return ~((s > 7.0) & (v < 0.35)) & ~((s < 7) & (v < -0.45))
    return np.full(len(s), m.pattern == "dark")


def _tail(m: Marking, s: Array, v: Array) -> Mask:
    if m.pattern == "patched":
        return s < 3.5 + 2 * m.dice[6]
    if m.pattern == "dark-bib":
        return s < 10.6
    return np.full(len(s), m.pattern in ("dark", "saddle", "tan-points", "grizzle"))


def _ear(m: Marking, s: Array, v: Array) -> Mask:
    return np.full(
        len(s), m.pattern in ("dark", "dark-bib", "tan-points", "patched", "saddle")
    )


def _front(m: Marking, s: Array, v: Array) -> Mask:
    if m.pattern == "dark-bib":
        return ~((np.abs(v) < 0.62 - 0.02 * s) & (s > 3))
    if m.pattern == "tan-points":
        return ~((np.abs(np.abs(v) - 0.45) < 0.22) & (s > 7) & (s < 11))
    if m.pattern == "patched":
        return (v > 0.3 - 0.5 * m.dice[2]) & (s < 7 * m.dice[3])
    return np.full(len(s), m.pattern == "dark")


def _frontleg(m: Marking, s: Array, v: Array) -> Mask:
    if m.pattern == "dark-bib":
        return s < 9.4 + m.dice[3]
    return (
        np.full(len(s), m.pattern == "dark") if m.pattern != "tan-points" else s < 3.5
    )


def _rear(m: Marking, s: Array, v: Array) -> Mask:
    if m.pattern == "dark-bib":
        return s < 17 + m.dice[2]
    if m.pattern in ("tan-points", "saddle"):
        return s < (9.5 if m.pattern == "tan-points" else 4.2 + m.dice[1])
    if m.pattern == "patched":
        return s + 2.5 * v < 3.0 + 3 * m.dice[5]
    return np.full(len(s), m.pattern == "dark")


def _face(m: Marking, s: Array, v: Array) -> Mask:
    if m.pattern == "patched":
        return _dark_head(m) & (s < 7) & (np.abs(v) > 0.22 + 0.2 * m.dice[4])
    if m.pattern == "dark-bib":
        return s < 10.5
    if m.pattern == "tan-points":
        return s < 7.5
    return np.full(len(s), m.pattern == "dark")


def _top(m: Marking, s: Array, v: Array) -> Mask:
    if m.pattern == "saddle":
        return s > 14.5 + m.dice[1]
    if m.pattern == "patched":
        d = m.dice
        wobble = 0.25 * np.sin(4 * v + 8 * d[10])
        near = np.abs((s - 17 - 2 * d[1]) / (2.2 + d[3])) < 1 + wobble
        return (
            near
            | (np.abs((s - 26 - d[5]) / (2.0 + d[7])) < 1 - wobble)
            | (_dark_head(m) & (s > 4) & (s < 9.5))
        )
    return np.full(len(s), m.pattern in ("dark", "dark-bib", "tan-points"))


_PARTS = {
    "trunk": _trunk,
    "foreleg": _foreleg,
    "head": _head,
    "tail": _tail,
    "ear": _ear,
    "front": _front,
    "frontleg": _frontleg,
    "rear": _rear,
    "face": _face,
    "top": _top,
}


def darken(
    m: Marking, part: str, s: Array, v: Array, bare: Array, ragged: Array
) -> Array:
    """Tone of the coloured coat at (s, v) from the bare form's tone; `ragged` (-1 to 1) frays the border."""
    dark = _PARTS[part](m, s + 0.22 * ragged, v + 0.07 * ragged)
    if m.pattern == "grizzle" and part not in ("ear", "tail"):
        back = clipped(0.55 + 0.45 * v, 0, 1) if part == "trunk" else 0.4
        return clipped(bare + 0.16 * back + 0.16 * np.abs(ragged) * back, 0, 1)
    if m.pattern == "solid":
        return clipped(0.10 + 0.92 * bare, 0, 1)
    pale = 0.86 * bare - (0.05 if m.pattern == "light" else 0.02)
    return np.where(dark, 0.56 + 0.46 * bare**1.3, pale)
