"""A build: what departs from a breed that is drawn, so that another breed can be drawn from it.

It holds "ear", "coat", "pattern" and the proportions by the name of their control, as absolute values,
and only what differs from the breed. A breed with a build is spelled in one word, which an address and a
select can hold: nothing has to be looked up to draw it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cache

from quizzes import models, plates
from quizzes.drawing.dogs import ANY_PATTERN, COATS, EARS, PATTERNS
from trainer.study.models import Module

Build = dict[str, float | str]

WORDS = {"ear": EARS, "coat": COATS, "pattern": PATTERNS}
BETWEEN = "~"


@cache
def of_breed(slug: str) -> Mapping[str, float | str]:
    """Everything that a build may change, as the breed itself has it."""
    breed = plates.BREEDS[slug]
    spans = {name: one.span(breed) for name, one in plates.CONTROLS.items()}
    proportions = {name: round(own, 3) for name, (_low, own, _high) in spans.items()}
    return {
        "ear": breed.ear,
        "coat": breed.coat,
        "pattern": ANY_PATTERN,
        **proportions,
    }


def settled(slug: str, asked: Mapping, own: Mapping | None = None) -> Build:
    """The build that is asked for: nonsense is left out, what is out of range taken to its end.

    asked : values by name, as text or number
    own : the build of the club's own breed, which stands where nothing else is asked for
    """
    breed, own = of_breed(slug), own or {}
    found = {
        name: _value(slug, name, asked.get(name), own.get(name, value))
        for name, value in breed.items()
    }
    return {name: value for name, value in found.items() if value != breed[name]}


def departures(slug: str, build: Mapping, own: Mapping) -> Build:
    """Values of a build that differ from those of the club's own breed."""
    breed = of_breed(slug)
    return {
        name: build.get(name, value)
        for name, value in breed.items()
        if build.get(name, value) != own.get(name, value)
    }


def spelled(slug: str, own: Mapping) -> str:
    """A breed and a build as one word, the same for equal builds in whatever order they are stored."""
    values = [str(part) for pair in settled(slug, own).items() for part in pair]
    return BETWEEN.join([slug, *values])


def read(text: str | None) -> tuple[str, Build]:
    """The breed and the build of a word; the first breed there is if it names none."""
    slug, *parts = (text or "").split(BETWEEN)
    if slug not in plates.BREEDS:
        return next(iter(plates.BREEDS)), {}
    return slug, settled(slug, dict(zip(parts[::2], parts[1::2], strict=False)))


def of_module(module: Module) -> tuple[str, Build]:
    """The breed that a module's classes are drawn from, and the build; no breed where nobody has drawn it."""
    kept = models.Build.objects.filter(module=module).first()
    if kept and kept.base in plates.BREEDS:
        return kept.base, settled(kept.base, kept.values)
    slug = module.breed.slug
    return (slug if slug in plates.BREEDS else ""), {}


def _value(slug: str, name: str, asked, otherwise):
    if name in WORDS:
        return asked if asked in WORDS[name] else otherwise
    low, _own, high = plates.CONTROLS[name].span(plates.BREEDS[slug])
    return round(number(asked, low, high, otherwise), 3)


def number(text, low: float, high: float, default: float) -> float:
    """The number in a text, between two ends."""
    try:
        value = float(text)
    except (TypeError, ValueError):
        return default
    return min(max(value, low), high) if math.isfinite(value) else default
