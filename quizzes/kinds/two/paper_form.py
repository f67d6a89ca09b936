"""Pairs on paper: a fixed ladder of differences, since no sheet can follow the answers as the screen does."""

from __future__ import annotations

from random import Random

from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from quizzes.drawing.amounts import amount
from quizzes.kinds.placing.builder import draft_to_edit
from quizzes.kinds.two.content import PairsContent
from quizzes.kinds.two.drawable import said
from quizzes.kinds.two.making import Pair, pair

RUNGS = 8
SEED = "on paper"


def ladder(content: PairsContent) -> list[Pair]:
    """Pairs from the largest difference to the smallest, each by the same part less, in an order of no meaning."""
    part = (content.smallest / content.largest) ** (1 / (RUNGS - 1))
    wanted = [content.largest * part**at for at in range(RUNGS)]
    Random(SEED).shuffle(wanted)
    return [pair(content, SEED, n, one) for n, one in enumerate(wanted, start=1)]


@require_safe
def two_print(request, pk):
    """The pairs with boxes to tick, and the key on a page of its own."""
    draft = draft_to_edit(request, pk, "two")
    content = PairsContent.read(draft.content)
    rungs = [
        {
            "better": one.better,
            "apart": amount(one.difference, content.unit),
            "plates": [
                reverse("quizzes:two-example", args=[pk, f"rung-{n}", side])
                for side in (0, 1)
            ],
        }
        for n, one in enumerate(ladder(content) if content.parts else [], start=1)
    ]
    context = {"revision": draft, "rungs": rungs}
    if rungs:
        context["asked"] = said(content)
    return render(request, "quizzes/two/print.html", context)
