"""What each item of an assessment came to over all tries that were handed in: two queries, however many tries."""

from __future__ import annotations

from math import floor

from django.db.models import Avg, Count, F, Max, Min, Q

from quizzes.assessments.items import Listed, items_of
from quizzes.assessments.results import EPSILON
from quizzes.models import Attempt, Grade


def figures_of(assessment) -> list[dict]:
    """For each item: how many handed it in, how many of them whole or in part, and their shares."""
    handed_in = Attempt.objects.filter(
        assessment_try__assessment=assessment,
        assessment_try__handed_in_at__isnull=False,
    )
    answered = dict(
        handed_in.order_by().values_list("assessment_item").annotate(n=Count("pk"))
    )
    own = Grade.objects.filter(attempt__in=handed_in, revision=F("attempt__revision"))
    shares = {
        row["attempt__assessment_item"]: row
        for row in own.order_by()
        .values("attempt__assessment_item")
        .annotate(
            graded=Count("pk", filter=Q(share__isnull=False)),
            mean=Avg("share"),
            low=Min("share"),
            high=Max("share"),
        )
    }
    return [
        _figure(item, answered.get(item.item.pk, 0), shares.get(item.item.pk))
        for item in items_of(assessment)
    ]


def _figure(item: Listed, n: int, row: dict | None) -> dict:
    found = {"item": item, "n": n, "graded": row["graded"] if row else 0}
    for name in ("mean", "low", "high"):
        share = row and row[name]
        found[name] = None if share is None else floor(100 * share + EPSILON)
    return found
