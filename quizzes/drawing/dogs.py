"""From what is stored of a dog to the dog that is drawn."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import lru_cache

from django.utils.translation import gettext_lazy as _

from quizzes import plates
from quizzes.plates import Breed, Conformation, markings
from quizzes.plates.faults import fault
from quizzes.plates.svg import Box

EARS = ("prick", "semi-prick", "drop-short", "drop")
COATS = ("smooth", "broken", "curly", "feathered", "double")
ANY_PATTERN = "any"
PATTERNS = (ANY_PATTERN, *markings.WORDS)
THEMES = ("light", "dark")
VIEW_LABELS = {
    "side": _("From the side"),
    "front": _("From the front"),
    "rear": _("From behind"),
    "top": _("From above"),
    "head": _("Head study"),
}
VIEWS = tuple(VIEW_LABELS)


def breed_of(slug: str, build: Mapping) -> Breed:
    """The breed with the ear, the coat and the pattern that the build asks for."""
    parts = {name: build[name] for name in ("ear", "coat") if name in build}
    if "pattern" in build:
        parts["patterns"] = (build["pattern"],)
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


DETAIL_MARGIN, DETAIL_SMALLEST, DETAIL_RATIO, BELOW_GROUND = 20.0, 70.0, 0.78, 6.0


def detail_box(dogs: Sequence[Conformation], name: str) -> Box:
    """The part of the plate around a measurement, one frame for all these dogs: x, y, width, height, y down."""
    found = plates.measure(dogs[0])[name]
    points = [getattr(dog, found.view)[point] for dog in dogs for point in found.points]
    across = [x for x, _y in points]
    if found.view in ("front", "rear"):
        across += [-x for x in across]
    up = [y for _x, y in points]
    middle = (min(across) + max(across)) / 2, (min(up) + max(up)) / 2
    wide = max(
        max(across) - min(across) + 2 * DETAIL_MARGIN,
        (max(up) - min(up) + 2 * DETAIL_MARGIN) / DETAIL_RATIO,
        DETAIL_SMALLEST,
    )
    high = wide * DETAIL_RATIO
    top = min(-middle[1] - high / 2, BELOW_GROUND - high)
    return middle[0] - wide / 2, top, wide, high
