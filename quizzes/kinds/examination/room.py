"""Everybody's attempts at one examination from memory, from the running tallies."""

from __future__ import annotations

from collections import defaultdict

from django.shortcuts import render

from quizzes.kinds.examination.content import (
    FIND,
    GAP,
    ORDER,
    SENSE,
    ExamContent,
    ExamKey,
)
from quizzes.kinds.placing.places import ordinal
from trainer.study.models import Step


def room_page(request, revision, attempts):
    """Step by step: where it was put, by eye or hand, and what was said to be found."""
    content, key = ExamContent.read(revision.content), ExamKey.read(revision.key)
    counts = defaultdict(dict)
    for tally in revision.tallies.all():
        counts[tally.item][tally.value] = tally.count
    context = {
        "revision": revision,
        "attempts": attempts,
        "asked": content.asked,
        "rows": [
            _row(content, key, counts, step, n)
            for n, step in enumerate(key.order, start=1)
        ],
        "gap": _answers(counts[GAP], content.names, key.gap)
        if GAP in content.asked
        else (),
    }
    return render(request, "quizzes/examination/room.html", context)


def _row(content, key, counts, step, n) -> dict:
    placed = {int(place): count for place, count in counts[f"{ORDER}-{step}"].items()}
    senses = {sense: str(label) for sense, label in Step.Sense.choices}
    known = key.of(step)
    return {
        "name": content.names.get(step, ""),
        "place": ordinal(n),
        "left_out": 0,
        "placed": sum(placed.values()),
        "there": placed.get(n, 0),
        "mean": _mean(placed),
        "senses": _answers(counts[f"{SENSE}-{step}"], senses, known.sense),
        "finds": _answers(counts[f"{FIND}-{step}"], content.finds, known.find),
    }


def _mean(placed) -> str:
    """The mean place to one decimal; empty where nobody gave it one."""
    n = sum(placed.values())
    return (
        f"{sum(place * count for place, count in placed.items()) / n:.1f}" if n else ""
    )


def _answers(counted, words, right) -> list[dict]:
    often = sorted(counted.items(), key=lambda one: -one[1])
    return [
        {"said": words.get(value, value), "count": count, "right": value == right}
        for value, count in often
    ]
