"""Which priorities a person's placings reward, laid beside what the mentor rewards."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from quizzes.grading.implied import NoMaximum, Ranking, Share, enough, fit, shares
from quizzes.kinds.placing.content import ClassContent
from quizzes.models import Attempt, Rewarded
from quizzes.review.aiming import HELD, LATEST, typical
from trainer.study.models import Priority


@dataclass(frozen=True)
class Beside:
    """A priority with the mentor's weight and the person's, in per cent."""

    priority: Priority
    mentor: float
    own: Share

    @property
    def departs(self) -> int:
        return self.own.departs(self.mentor)


def rankings(user, module_id: int, slugs: list[str]) -> list[Ranking]:
    """The person's latest placings in the module of dogs that have a level on every priority."""
    mine = Attempt.objects.owned_by(user).finished()
    placed = mine.filter(
        revision__exercise__module=module_id, revision__exercise__kind="placing"
    )
    rows = placed.values_list("revision__content", "answer")[:LATEST]
    found = (_ranking(content, answer, slugs) for content, answer in rows)
    return [one for one in found if one is not None and one.choices]


def _ranking(content, answer, slugs) -> Ranking | None:
    """Dogs with a ruling take no part; those without a place stand last, in no order."""
    dogs = ClassContent.read(content).by_id
    order = [dog for dog in answer.get("order", ()) if dog in dogs]
    ruled = set(answer.get("rulings", ()))
    rest = [dog for dog in dogs if dog not in order and dog not in ruled]
    rows = [[dogs[dog].levels.get(slug) for slug in slugs] for dog in order + rest]
    if any(level is None for row in rows for level in row) or len(rows) < 2:
        return None
    return Ranking(np.array(rows, dtype=float), placed=len(order))


def estimated(user, module_id: int, priorities: list[Priority]) -> tuple[int, dict]:
    """How many choices there are, and [share, low, high] by priority; nothing while they are too few."""
    slugs = [one.slug for one in priorities]
    placed = rankings(user, module_id, slugs)
    choices = sum(one.choices for one in placed)
    if len(slugs) < 2 or not enough(placed):
        return choices, {}
    toward = typical([one.weight for one in priorities])
    try:
        parts = shares(fit(placed, toward=toward.tolist(), strength=HELD))
    except (NoMaximum, ValueError):
        return choices, {}
    return choices, {
        slug: [round(part.share, 1), round(part.low, 1), round(part.high, 1)]
        for slug, part in zip(slugs, parts, strict=True)
    }


def beside(row: Rewarded | None, priorities: list[Priority]) -> list[Beside]:
    """The person's shares beside the mentor's, in rank order; empty while there is too little to tell."""
    if row is None or set(row.parts) != {one.slug for one in priorities}:
        return []
    total = sum(one.weight for one in priorities)
    return [
        Beside(one, 100 * one.weight / total, Share(*row.parts[one.slug]))
        for one in priorities
    ]


def farthest(rows: list[Beside]) -> Beside | None:
    """The priority on which the person departs most, of those that depart at all."""
    departing = [one for one in rows if one.departs]
    return max(departing, key=lambda one: abs(one.own.share - one.mentor), default=None)
