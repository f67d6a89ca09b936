"""Pages that belong to no app."""

from django.contrib.auth.decorators import login_not_required
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from quizzes.start import start_page


@login_not_required
@require_safe
def home(request):
    """What the site is, for visitors; what to do next, for people who are signed in."""
    if not request.user.is_authenticated:
        return render(request, "welcome.html")
    return render(request, "start.html", start_page(request.user))


@login_not_required
@require_safe
def health(request):
    """Answers "ok" without reading anything, for a proxy that asks whether the process lives."""
    return HttpResponse("ok", content_type="text/plain")
