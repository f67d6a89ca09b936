"""The trainee's pages: which assessments there are, what awaits, the try, its results."""

from __future__ import annotations

import random

from allauth.decorators import rate_limit
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import Count, Prefetch, Q
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
from quizzes.assessments.items import items_of, rules_said
from quizzes.assessments.results import results_of
from quizzes.kinds import kind_of
from quizzes.models import Assessment, AssessmentTry, Attempt
from quizzes.models.assessed import GRACE
from quizzes.views import page_of
from quizzes.words import duration
from trainer.clubs.models import reached_by


def listed(user, now, assessments):
    """Those that can be begun, and those that the person has begun, with their own tries and number of items."""
    own = AssessmentTry.objects.owned_by(user).order_by("number")
    mine = Q(pk__in=own.order_by().values("assessment"))
    open_ones = Assessment.objects.open_now(now).values("pk")
    coming = Q(state=Assessment.State.OPEN, opens_at__gt=now)
    return (
        assessments.filter(Q(pk__in=open_ones) | coming | mine)
        .annotate(n=Count("items"))
        .select_related("module__breed")
        .prefetch_related(Prefetch("all_tries", own, to_attr="own_tries"))
        .order_by("-pk")
    )


@require_safe
def assessment_list(request):
    """Assessments of the person's clubs; of one module by `?module=`."""
    now = timezone.now()
    tries.close_due(now)
    visible = Assessment.objects.visible_to(request.user)
    module = request.GET.get("module", "")
    if module.isdecimal() and len(module) < 10:
        visible = visible.filter(module=int(module))
    page = page_of(request, listed(request.user, now, visible))
    for one in page:
        one.takes_now = one.takes(now)
        one.open_try = next((t for t in one.own_tries if t.is_open), None)
    context = {"page": page, "belongs": bool(reached_by(request.user))}
    return render(request, "quizzes/assessments/list.html", context)


@require_safe
def assessment(request, pk):
    """Before it is begun: what awaits, how long, how often; and one's own tries."""
    found = get_object_or_404(
        Assessment.objects.visible_to(request.user).select_related(
            "module__breed", "module__club"
        ),
        pk=pk,
    )
    now = timezone.now()
    tries.close_due(now)
    mine = list(AssessmentTry.objects.owned_by(request.user).filter(assessment=found))
    allowance = tries.allowance_of(found, request.user)
    items = items_of(found)
    context = {
        "assessment": found,
        "items": items,
        "rules": rules_said(one.kind for one in items),
        "minutes": tries.minutes_for(found, allowance),
        "allowance": allowance,
        "left": tries.tries_left(found, allowance, len(mine)),
        "in_all": found.tries + allowance.tries,
        "open_try": next((one for one in mine if one.is_open), None),
        "tries": rows_of(found, [one for one in mine if not one.is_open]),
        "takes": found.takes(now),
        "teaches": tries.teaches(request.user, found),
        "waits": found.opens_at and found.opens_at > now,
        "grace": duration(int(GRACE.total_seconds())),
    }
    return render(request, "quizzes/assessments/before.html", context)


def rows_of(found, handed_in) -> list[dict]:
    """Tries with what their results say; nothing of the results before they are released."""
    results = results_of([one for one in handed_in if one.released_at])
    return [
        {"try": one, **said_of(found, results.get(one.pk))}
        for one in sorted(handed_in, key=lambda one: one.number)
    ]


def said_of(found, result) -> dict:
    reached = result.reaches(found.pass_per_cent) if result else None
    return {"result": result, "reached": reached}


@require_POST
@rate_limit(action="another_class")
def begin(request, pk):
    """Begin a try; go on with the one that is open."""
    visible = Assessment.objects.visible_to(request.user).select_related("module")
    found, now = get_object_or_404(visible, pk=pk), timezone.now()
    tries.close_due(now)
    try:
        begun = tries.begin(found, by=request.user, now=now, rng=random.SystemRandom())
    except ValidationError as refusal:
        messages.error(request, refusal.messages[0])
        return redirect(found)
    return redirect(begun)


