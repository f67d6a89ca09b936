"""What a bundle has to know of classes to place: their pictures, what only authors get, what can't be.

Everything that stands in `kinds.KINDS` has the same functions.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping

from django.utils.translation import gettext as _

from quizzes.bundles import plates
from quizzes.kinds.placing.content import ClassContent, ClassKey

TELLS_THE_KEY = ("levels",)
"""What of a dog stays with authors."""
STAYS_HERE = ("library", "library_version")
"""What of a dog means something in its own club alone."""


def pictures(content: Mapping) -> set[str]:
    """The ids of the photographs that the dogs have."""
    return {one for dog in content["dogs"] for one in _pictures(dog)}


def _pictures(dog: Mapping) -> Iterator[str]:
    if dog.get("picture"):
        yield dog["picture"]
    yield from dog.get("pictures", {}).values()


def with_pictures(content: Mapping, name: Callable[[str], str]) -> dict:
    """The class with each photograph under another id; "" takes it away, with its credit."""
    return {**content, "dogs": [_renamed(dog, name) for dog in content["dogs"]]}


def _renamed(dog: Mapping, name: Callable[[str], str]) -> dict:
    found = dict(dog)
    if dog.get("picture"):
        found["picture"] = name(dog["picture"])
        found["credit"] = dog.get("credit", "") if found["picture"] else ""
    views = {view: name(one) for view, one in dog.get("pictures", {}).items()}
    if views:
        found["pictures"] = {view: one for view, one in views.items() if one}
    return found


def for_reading(content: Mapping) -> dict:
    """The class as a trainee may have it."""
    return without(content, TELLS_THE_KEY)


def without(content: Mapping, names: Iterable[str]) -> dict:
    """The class with nothing under these names in any dog."""
    dogs = [
        {name: value for name, value in dog.items() if name not in names}
        for dog in content["dogs"]
    ]
    return {**content, "dogs": dogs}


def settled(content: Mapping, key: Mapping) -> tuple[dict, dict]:
    """What travels of content and key, with everything filled in that may be left out."""
    whole = ClassContent.read(content).document()
    return without(whole, STAYS_HERE), ClassKey.read(key).document()


stored = settled
"""What a revision keeps of content and key that came in."""


def problems(content: Mapping, key: Mapping) -> Iterator[str]:
    """Why class and key can't be stored, in words."""
    dogs = [dog["id"] for dog in content["dogs"]]
    if len(set(dogs)) < len(dogs):
        yield _("two dogs have the same id.")
    yield from undrawable(content)
    yield from _key_problems(frozenset(dogs), key)


def undrawable(content: Mapping) -> Iterator[str]:
    """Which dogs can't be drawn as they are described, in words."""
    for dog in content["dogs"]:
        why = plates.dog_problem(content.get("breed", ""), dog)
        if why:
            yield _("dog %(id)s %(why)s.") % {"id": dog["id"], "why": why}


def _key_problems(dogs: frozenset[str], key: Mapping) -> Iterator[str]:
    order, rulings = key.get("order", []), key.get("rulings", {})
    pairs = key.get("pairs", [])
    named = {*order, *rulings, *(pair[end] for pair in pairs for end in ENDS)}
    if named - dogs:
        text = _("the key names the dog “%(id)s”, which is not in the class.")
        yield text % {"id": min(named - dogs)}
    if len(set(order)) < len(order):
        yield _("the key places a dog twice.")
    if set(order) & set(rulings):
        text = _("the key gives %(id)s both a place and a ruling.")
        yield text % {"id": min(set(order) & set(rulings))}
    gaps = max(len(order) - 1, 0)
    if len(key.get("cuts") or []) > gaps or any(
        at >= gaps for at in key.get("level", [])
    ):
        yield _("the key has more gaps than neighbours.")
    if len({(pair["upper"], pair["lower"]) for pair in pairs}) < len(pairs):
        yield _("the key gives two reasons for one pair.")


ENDS = ("upper", "lower")


def unknown_priorities(
    content: Mapping, key: Mapping, known: frozenset[str]
) -> set[str]:
    """Priorities that levels or reasons name and the module does not have."""
    levels = {slug for dog in content["dogs"] for slug in dog.get("levels", {})}
    reasons = {pair.get("priority") or "" for pair in key.get("pairs", [])}
    return (levels | reasons) - known - {""}


def unknown_steps(content: Mapping, known: frozenset[str]) -> set[str]:
    """Steps, by name, that the module does not have; a class speaks of none."""
    return set()
