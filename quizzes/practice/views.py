"""The trainee's pages: another class, and the same class again, mirrored."""

from __future__ import annotations

import random

from allauth.decorators import rate_limit
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from quizzes.kinds.placing.kind import KIND
from quizzes.models import Attempt
from quizzes.practice import services
from quizzes.practice.forms import AnotherClassForm
from quizzes.start import begun_row
from trainer.study import reading


@require_http_methods(["GET", "POST"])
@rate_limit(action="another_class")
def another_class(request):
    """Make a class for the person and open it; the form says what it shall be like."""
    posted = request.POST if request.method == "POST" else None
    form = AnotherClassForm(posted, user=request.user, initial=_initial(request))
    if posted is not None and form.is_valid():
        wanted = form.cleaned_data
        document = reading.document(request.user, wanted.pop("module").pk)
        try:
            attempt = services.another_class(
                document,
                by=request.user,
                now=timezone.now(),
                rng=random.SystemRandom(),
                **wanted,
            )
        except ValidationError as error:
            form.add_error(None, error)
        else:
            return redirect("quizzes:attempt-answer", pk=attempt.pk)
    begun = services.unfinished(request.user)
    context = {"form": form, "unfinished": [begun_row(attempt) for attempt in begun]}
    status = 422 if form.is_bound else 200
    return render(
        request, "quizzes/practice/another_class.html", context, status=status
    )


def _initial(request) -> dict:
    """What the address wishes for; nonsense is left to the form."""
    names = ("module", "size", "sex", "difficulty")
    return {name: request.GET[name] for name in names if name in request.GET}


@require_POST
@rate_limit(action="another_class")
def twin(request, pk):
    """The class of one's own attempt again, mirrored."""
    mine = Attempt.objects.owned_by(request.user).select_related(
        "revision__exercise__module__breed", "revision__module_revision"
    )
    placed = mine.filter(
        state=Attempt.State.HANDED_IN, revision__exercise__kind=KIND.slug
    )
    attempt = get_object_or_404(placed.told_to(request.user), pk=pk)
    try:
        made = services.twin_of(
            attempt, by=request.user, now=timezone.now(), rng=random.SystemRandom()
        )
    except ValidationError as error:
        messages.error(request, error.messages[0])
        return redirect("quizzes:attempt-result", pk=pk)
    if made is None:
        raise Http404
    return redirect("quizzes:attempt-answer", pk=made.pk)


@require_POST
def drop(request, pk):
    """Delete a class that was made for the person and is not handed in."""
    mine = Attempt.objects.owned_by(request.user).practice()
    begun = mine.filter(state=Attempt.State.OPEN).select_related("revision__exercise")
    services.drop(get_object_or_404(begun, pk=pk))
    messages.success(request, _("The class is deleted."))
    return redirect("quizzes:exercise-list")
