"""The mentor's pages that all kinds of exercise share."""

import random

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import Prefetch
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from quizzes import attempts, exercises
from quizzes.kinds import REGISTERED, kind_named, kind_of
from quizzes.models import Exercise, PanelKey, Revision
from quizzes.panels.blind import unless_asked
from quizzes.revising import differences
from quizzes.views import page_of
from trainer.study.models import Module

OFFERED_SHOWN = 12


class PublishForm(forms.Form):
    regrade = forms.BooleanField(
        label=gettext_lazy("Grade earlier attempts under this key too"),
        required=False,
        help_text=gettext_lazy(
            "Their first grade stays; the new one stands beside it."
        ),
    )


@require_safe
def workshop(request):
    """The exercises of the clubs the person teaches in, with their draft and what is in force."""
    mine = Exercise.objects.editable_by(request.user)
    states = Revision.objects.defer("content", "key").order_by("-number")
    context = {
        "page": page_of(
            request,
            mine.select_related("module__breed", "club")
            .prefetch_related(Prefetch("revisions", states))
            .order_by("-pk"),
        ),
        "can_begin": Module.objects.editable_by(request.user).in_force().exists(),
        "asked": PanelKey.objects.asked_of(request.user).for_list(),
        "offered": Revision.objects.offered_to(request.user).for_list()[:OFFERED_SHOWN],
    }
    return render(request, "quizzes/workshop.html", context)


@require_safe
def exercise_new(request):
    """The kinds of exercise that a mentor can make, and what each is for."""
    context = {"kinds": [kind_named(slug) for slug in REGISTERED]}
    return render(request, "quizzes/exercise_new.html", context)


def latest_revision(request, pk):
    """The draft if there is one, else the revision in force."""
    mine = Revision.objects.editable_by(request.user).filter(exercise=pk)
    found = mine.select_related(
        "exercise__module__breed", "exercise__club", "edited_by", "offered_by"
    ).first()
    return found or get_object_or_404(mine, exercise=pk)


@require_safe
@unless_asked
def exercise_manage(request, pk):
    """One exercise of a mentor: what is to mend, what is in force, its revisions."""
    revision = latest_revision(request, pk)
    revisions = list(
        Revision.objects.editable_by(request.user)
        .filter(exercise=pk)
        .defer("content", "key")
    )
    in_force = next((r for r in revisions if r.state == Revision.State.PUBLISHED), None)
    kind = kind_of(revision)
    context = {
        "revision": revision,
        "revisions": revisions,
        "in_force": in_force,
        "is_draft": revision.state == Revision.State.DRAFT,
        "may_publish": exercises.who_may_publish(revision, request.user),
        "words": kind.words,
        "parts": kind.parts(pk, revision.size),
        "attempts_note": f"quizzes/{kind.slug}/_attempts_note.html",
        "problems": kind.problems(revision.content, revision.key),
        "differences": differences_of(revision, in_force),
        "form": PublishForm(),
        "earlier_attempts": bool(kind.items(revision.content))
        and sum(r.handed_in for r in revisions),
    }
    return render(request, "quizzes/exercise_manage.html", context)


def differences_of(revision, in_force) -> list[str]:
    """What publishing the draft would change; nothing to say for a first revision."""
    if not in_force or in_force.pk == revision.pk:
        return []
    return differences(Revision.objects.get(pk=in_force.pk), revision)


@require_http_methods(["GET", "HEAD", "POST"])
@unless_asked
def discard(request, pk):
    """Ask whether the draft is to go, then let it go."""
    drafts = Revision.objects.editable_by(request.user).filter(
        exercise=pk, state=Revision.State.DRAFT
    )
    draft = get_object_or_404(
        drafts.select_related("exercise__module__breed", "exercise__club"), exercise=pk
    )
    others = Revision.objects.filter(exercise=pk).exclude(pk=draft.pk)
    in_force = others.in_force().only("number").first()
    if request.method != "POST":
        context = {
            "revision": draft,
            "in_force": in_force,
            "differences": differences_of(draft, in_force),
        }
        return render(request, "quizzes/draft_discard.html", context)
    try:
        exercises.discard(draft)
    except ValidationError as refusal:
        messages.error(request, refusal.messages[0])
        return redirect("quizzes:exercise-manage", pk=pk)
    messages.success(request, _("The draft of %(title)s is gone.") % {"title": draft})
    if in_force:
        return redirect("quizzes:exercise-manage", pk=pk)
    return redirect("quizzes:workshop")


@require_POST
@unless_asked
def preview(request, pk):
    """The class exactly as a trainee meets it; what is handed in there counts nowhere."""
    revision = latest_revision(request, pk)
    problems = kind_of(revision).problems(revision.content, revision.key)
    if problems:
        messages.error(
            request, _("Mend what is listed here first, then try the class.")
        )
        return redirect("quizzes:exercise-manage", pk=pk)
    attempt = attempts.begin(
        revision,
        by=request.user,
        now=timezone.now(),
        rng=random.SystemRandom(),
        preview=True,
    )
    return redirect("quizzes:attempt-answer", pk=attempt.pk)


@require_POST
def publish(request, pk):
    """Put the draft in force."""
    revision = latest_revision(request, pk)
    form = PublishForm(request.POST)
    regrade = form.is_valid() and form.cleaned_data["regrade"]
    try:
        published = exercises.publish(
            revision, now=timezone.now(), regrade=regrade, by=request.user
        )
        messages.success(request, _("Published. Trainees see it from now on."))
        if regrade:
            messages.success(request, _graded_again(published.graded_again))
    except ValidationError as refusal:
        mend = _("Mend what is listed here first, then publish.")
        is_listed = getattr(refusal, "code", "") not in ("module", "second-mentor")
        messages.error(request, mend if is_listed else refusal.messages[0])
    return redirect("quizzes:exercise-manage", pk=pk)


def _graded_again(n: int) -> str:
    if not n:
        return _("No earlier attempt is at the same dogs, so none was graded again.")
    text = ngettext(
        "One earlier attempt was graded again under this key; its first grade stays.",
        "%(n)s earlier attempts were graded again under this key; their first grades stay.",
        n,
    )
    return text % {"n": n}


@require_safe
@unless_asked
def room(request, pk):
    """All attempts at the revision in force, or at an earlier one by `?revision=`."""
    mine = Revision.objects.editable_by(request.user).filter(exercise=pk)
    mine = mine.exclude(state=Revision.State.DRAFT).select_related(
        "exercise__module__breed", "exercise__club"
    )
    number = request.GET.get("revision", "")
    if number.isdecimal():
        mine = mine.filter(number=int(number))
    revision = mine.first() or get_object_or_404(mine, exercise=pk)
    handed_in = (
        revision.attempts.filter(preview=False, withheld=False)
        .for_list()
        .select_related("trainee")
    )
    return kind_of(revision).room_page(request, revision, page_of(request, handed_in))
