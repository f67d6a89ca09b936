"""Everybody's attempts at a class: how often each dog was put in each place, pair by pair."""

from __future__ import annotations

from collections import Counter

from django.shortcuts import render

from quizzes.kinds.placing.board import Ruling
from quizzes.kinds.placing.content import ClassContent, ClassKey
from quizzes.kinds.placing.places import ordinal
from quizzes.models import Attempt

MOST_COUNTED = 1000
"""Attempts looked at one by one; the order table, from tallies, has all."""


def order_table(revision) -> dict:
    """Dogs in the key's order against places and rulings, from the running tallies."""
    content, key = ClassContent.read(revision.content), ClassKey.read(revision.key)
    counts = {(t.item, t.value): t.count for t in revision.tallies.all()}
    places = key.places()
    ruled = [ruling for ruling in Ruling if any(v == ruling for _dog, v in counts)]
    columns = range(1, (content.places or len(content)) + 1)
    by_id = content.by_id
    dogs = [*key.order, *(dog for dog in by_id if dog not in key.order)]
    shared = Counter(places.values())
    return {
        "places": [ordinal(place) for place in columns],
        "rulings": ruled,
        "rows": [
            {
                "armband": by_id[dog].armband,
                "cells": [
                    {
                        "count": counts.get((dog, str(place)), 0),
                        "is_key": dog in places
                        and places[dog] <= place < places[dog] + shared[places[dog]],
                        "place": ordinal(place),
                    }
                    for place in columns
                ],
                "rulings": [
                    {
                        "count": counts.get((dog, ruling.value), 0),
                        "is_key": key.rulings.get(dog, {}).get("ruling") == ruling,
                        "place": ruling.label,
                    }
                    for ruling in ruled
                ],
            }
            for dog in dogs
        ],
    }


def mean_pairs(revision) -> dict | None:
    """Pairs as the mentor has them on average, of the class's own number; None if undefined."""
    if revision.mean_share is None:
        return None
    content, key = ClassContent.read(revision.content), ClassKey.read(revision.key)
    pairs = key.for_grading(content).separated
    return {"mean": revision.mean_share * pairs, "of": pairs, "random": pairs / 2}


def neighbour_pairs(revision) -> list[dict]:
    """Of each two neighbours of the key, how often the lower was put above the upper.

    A dog without a place stands below those that have one, as in grading; an attempt that
    places neither says nothing. The latest attempts are counted, `MOST_COUNTED` at most.
    """
    content, key = ClassContent.read(revision.content), ClassKey.read(revision.key)
    by_id = content.by_id
    handed_in = Attempt.objects.filter(revision=revision, preview=False, withheld=False)
    answers = handed_in.for_list().values_list("answer", flat=True)[:MOST_COUNTED]
    orders = [answer.get("order", ()) for answer in answers]
    rows = []
    for gap, (upper, lower) in enumerate(key.neighbours):
        first = Counter(_higher(order, upper, lower) for order in orders)
        rows.append(
            {
                "upper": by_id[upper].armband,
                "lower": by_id[lower].armband,
                "level": gap in key.level,
                "same": first[upper],
                "other": first[lower],
                "of": first[upper] + first[lower],
            }
        )
    return rows


def _higher(order: list[str], one: str, other: str) -> str | None:
    return next((dog for dog in order if dog in (one, other)), None)


def room_page(request, revision, attempts):
    """The order table, the neighbours of the key, and the list of attempts, newest first."""
    context = {
        "revision": revision,
        "table": order_table(revision),
        "average": mean_pairs(revision),
        "neighbours": neighbour_pairs(revision),
        "most_counted": MOST_COUNTED,
        "attempts": attempts,
    }
    return render(request, "quizzes/placing/room.html", context)