def own_try(request, pk) -> AssessmentTry:
    """The person's own try, closed if its time is over."""
    mine = AssessmentTry.objects.owned_by(request.user).select_related(
        "assessment__module__breed", "assessment__module__club"
    )
    found = get_object_or_404(mine, pk=pk)
    now = timezone.now()
    if found.is_open and not found.takes(now):
        tries.close_if_due(found, now=now)
        found.refresh_from_db()
    return found


@require_safe
def a_try(request, pk):
    """The items of an open try, with what is answered; what it came to once it is handed in."""
    found, now = own_try(request, pk), timezone.now()
    if not found.is_open:
        return _over(request, found)
    items = progress(found)
    context = {
        "try": found,
        "assessment": found.assessment,
        "items": items,
        "whole": sum(one["is_whole"] for one in items),
        "clock": clock_of(found, now),
        "grace": duration(int(GRACE.total_seconds())),
    }
    return render(request, "quizzes/assessments/try.html", context)


def progress(found) -> list[dict]:
    """Each item of an open try: whether it is answered in whole, in part, or not at all."""
    attempts = (
        Attempt.objects.filter(assessment_try=found)
        .select_related("revision__exercise")
        .defer("revision__key")
        .order_by("assessment_item__number", "assessment_item")
    )
    return [_progress(n, one) for n, one in enumerate(attempts, start=1)]


def _progress(number, attempt) -> dict:
    kind, revision = kind_of(attempt.revision), attempt.revision
    is_whole = attempt.is_handed_in or not kind.missing(
        revision.content, attempt.shown, attempt.answer
    )
    if attempt.is_handed_in:
        said = _("Handed in.")
    elif is_whole:
        said = _("Answered. You can still change it.")
    elif attempt.saved_at:
        said = _("Begun, not whole yet.")
    else:
        said = _("Not begun.")
    return {
        "number": number,
        "attempt": attempt,
        "title": revision.title,
        "counted": kind.counted % {"n": revision.size},
        "kind": kind,
        "said": said,
        "is_whole": is_whole,
    }


def _over(request, found):
    own = AssessmentTry.objects.owned_by(request.user)
    begun = own.filter(assessment=found.assessment).count()
    allowance = tries.allowance_of(found.assessment, request.user)
    results = results_of([found])[found.pk]
    context = {
        "try": found,
        "assessment": found.assessment,
        "late": list(late_answers(found)),
        "left": tries.tries_left(found.assessment, allowance, begun),
        "takes": found.assessment.takes(timezone.now()),
        "handed_in": results.items,
        **(said_of(found.assessment, results) if found.released_at else {}),
    }
    return render(request, "quizzes/assessments/result.html", context)


def late_answers(found):
    """What arrived after the try was closed: number of the item, when, and whether it counts."""
    late = Attempt.objects.filter(assessment_try=found, late_answer__isnull=False)
    return late.order_by("assessment_item__number").select_related(
        "late_answer", "revision"
    )


@require_http_methods(["GET", "HEAD", "POST"])
def hand_in(request, pk):
    """Ask whether the whole is to be handed in as it stands, then hand it in."""
    found = own_try(request, pk)
    if request.method == "POST":
        was_open = found.is_open
        tries.hand_in(found, now=timezone.now())
        if was_open:
            messages.success(request, _("Handed in."))
        return redirect(found)
    if not found.is_open:
        return redirect(found)
    items = progress(found)
    unfinished = [one for one in items if not one["is_whole"]]
    context = {
        "try": found,
        "assessment": found.assessment,
        "items": items,
        "unfinished": unfinished,
        "rules": rules_said(one["kind"] for one in unfinished),
        "said": _said(len(unfinished)),
        "clock": clock_of(found, timezone.now()),
    }
    return render(request, "quizzes/assessments/hand_in.html", context)


def _said(n: int) -> str:
    if not n:
        return _("Everything is answered.")
    text = ngettext("One exercise is not whole.", "%(n)s exercises are not whole.", n)
    return text % {"n": n}
