"""The mentor's preview of an assessment: what a trainee reads and is asked, with nothing begun and nothing counted."""

from __future__ import annotations

import random

from django.contrib import messages
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from quizzes import attempts
from quizzes.assessments import making
from quizzes.assessments.desk import mine
from quizzes.assessments.items import items_of, rules_said
from quizzes.models import AssessmentItem
from quizzes.models.assessed import GRACE
from quizzes.panels.blind import key_asked_for
from quizzes.words import duration


@require_safe
def preview(request, pk):
    """What stands before the beginning, and the items as a try lists them."""
    found = mine(request, pk)
    items = items_of(found)
    context = {
        "assessment": found,
        "items": items,
        "rules": rules_said(one.kind for one in items),
        "minutes": found.minutes,
        "in_all": found.tries,
        "grace": duration(int(GRACE.total_seconds())),
    }
    return render(request, "quizzes/assessments/preview.html", context)


@require_POST
def item(request, pk, item):
    """One item as a trainee meets it; what is handed in there counts nowhere."""
    found = mine(request, pk)
    items = AssessmentItem.objects.exclude(exercise=None)
    revision = making.published(get_object_or_404(items, pk=item, assessment=found))
    if revision is None:
        raise Http404
    if key_asked_for(revision.exercise_id, request.user):
        text = _("A panel asks you for a key to it, so you see no other yet.")
        messages.error(request, text)
        return redirect("quizzes:assessment-preview", pk=pk)
    begun = attempts.begin(
        revision,
        by=request.user,
        now=timezone.now(),
        rng=random.SystemRandom(),
        preview=True,
    )
    return redirect("quizzes:attempt-answer", pk=begun.pk)
