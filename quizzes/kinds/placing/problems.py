"""What keeps a class from being published, and where a mentor mends it."""

from __future__ import annotations

from collections import Counter

from django.utils.translation import gettext as _

from quizzes import grading
from quizzes.kinds.base import Problem
from quizzes.kinds.placing.board import Ruling
from quizzes.kinds.placing.content import LARGEST, SMALLEST, ClassContent, ClassKey
from quizzes.kinds.placing.places import ordinal

DOGS, KEY = "quizzes:placing-dogs", "quizzes:placing-key"


def class_problems(content: ClassContent, key: ClassKey) -> list[Problem]:
    """Everything to mend, dogs first, then the key."""
    return [*_dog_problems(content), *key_problems(content, key)]


def _dog_problems(content: ClassContent) -> list[Problem]:
    problems = []
    if not SMALLEST <= len(content) <= LARGEST:
        text = _("A class has from %(least)s to %(most)s dogs; this one has %(n)s.")
        values = {"least": SMALLEST, "most": LARGEST, "n": len(content)}
        problems.append(Problem(DOGS, "dogs", text % values))
    if content.places and content.places > len(content):
        text = _("%(places)s places are more than the %(n)s dogs; give %(n)s or fewer.")
        values = {"places": content.places, "n": len(content)}
        problems.append(Problem(DOGS, "id_places", text % values))
    worn = Counter(dog.armband for dog in content)
    for dog in content:
        if dog.armband is None:
            problems.append(
                Problem(DOGS, f"dog-{dog.id}", _("A dog has no armband number."))
            )
        elif worn[dog.armband] > 1:
            text = _("Armband %(n)s is worn by two dogs.") % {"n": dog.armband}
            problems.append(Problem(DOGS, f"dog-{dog.id}", text))
        if not dog.ringside.strip():
            text = _("Say what the eye sees of %(n)s.") % {"n": dog.armband or "?"}
            problems.append(Problem(DOGS, f"dog-{dog.id}", text))
    return problems


def key_problems(
    content: ClassContent, key: ClassKey, *, reasons: bool = True
) -> list[Problem]:
    """What the key lacks; a reason for each pair only where `reasons` are asked for."""
    return [
        *_place_problems(content, key),
        *_ruling_problems(content, key),
        *(_reason_problems(content, key) if reasons else ()),
        *_cut_problems(content, key),
    ]


def _place_problems(content, key):
    waiting = [
        dog for dog in content if dog.id not in key.order and dog.id not in key.rulings
    ]
    wanted = min(content.places or len(content), len(content) - len(key.rulings))
    if waiting and len(key.order) < wanted:
        dogs = ", ".join(str(dog.armband) for dog in waiting)
        text = _("%(place)s is free in the key. Place %(dogs)s or record a ruling.")
        values = {"place": ordinal(len(key.order) + 1), "dogs": dogs}
        return [Problem(KEY, "key", text % values)]
    if len(key.order) < 1:
        return [Problem(KEY, "key", _("Place at least one dog in the key."))]
    return []


def _ruling_problems(content, key):
    by_id = content.by_id
    for dog, entry in key.rulings.items():
        if Ruling(entry["ruling"]).needs_reason and not entry.get("reason", "").strip():
            text = _("Say why %(n)s is %(ruling)s.")
            label = Ruling(entry["ruling"]).label.lower()
            yield Problem(
                KEY, f"at-{dog}", text % {"n": by_id[dog].armband, "ruling": label}
            )


def _reason_problems(content, key):
    by_id = content.by_id
    for gap, (upper, lower) in enumerate(key.neighbours):
        pair = key.reasons.get((upper, lower))
        if gap not in key.level and not (pair and pair.reason.strip()):
            text = _("%(upper)s over %(lower)s has no reason.")
            values = {"upper": by_id[upper].armband, "lower": by_id[lower].armband}
            yield Problem(KEY, f"gap-{gap}", text % values)


def gaps_without_cut(key: ClassKey, *, parted=False) -> list[int]:
    """Gaps that lack a cut though others have one; dogs that are level need none.

    parted : cuts of pairs that stand apart now count as others too
    """
    needed = [gap for gap in range(len(key.cuts)) if gap not in key.level]
    missing = [gap for gap in needed if not key.cuts[gap]]
    had = parted and any(cut for cut, _level in key.apart.values())
    return missing if had or len(missing) < len(needed) else []


def _cut_problems(content, key):
    by_id = content.by_id
    if missing := gaps_without_cut(key):
        text = _(
            "%(upper)s and %(lower)s have no cut. Give one to every pair of neighbours, or to none."
        )
        pairs = ((gap, key.neighbours[gap]) for gap in missing)
        return [
            Problem(
                KEY,
                f"gap-{gap}",
                text % {"upper": by_id[upper].armband, "lower": by_id[lower].armband},
            )
            for gap, (upper, lower) in pairs
        ]
    try:
        if key.order:
            key.for_grading(content)
    except grading.KeyProblem as problem:
        return [Problem(KEY, "cuts", str(problem))]
    return []
