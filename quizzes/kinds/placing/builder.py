"""The mentor's pages for a class: begin one, describe the dogs, set the key."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from quizzes import exercises
from quizzes.background import kept_in_background, refused_in_background
from quizzes.kinds.placing.content import ClassContent, ClassKey
from quizzes.kinds.placing.dogs_page import DogsPage
from quizzes.kinds.placing.forms import faults_named
from quizzes.kinds.placing.key_desk import KeyDesk, changed_key, key_from_post
from quizzes.kinds.placing.kind import KIND
from quizzes.kinds.placing.problems import gaps_without_cut
from quizzes.kinds.placing.workshop_forms import NewClassForm
from quizzes.models import Exercise, Revision
from quizzes.panels.blind import unless_asked
from quizzes.words import whole_number
from trainer.http import wants_json


@require_http_methods(["GET", "POST"])
def class_new(request):
    """Title, module and size; then on to the dogs."""
    form = NewClassForm(request.POST or None, user=request.user)
    if request.method == "POST" and form.is_valid():
        try:
            draft = exercises.new_exercise(
                form.cleaned_data["module"],
                kind=KIND.slug,
                by=request.user,
                fields=form.revision_fields(),
                size=form.cleaned_data["size"],
                places=form.cleaned_data["places"],
            )
        except exercises.NothingTaught as refusal:
            form.add_error("module", refusal)
        else:
            return redirect("quizzes:placing-dogs", pk=draft.exercise_id)
    status = 422 if form.is_bound else 200
    context = {"form": form, "can_begin": form.fields["module"].queryset.exists()}
    return render(request, "quizzes/placing/class_new.html", context, status=status)


def draft_to_edit(request, pk, kind=KIND.slug) -> Revision:
    """The draft of an exercise of that kind the person may edit.

    Reading a page changes nothing, so where there is no draft yet the page shows what is in
    force, and the draft is made when it is saved.
    """
    exercise = get_object_or_404(
        Exercise.objects.editable_by(request.user), pk=pk, kind=kind
    )
    # Saving in the background begins no revision: that is left to a button.
    if request.method == "POST" and not wants_json(request):
        exercises.draft_of(exercise, by=request.user)
    revisions = exercise.revisions.select_related(
        "exercise__module__breed", "exercise__club", "edited_by", "module_revision"
    )
    return revisions.first()


def sent_version(request) -> int:
    return whole_number(request.POST.get("version", ""))


@require_http_methods(["GET", "POST"])
@unless_asked
def class_dogs(request, pk):
    """What the class is called, how it is paced, and its dogs."""
    draft = draft_to_edit(request, pk)
    return DogsPage(request, draft, sent_version(request)).answer()


def _fresh_version(draft) -> int:
    return Revision.objects.values_list("version", flat=True).get(pk=draft.pk)


@require_http_methods(["GET", "POST"])
@unless_asked
def class_key(request, pk):
    """The key: the order, cuts, reasons, level neighbours and rulings.

    Every button saves all that is on the page, then does what it says.
    """
    draft = draft_to_edit(request, pk)
    content = ClassContent.read(draft.content)
    key = ClassKey.read(draft.key)
    saved, error, theirs = key, None, None
    priorities = list(draft.module_revision.priorities.all())
    if request.method == "POST":
        key = key_from_post(request.POST, content, key)
        do = request.POST.get("do", "save")
        try:
            key = changed_key(key, do, content, priorities)
            kept = exercises.save_revision(
                draft,
                by=request.user,
                version=sent_version(request),
                key=key.document(),
            )
        except ValidationError as refusal:
            error = refusal.messages[0]
            if wants_json(request):
                return refused_in_background(refusal)
            if isinstance(refusal, exercises.EditedElsewhere):
                theirs = saved
        else:
            if wants_json(request):
                return kept_in_background(kept)
            return _after_key(pk, do, key, separated=_separated(saved, key))
    context = {
        "revision": draft,
        "desk": KeyDesk(
            draft,
            content,
            key,
            priorities,
            moved=request.GET.get("moved", ""),
            theirs=theirs,
        ),
        "faults": faults_named(draft.module_revision_id),
        "error": error,
        "is_draft": draft.state == Revision.State.DRAFT,
        "version": _fresh_version(draft) if error else draft.version,
    }
    status = 422 if error else 200
    return render(request, "quizzes/placing/class_key.html", context, status=status)


def _separated(before: ClassKey, after: ClassKey) -> bool:
    """Whether a pair that has a reason stands apart now."""
    apart = set(before.neighbours) - set(after.neighbours)
    return any(pair in after.reasons and after.reasons[pair].reason for pair in apart)


def _first_without_cut(do, key) -> str | None:
    missing = gaps_without_cut(key, parted=True) if do == "save" else []
    return f"gap-{missing[0]}" if missing else None


def _after_key(pk, do, key, *, separated):
    """Back to where the button was; a reason that a move put out of use is named there.

    What was only saved leads on to the first gap whose cut is missing.
    """
    if do == "publish":
        return redirect(
            reverse("quizzes:exercise-manage", args=[pk], fragment="before")
        )
    anchor = do.partition(":")[2]
    return redirect(
        reverse(
            "quizzes:placing-key",
            args=[pk],
            query={"moved": anchor} if separated else None,
            fragment=f"at-{anchor}" if anchor else _first_without_cut(do, key),
        )
    )
