"""What is recorded instead of a place: the trainee's pages for it."""

from __future__ import annotations

from django.http import Http404
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from quizzes import attempts
from quizzes.kinds.placing.board import Ruling
from quizzes.kinds.placing.forms import RulingForm, WithholdForm, faults_named
from quizzes.kinds.placing.ring import Ring, open_attempt, stands


def changed(request, attempt, change, anchor):
    """Store a ruling and go back to the class; to the result if that was handed in meanwhile."""
    try:
        attempts.change_draft(attempt, change, now=timezone.now())
    except attempts.HandedInAlready:
        return redirect("quizzes:attempt-result", pk=attempt.pk)
    back = reverse("quizzes:attempt-answer", args=[attempt.pk], fragment=anchor)
    return redirect(back)


@require_http_methods(["GET", "POST"])
def ruling(request, pk, dog):
    """The ruling chooser for one dog."""
    attempt = open_attempt(request, pk)
    if attempt.is_handed_in:
        return redirect("quizzes:attempt-result", pk=pk)
    card = Ring(attempt).by_id.get(dog)
    if card is None:
        raise Http404
    initial = {"ruling": card.ruling, "reason": card.reason}
    form = RulingForm(request.POST or None, initial=initial)
    if request.method == "POST" and form.is_valid():
        entry = form.cleaned_data

        def record(fresh):
            return stands(fresh).rule(dog, entry["ruling"], entry["reason"]).answer()

        return changed(request, attempt, record, f"dog-{dog}")
    context = {
        "attempt": attempt,
        "revision": attempt.revision,
        "card": card,
        "form": form,
        "faults": faults_named(attempt.revision.module_revision_id),
        "rows": [
            {"value": one.value, "label": one.label, "note": one.meaning}
            for one in Ruling
        ],
    }
    status = 422 if form.is_bound else 200
    return render(request, "quizzes/placing/ruling.html", context, status=status)


@require_http_methods(["GET", "POST"])
def rulings(request, pk):
    """Which dog gets a ruling instead of a place; or no award for any that is left."""
    attempt = open_attempt(request, pk)
    if attempt.is_handed_in:
        return redirect("quizzes:attempt-result", pk=pk)
    form = WithholdForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        reason = form.cleaned_data["reason"]

        def withhold(fresh):
            return stands(fresh).withhold_rest(reason).answer()

        return changed(request, attempt, withhold, "board")
    context = {
        "attempt": attempt,
        "revision": attempt.revision,
        "ring": Ring(attempt),
        "form": form,
        "faults": faults_named(attempt.revision.module_revision_id),
    }
    status = 422 if form.is_bound else 200
    return render(request, "quizzes/placing/rulings.html", context, status=status)
