"""Pages that belong to no app."""

import logging

from django.contrib.auth.decorators import login_not_required
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from quizzes.start import start_page
from trainer.accounts.events import record
from trainer.seminars.coming import coming

# Seconds; the longest time over which the limits on signing in count.
RETRY_AFTER = 300


@login_not_required
@require_safe
def home(request):
    """What the site is, for visitors; what to do next, for people who are signed in."""
    if not request.user.is_authenticated:
        return render(request, "welcome.html")
    context = start_page(request.user)
    return render(request, "start.html", {**context, "seminars": coming(request.user)})


@login_not_required
@require_safe
def health(request):
    """Answers "ok" without reading anything, for a proxy that asks whether the process lives."""
    return HttpResponse("ok", content_type="text/plain")


def too_many(request):
    """What the library answers when a rate limit is reached: come back later."""
    record("limit reached", request, request.user, logging.WARNING)
    response = render(request, "429.html", status=429)
    response["Retry-After"] = str(RETRY_AFTER)
    return response
