"""The mentor's pages on people: everybody's tries, one try, releasing, and what one person gets beyond the others."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from quizzes.assessments import tries
from quizzes.assessments.bar import clock_of
from quizzes.assessments.desk import GET_POST, mine, posted
from quizzes.assessments.figures import figures_of
from quizzes.assessments.forms import AllowanceForm
from quizzes.assessments.results import results_of
from quizzes.assessments.views import late_answers, said_of
from quizzes.models import AssessmentTry, LateAnswer
from quizzes.views import page_of


@require_safe
def all_tries(request, pk):
    """Everybody's tries with what they came to, and what each item came to."""
    found = mine(request, pk)
    tries.close_due(timezone.now())
    rows = found.all_tries.select_related("person").order_by("-started_at", "-pk")
    page = page_of(request, rows)
    results = results_of(list(page))
    shown = [
        {"try": one, **said_of(found, None if one.is_open else results[one.pk])}
        for one in page
    ]
    waiting = found.all_tries.filter(handed_in_at__isnull=False, released_at=None)
    context = {
        "assessment": found,
        "page": page,
        "rows": shown,
        "figures": figures_of(found),
        "waiting": waiting.count(),
    }
    return render(request, "quizzes/assessments/all_tries.html", context)


@require_POST
def release_all(request, pk):
    """Show everybody who has handed in their results."""
    found = mine(request, pk)
    n = tries.release_all(found, now=timezone.now(), address=request.build_absolute_uri)
    text = ngettext("One try is released.", "%(n)s tries are released.", n)
    messages.success(request, text % {"n": n})
    return redirect("quizzes:assessment-tries", pk=pk)


def taught_try(request, pk) -> AssessmentTry:
    found = AssessmentTry.objects.taught_by(request.user).select_related(
        "person", "assessment__module__breed", "assessment__module__club"
    )
    return get_object_or_404(found, pk=pk)


@require_safe
def one_try(request, pk):
    """One person's try: each item, what arrived late, and whether they see the results."""
    found, now = taught_try(request, pk), timezone.now()
    if found.is_open:
        tries.close_if_due(found, now=now)
        found = taught_try(request, pk)
    result = results_of([found])[found.pk]
    context = {
        "try": found,
        "assessment": found.assessment,
        "late": list(late_answers(found)),
        "clock": clock_of(found, now) if found.is_open else None,
        "grace_saves": [
            one
            for one in result.items
            if found.deadline and one.saved_at and one.saved_at > found.deadline
        ],
        **said_of(found.assessment, result),
    }
    return render(request, "quizzes/assessments/one_try.html", context)


@require_POST
def release(request, pk):
    """Show the person the results of one try."""
    found = tries.release(
        taught_try(request, pk),
        now=timezone.now(),
        address=request.build_absolute_uri,
    )
    if found.released_at:
        messages.success(request, _("Released."))
    return redirect("quizzes:assessment-try", pk=pk)


@require_POST
def count_late(request, pk, attempt):
    """Let what arrived late count in the place of what stood."""
    found = taught_try(request, pk)
    late = LateAnswer.objects.filter(attempt__assessment_try=found)
    late = get_object_or_404(late.select_related("attempt"), attempt=attempt)
    try:
        tries.count_late(late, now=timezone.now())
        messages.success(request, _("The late answer counts now."))
    except ValidationError as error:
        messages.error(request, error.messages[0])
    return redirect("quizzes:assessment-try", pk=pk)


@require_http_methods(GET_POST)
def people(request, pk):
    """What single people get beyond the others: minutes and tries."""
    found = mine(request, pk)
    form = AllowanceForm(posted(request), club=found.module.club_id)
    if form.is_valid():
        given = form.cleaned_data
        tries.allow(
            found, given["person"], minutes=given["minutes"], tries=given["tries"]
        )
        messages.success(request, _("Saved. It holds for a try that is open too."))
        return redirect("quizzes:assessment-people", pk=pk)
    context = {
        "assessment": found,
        "form": form,
        "allowances": found.allowances.select_related("person").order_by(
            "person__name", "pk"
        ),
    }
    status = 422 if form.is_bound else 200
    return render(request, "quizzes/assessments/people.html", context, status=status)
