"""What an answer says of which subject: priorities on which pairs turn, or the exercise as a whole."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

from quizzes.generator.levels import deciding
from quizzes.kinds.placing.content import ClassContent, ClassKey, Dog
from quizzes.models import Attempt, Grade
from trainer.study.models import Priority

POINTS = {"agreed": 1.0, "half": 0.5, "disagreed": 0.0}
"""Of a pair; the others are not counted."""


def subjects(attempt: Attempt, grade: Grade, priorities) -> dict[str, float]:
    """Shares from 0 to 1 by subject; empty where nothing was compared.

    priorities : those of the module's revision
    """
    if attempt.revision.exercise.kind == "placing":
        found = by_priority(attempt.revision, grade.result, priorities)
        return {f"priority:{slug}": share for slug, share in found.items()}
    if grade.share is None:
        return {}
    return {f"exercise:{attempt.revision.exercise_id}": grade.share}


def by_priority(revision, result: Mapping, priorities) -> dict[str, float]:
    """The share of the pairs that turn on each priority that were put as the key has them."""
    dogs = ClassContent.read(revision.content).by_id
    key = ClassKey.read(revision.key)
    reached: dict[str, list[float]] = defaultdict(list)
    for upper, lower, verdict, _cut in result.get("pairs", ()):
        slug = turned_on(key, dogs[upper], dogs[lower], priorities)
        if slug and verdict in POINTS:
            reached[slug].append(POINTS[verdict])
    return {slug: sum(points) / len(points) for slug, points in reached.items()}


def turned_on(key: ClassKey, upper: Dog, lower: Dog, priorities: list[Priority]) -> str:
    """The priority that the mentor names for the pair, else the one on which weight and levels part it most."""
    reason = key.reasons.get((upper.id, lower.id))
    if reason and reason.priority:
        return reason.priority
    known = [
        one
        for one in priorities
        if one.slug in upper.levels and one.slug in lower.levels
    ]
    rows = [[dog.levels[one.slug] for one in known] for dog in (upper, lower)]
    at = deciding(*rows, [one.weight for one in known]) if known else -1
    return known[at].slug if at >= 0 else ""
