"""Everybody's attempts at a class: how often each dog was put in each place, pair by pair."""

from __future__ import annotations

from django.shortcuts import render

from quizzes.kinds.placing.board import Ruling
from quizzes.kinds.placing.content import ClassContent, ClassKey
from quizzes.kinds.placing.places import ordinal


def order_table(revision) -> dict:
    """Dogs in the key's order against places and rulings, from the running tallies."""
    content, key = ClassContent.read(revision.content), ClassKey.read(revision.key)
    counts = {(t.item, t.value): t.count for t in revision.tallies.all()}
    places = key.places()
    ruled = [ruling for ruling in Ruling if any(v == ruling for _dog, v in counts)]
    columns = range(1, (content.places or len(content)) + 1)
    by_id = content.by_id
    dogs = [*key.order, *(dog for dog in by_id if dog not in key.order)]
    mean = revision.mean_share
    return {
        "mean_in_ten": None if mean is None else f"{mean * 10:.1f}",
        "places": [ordinal(place) for place in columns],
        "rulings": ruled,
        "rows": [
            {
                "armband": by_id[dog].armband,
                "cells": [
                    {
                        "count": counts.get((dog, str(place)), 0),
                        "is_key": places.get(dog) == place,
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


def room_page(request, revision, attempts):
    """The order table and the list of attempts, newest first."""
    context = {
        "revision": revision,
        "table": order_table(revision),
        "attempts": attempts,
    }
    return render(request, "quizzes/placing/room.html", context)
