"""The page of what to come back to."""

from __future__ import annotations

from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from quizzes.review import telling
from trainer.clubs.models import reached_by


@require_safe
def review(request):
    """What is due, and what the person's placings reward beside what the mentor does."""
    now = timezone.now()
    due = telling.what_is_due(request.user, now)
    context = {
        "due": due,
        "next_due": None if due else telling.next_due(request.user, now),
        "told": telling.what_is_rewarded(request.user),
        "belongs": bool(reached_by(request.user)),
    }
    return render(request, "quizzes/review/review.html", context)
