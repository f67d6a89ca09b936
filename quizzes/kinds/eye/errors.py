"""How far each estimate of an answer lies from the truth, as a grade keeps it, and all of a person's together."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from django.db.models import F

from quizzes.kinds.eye.truth import truth_of
from quizzes.models import Attempt, Grade

MOST_ATTEMPTS = 200


def estimates(kind, content: Mapping, key: Mapping, answer: Mapping) -> list[dict]:
    """What was estimated as a number, with the truth; landmarks are left out."""
    known = kind.key(key)
    found = []
    for row in kind.sheet(content):
        said = answer["items"].get(row.id)
        truth = truth_of(row, kind.known_of(known, row))
        is_true = truth.value(row.measure) if row.measure else None
        if said is not None and is_true is not None:
            figures = {"said": said, "true": round(is_true, 1)}
            found.append({"row": row.id, "measure": row.measure, **figures})
    return found


@dataclass(frozen=True)
class Error:
    """One estimate of a person, long ago or just now."""

    attempt: int
    when: object
    said: float
    true: float

    @property
    def off(self) -> float:
        return round(self.said - self.true, 1)


def errors_of(attempt, reader) -> dict[str, list[Error]]:
    """All estimates of the attempt's trainee that the reader may see, by measurement, the earliest first; one query.

    A mentor sees those made in their own clubs. A trial is told by itself.
    """
    mine = Attempt.objects.filter(pk=attempt.pk)
    if not attempt.preview:
        visible = Attempt.objects.visible_to(reader).told_to(reader)
        theirs = {"trainee": attempt.trainee_id, "preview": False, "withheld": False}
        mine = visible.filter(**theirs)
    grades = Grade.objects.filter(
        attempt__in=mine.values("pk"),
        attempt__revision__exercise__kind="eye",
        revision=F("attempt__revision"),
    ).order_by("-attempt__handed_in_at", "-attempt__pk")
    rows = grades.values_list("attempt", "attempt__handed_in_at", "result__estimates")[
        :MOST_ATTEMPTS
    ]
    found = defaultdict(list)
    for pk, when, given in reversed(rows):
        for one in given or ():
            found[one["measure"]].append(Error(pk, when, one["said"], one["true"]))
    return found
