"""Everybody's attempts at one sheet: what was answered how often, row by row."""

from __future__ import annotations

from collections import defaultdict

from django.shortcuts import render

from quizzes.kinds import kind_of


def room_page(request, revision, attempts):
    """The counts come from the running tallies, so no page ever walks over attempts."""
    kind = kind_of(revision)
    counts = defaultdict(dict)
    for tally in revision.tallies.all():
        counts[tally.item][tally.value] = tally.count
    sheet, key = kind.sheet(revision.content), kind.key(revision.key)
    rows = [
        {
            "number": n,
            "named": kind.named(row),
            "answers": kind.put_together(row, kind.known_of(key, row), counts[row.id]),
        }
        for n, row in enumerate(sheet, start=1)
    ]
    context = {"revision": revision, "attempts": attempts, "rows": rows, "kind": kind}
    return render(request, "quizzes/sheets/room.html", context)
