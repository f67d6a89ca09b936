"""Everybody's attempts at one exercise of pairs."""

from __future__ import annotations

from statistics import quantiles

from django.db.models import F
from django.shortcuts import render

from quizzes.drawing.amounts import amount
from quizzes.kinds.two.content import PairsContent
from quizzes.models import Grade

TAKEN = 200
ENOUGH = 4


def room_page(request, revision, attempts):
    """The latest figures of all together, and the list of attempts, newest first."""
    content = PairsContent.read(revision.content)
    grades = Grade.objects.filter(
        revision=revision,
        attempt__revision=F("revision"),
        attempt__preview=False,
        attempt__withheld=False,
    )
    latest = list(
        grades.order_by("-pk").values_list("pairs_agreed", "result__short")[:TAKEN]
    )
    found = [value for value, short in latest if short["how"] != "none"]
    quarters = quantiles(found, n=4) if len(found) >= ENOUGH else None
    context = {
        "revision": revision,
        "attempts": attempts,
        "content": content,
        "figures": [amount(one, content.unit) for one in quarters] if quarters else [],
        "told": len(found),
    }
    return render(request, "quizzes/two/room.html", context)
