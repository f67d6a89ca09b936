"""Everybody's attempts at one critique."""

from __future__ import annotations

from django.shortcuts import render

from quizzes.kinds.critique.content import CritiqueContent


def room_page(request, revision, attempts):
    """How often each row of the checklist was ticked, and the list of attempts, newest first."""
    content = CritiqueContent.read(revision.content)
    counts = {tally.item: tally.count for tally in revision.tallies.all()}
    context = {
        "revision": revision,
        "attempts": attempts,
        "checklist": [
            (row, counts.get(f"check-{at}", 0))
            for at, row in enumerate(content.checklist)
        ],
    }
    return render(request, "quizzes/critique/room.html", context)
