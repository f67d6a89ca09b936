"""From what is stored of a dog to the dog that is drawn."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache

from quizzes import plates
from quizzes.plates import Breed, Conformation
from quizzes.plates.faults import fault

EARS = ("prick", "semi-prick", "drop-short", "drop")
COATS = ("smooth", "broken", "curly", "feathered", "double")
THEMES = ("light", "dark")
VIEWS = ("side", "front", "rear", "top", "head")


def breed_of(slug: str, build: Mapping) -> Breed:
    """The breed with the ear and the coat that the build asks for."""
    parts = {name: build[name] for name in ("ear", "coat") if name in build}
    return replace(plates.BREEDS[slug], **parts)


@lru_cache(maxsize=1024)
def _conformation(
    slug: str, sex: str, faults: tuple, seed: int, mirror: bool, build: tuple
) -> Conformation:
    wanted = dict(build)
    breed = breed_of(slug, wanted)
    values = {name: value for name, value in wanted.items() if name in plates.CONTROLS}
    return plates.conformation(
        breed,
        faults=dict(faults),
        sex=sex,
        seed=seed,
        mirror=mirror,
        adjust=plates.adjustment(breed, values),
    )


def look_of(breed: str, dog) -> list:
    """Everything that a dog's drawing follows from, as JSON can tell it.

    dog : has sex, faults, coat_seed, mirror and build, as a class stores them
    """
    return [
        breed,
        dog.sex,
        sorted(dog.faults.items()),
        dog.coat_seed,
        dog.mirror,
        sorted(dog.build.items()),
    ]


def conformation_of(breed: str, dog) -> Conformation:
    """The dog's conformation: everything the drawing shows follows from it."""
    faults, build = sorted(dog.faults.items()), sorted(dog.build.items())
    return _conformation(
        breed, dog.sex, tuple(faults), dog.coat_seed, dog.mirror, tuple(build)
    )


def views_needed(dogs) -> tuple[str, ...]:
    """The views beside the side view in which a fault of one of the dogs is to be seen.

    For all the dogs or for none: a view of one dog alone would point at it.
    """
    shown = {
        fault(code).view
        for dog in dogs
        for code, strength in dog.faults.items()
        if strength > 0
    }
    return tuple(view for view in VIEWS[1:] if view in shown)
