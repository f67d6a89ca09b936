"""The mentor's pages for a critique: begin one, say what is asked, write one's own."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from quizzes import exercises
from quizzes.kinds.critique.content import CritiqueContent, CritiqueKey
from quizzes.kinds.critique.forms import KeyForm, NewCritiqueForm, TaskForm
from quizzes.kinds.placing.builder import draft_to_edit, sent_version
from quizzes.kinds.placing.photographs import save_with_photographs
from quizzes.kinds.placing.pictures import photograph_ids
from quizzes.kinds.placing.workshop_forms import DogForm
from quizzes.models import Revision

KIND = "critique"


@require_http_methods(["GET", "POST"])
def critique_new(request):
    """Title, module and perhaps a dog of a class; then on to what is asked."""
    form = NewCritiqueForm(request.POST or None, user=request.user)
    if request.method == "POST" and form.is_valid():
        draft = _begun(form, by=request.user)
        return redirect("quizzes:critique-task", pk=draft.exercise_id)
    context = {"form": form, "can_begin": form.fields["module"].queryset.exists()}
    return render(
        request, "quizzes/critique/new.html", context, status=_status(form.is_bound)
    )


@transaction.atomic
def _begun(form, *, by) -> Revision:
    draft = exercises.new_exercise(
        form.cleaned_data["module"],
        kind=KIND,
        by=by,
        fields=form.revision_fields(),
        size=1,
        places=None,
    )
    content = form.content(CritiqueContent.read(draft.content))
    return exercises.save_revision(
        draft, by=by, version=draft.version, content=content.document()
    )


def _status(refused) -> int:
    return 422 if refused else 200


@require_http_methods(["GET", "POST"])
def critique_task(request, pk):
    """The dog, how many words, and what a critique covers."""
    draft = draft_to_edit(request, pk, KIND)
    content = CritiqueContent.read(draft.content)
    posted = request.POST if request.method == "POST" else None
    form = TaskForm(posted, instance=draft, content=content)
    dog = DogForm(
        posted,
        request.FILES or None,
        dog=content.dog,
        priorities=(),
        photographs=photograph_ids(content.as_class, draft.exercise.club_id),
    )
    is_conflict = False
    if posted is not None and form.is_valid() and dog.is_valid():
        try:
            _keep_task(request, draft, form, dog)
        except ValidationError as error:
            form.add_error(None, error)
            is_conflict = isinstance(error, exercises.EditedElsewhere)
        else:
            do = posted.get("do", "save")
            return _after(request, pk, do, here="quizzes:critique-task")
    if posted is not None:
        dog.ask_for_file_again()
    context = {
        "revision": draft,
        "form": form,
        "one": dog,
        "is_conflict": is_conflict,
        "version": _version(draft, form),
    }
    status = _status(posted is not None)
    return render(request, "quizzes/critique/task.html", context, status=status)


def _keep_task(request, draft, form, dog) -> None:
    """Save what is asked with the dog, its photograph come or gone. Raises ValidationError."""
    content = CritiqueContent.read(draft.content)
    changed = form.changed(content, dog.changed_dog())
    if request.POST.get("do", "").startswith("no-photograph:"):
        bare = changed.as_class.without_picture(content.dog.id)
        changed = form.changed(content, bare.dogs[0])
    save_with_photographs(
        draft,
        changed,
        [dog.sent] if dog.sent else [],
        by=request.user,
        now=timezone.now(),
        version=sent_version(request),
        **form.revision_fields(),
    )


@require_http_methods(["GET", "POST"])
def critique_key(request, pk):
    """The mentor's own critique, the points it should make, and the rubric."""
    draft = draft_to_edit(request, pk, KIND)
    posted = request.POST if request.method == "POST" else None
    form = KeyForm(posted, key=CritiqueKey.read(draft.key))
    is_conflict = False
    if posted is not None and form.is_valid():
        try:
            exercises.save_revision(
                draft,
                by=request.user,
                version=sent_version(request),
                key=form.key().document(),
            )
        except ValidationError as error:
            form.add_error(None, error)
            is_conflict = isinstance(error, exercises.EditedElsewhere)
        else:
            do = posted.get("do", "save")
            return _after(request, pk, do, here="quizzes:critique-key")
    context = {
        "revision": draft,
        "form": form,
        "is_conflict": is_conflict,
        "version": _version(draft, form),
    }
    status = _status(posted is not None)
    return render(request, "quizzes/critique/key.html", context, status=status)


LINES = 24
"""To write on, on paper."""


@require_safe
def critique_print(request, pk):
    """The dog and lines to write on; the mentor's own part on a page of its own."""
    draft = draft_to_edit(request, pk, KIND)
    context = {
        "revision": draft,
        "content": CritiqueContent.read(draft.content),
        "key": CritiqueKey.read(draft.key),
        "lines": range(LINES),
    }
    return render(request, "quizzes/critique/print.html", context)


def _version(draft, form) -> int:
    """After a refusal for somebody else's save, saving again keeps what is on the page."""
    if not form.non_field_errors():
        return sent if (sent := _sent(form)) is not None else draft.version
    return Revision.objects.values_list("version", flat=True).get(pk=draft.pk)


def _sent(form) -> int | None:
    """The version that the page was made from, where it comes back for another reason."""
    version = form.data.get("version", "") if form.is_bound else ""
    return int(version) if version.isdecimal() else None


def _after(request, pk, do, *, here):
    """On to the page that the pressed button names; what was saved is said."""
    messages.success(request, _("Saved."))
    if do == "key":
        return redirect("quizzes:critique-key", pk=pk)
    if do == "publish":
        manage = reverse("quizzes:exercise-manage", args=[pk], fragment="before")
        return redirect(manage)
    return redirect(here, pk=pk)
