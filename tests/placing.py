"""Small classes to place, as the documents a revision stores."""

import itertools

from tests.factories import ExerciseFactory, ModuleFactory, RevisionFactory


def dog(name, armband, **more):
    """A dog whose id is its name."""
    words = {"ringside": f"{name} from the ring-side.", "hands_on": f"{name} by hand."}
    return {"id": name, "armband": armband, "age_months": 30, **words, **more}


def content(names="abcd", *, places=None, **by_dog):
    """Dogs a, b, c, d with armbands 11, 22, 33, 44 unless said otherwise."""
    dogs = [
        dog(name, 11 * at, **by_dog.get(name, {})) for at, name in enumerate(names, 1)
    ]
    return {"dogs": dogs, "places": places, "breed": ""}


def key(order="abcd", *, cuts=None, level=(), rulings=None, note=""):
    """A key with a reason for every neighbour pair."""
    pairs = [
        {
            "upper": upper,
            "lower": lower,
            "reason": f"{{{upper}}} beats {{{lower}}}.",
            "grant": f"{{{lower}}} has the better coat.",
            "priority": "priority-1",
        }
        for upper, lower in itertools.pairwise(order)
    ]
    return {
        "order": list(order),
        "cuts": list(cuts) if cuts else [None] * (len(order) - 1),
        "level": list(level),
        "rulings": rulings or {},
        "pairs": pairs,
        "note": note,
    }


def placing_class(club, *, names="abcd", places=None, by_dog=None, **more):
    """A class of the club in force; `key`, `state` and other fields as given."""
    module = more.pop("module", None) or ModuleFactory(club=club)
    exercise = more.pop("exercise", None) or ExerciseFactory(module=module)
    return RevisionFactory(
        exercise=exercise,
        content=content(names, places=places, **(by_dog or {})),
        key=more.pop("key", None) or key(names),
        size=len(names),
        **more,
    )


def answer(order="abcd", **rulings):
    """An answer; rulings as `d="excused"`."""
    return {
        "order": list(order),
        "rulings": {
            name: {"ruling": ruling, "reason": "seen in the ring"}
            for name, ruling in rulings.items()
        },
    }
