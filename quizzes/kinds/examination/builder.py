"""The mentor's pages of an examination from memory: begin one, say what is asked, print it."""

from __future__ import annotations

import random

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from quizzes import exercises
from quizzes.kinds.examination.content import ExamAnswer, ExamContent, ExamKey
from quizzes.kinds.examination.forms import ExaminationForm, StepForm, sent_documents
from quizzes.kinds.examination.kind import KIND
from quizzes.kinds.examination.player import asked_of
from quizzes.kinds.examination.result import gap
from quizzes.kinds.examination.taking import taken, taken_again
from quizzes.kinds.placing.builder import draft_to_edit, sent_version
from quizzes.kinds.sheets.forms import NewSheetForm
from quizzes.models import Revision
from trainer.study.models import Step


@require_http_methods(["GET", "POST"])
def examination_new(request):
    """Title and module; the sequence is taken from the module as it is in force."""
    form = NewSheetForm(request.POST or None, user=request.user)
    if request.method == "POST" and form.is_valid():
        draft = _begun(form, by=request.user)
        return redirect("quizzes:examination-parts", pk=draft.exercise_id)
    can_begin = form.fields["module"].queryset.exists()
    context = {"kind": KIND, "form": form, "can_begin": can_begin}
    status = 422 if form.is_bound else 200
    return render(request, "quizzes/sheets/new.html", context, status=status)


@transaction.atomic
def _begun(form, *, by) -> Revision:
    draft = exercises.new_exercise(
        form.cleaned_data["module"],
        kind=KIND.slug,
        by=by,
        fields=form.revision_fields(),
        size=1,
        places=None,
    )
    content, key = taken(draft.module_revision, random.SystemRandom())
    return exercises.save_revision(
        draft,
        by=by,
        version=draft.version,
        content=content.document(),
        key=key.document(),
    )


@require_http_methods(["GET", "POST"])
def examination_parts(request, pk):
    """Which parts are asked, what each step is, and why it stands where it stands."""
    draft = draft_to_edit(request, pk, KIND.slug)
    content, key = ExamContent.read(draft.content), ExamKey.read(draft.key)
    posted = request.POST if request.method == "POST" else None
    form = ExaminationForm(posted, instance=draft, content=content, key=key)
    steps = [
        StepForm(posted, step=step, content=content, key=key) for step in key.order
    ]
    is_conflict = False
    if posted is not None and form.is_valid() and all(one.is_valid() for one in steps):
        try:
            _keep(request, draft, form, sent_documents(content, key, form, steps))
        except ValidationError as error:
            form.add_error(None, error)
            is_conflict = isinstance(error, exercises.EditedElsewhere)
        else:
            return _onward(request, pk)
    context = {
        "kind": KIND,
        "revision": draft,
        "form": form,
        "steps": steps,
        "step_errors": [
            (one, field, error)
            for one in steps
            for field in one
            for error in field.errors
        ],
        "version": _version(request, draft, is_conflict),
        "unsaved": posted is not None,
    }
    status = 422 if posted is not None else 200
    return render(request, "quizzes/examination/parts.html", context, status=status)


def _keep(request, draft, form, documents) -> None:
    """Save the page; with "again" the sequence as the module has it now. Raises ValidationError."""
    content, key = documents
    more = {}
    if request.POST.get("do") == "again":
        module = exercises.taught(draft.exercise.module)
        content, key = taken_again(module, content, key, random.SystemRandom())
        more = {"module_revision": module}
    exercises.save_revision(
        draft,
        by=request.user,
        version=sent_version(request),
        content=content.document(),
        key=key.document(),
        **form.revision_fields(),
        **more,
    )


def _onward(request, pk):
    do = request.POST.get("do", "save")
    if do == "again":
        said = _(
            "The sequence is now as the module has it. What you said of steps of the same name is kept."
        )
        messages.success(request, said)
        return redirect("quizzes:examination-parts", pk=pk)
    messages.success(request, _("Saved."))
    if do == "publish":
        return redirect(
            reverse("quizzes:exercise-manage", args=[pk], fragment="before")
        )
    return redirect("quizzes:examination-parts", pk=pk)


def _version(request, draft, is_conflict) -> int:
    """After a refusal for somebody else's save, saving again keeps what is on the page."""
    if is_conflict:
        return Revision.objects.values_list("version", flat=True).get(pk=draft.pk)
    sent = request.POST.get("version", "")
    return int(sent) if sent.isdecimal() else draft.version


@require_safe
def examination_print(request, pk):
    """On paper: what is asked, the missing step on a sheet of its own, then the key."""
    draft = draft_to_edit(request, pk, KIND.slug)
    content, key = ExamContent.read(draft.content), ExamKey.read(draft.key)
    # The same mix every time it is printed, so that all sheets of a room are alike.
    shown = KIND.show(draft.content, rng=random.Random(draft.pk), again=False)
    answer = ExamAnswer()
    second = asked_of(content, shown, answer, sealed=True)["gap"]
    senses = dict(Step.Sense.choices)
    context = {
        "revision": draft,
        **asked_of(content, shown, answer),
        "second": second if content.in_two else None,
        "key_rows": [
            {
                "name": content.names[step],
                "sense": senses[key.of(step).sense],
                "find": content.finds.get(key.of(step).find, ""),
                "why": key.of(step).why,
            }
            for step in key.order
        ],
        "gap_told": gap(content, key, answer) if second and key.gap else None,
    }
    return render(request, "quizzes/examination/print.html", context)
