"""The mentor's pages for a class: begin one, describe the dogs, set the key."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from quizzes import exercises
from quizzes.drawing.bench import address_of_dog
from quizzes.kinds.placing.content import ClassContent, ClassKey
from quizzes.kinds.placing.key_desk import KeyDesk, changed_key, key_from_post
from quizzes.kinds.placing.kind import KIND
from quizzes.kinds.placing.photographs import save_with_photographs
from quizzes.kinds.placing.pictures import photograph_ids
from quizzes.kinds.placing.taken_out import forget, put_back, remember, taken_out
from quizzes.kinds.placing.workshop_forms import ClassForm, DogForms, NewClassForm
from quizzes.models import Exercise, Revision
from quizzes.practice.following import follow_levels

FOLLOWED = gettext_lazy(
    "Drawing, words and key follow the levels. What you wrote yourself is as you wrote it."
)


@require_http_methods(["GET", "POST"])
def class_new(request):
    """Title, module and size; then on to the dogs."""
    form = NewClassForm(request.POST or None, user=request.user)
    if request.method == "POST" and form.is_valid():
        draft = exercises.new_exercise(
            form.cleaned_data["module"],
            kind=KIND.slug,
            by=request.user,
            fields=form.revision_fields(),
            size=form.cleaned_data["size"],
            places=form.cleaned_data["places"],
        )
        return redirect("quizzes:placing-dogs", pk=draft.exercise_id)
    status = 422 if form.is_bound else 200
    context = {"form": form, "can_begin": form.fields["module"].queryset.exists()}
    return render(request, "quizzes/placing/class_new.html", context, status=status)


def draft_to_edit(request, pk) -> Revision:
    """The draft of an exercise the person may edit.

    Reading a page changes nothing, so where there is no draft yet the page shows what is in
    force, and the draft is made when it is saved.
    """
    exercise = get_object_or_404(
        Exercise.objects.editable_by(request.user), pk=pk, kind=KIND.slug
    )
    if request.method == "POST":
        exercises.draft_of(exercise, by=request.user)
    revisions = exercise.revisions.select_related(
        "exercise__module__breed", "exercise__club", "edited_by", "module_revision"
    )
    return revisions.first()


def sent_version(request) -> int:
    version = request.POST.get("version", "")
    return int(version) if version.isdecimal() else -1


@require_http_methods(["GET", "POST"])
def class_dogs(request, pk):
    """What the class is called, how it is paced, and its dogs."""
    draft = draft_to_edit(request, pk)
    content = ClassContent.read(draft.content)
    priorities = draft.module_revision.priorities.prefetch_related("phrases", "steps")
    posted = request.POST if request.method == "POST" else None
    is_conflict = False
    form = ClassForm(posted, instance=draft, content=content)
    dogs = DogForms(
        posted,
        request.FILES or None,
        content=content,
        priorities=priorities,
        photographs=photograph_ids(content, draft.exercise.club_id),
    )
    if posted is not None and form.is_valid() and dogs.are_valid():
        changed = dogs.content(places=form.cleaned_data["places"])
        do, _colon, dog = posted.get("do", "save").partition(":")
        before, key = changed, ClassKey.read(draft.key)
        if do == "back":
            changed, key = _with_dog_back(request, draft, changed, key)
        changed, key = _more_or_less(changed, key, do, dog)
        try:
            if do == "follow":
                changed, key = follow_levels(content, changed, key, priorities)
            save_with_photographs(
                draft,
                changed,
                dogs.sent,
                by=request.user,
                now=timezone.now(),
                version=sent_version(request),
                key=key.document(),
                **form.revision_fields(),
            )
        except ValidationError as error:
            form.add_error(None, error)
            is_conflict = isinstance(error, exercises.EditedElsewhere)
        else:
            if do == "remove" and dog in before.by_id:
                remember(request.session, draft, before, ClassKey.read(draft.key), dog)
            if do == "back":
                forget(request.session)
            if do == "follow":
                messages.success(request, FOLLOWED)
            for credit in dogs.credits_read:
                messages.info(request, credit)
            return _after_dogs(draft.exercise, do, dog, changed)
    if posted is not None:
        dogs.ask_for_files_again()
    context = {
        "revision": draft,
        "form": form,
        "dogs": dogs,
        "is_conflict": is_conflict,
        "taken_out": taken_out(request.session, draft, content),
        "version": _version_to_send(draft, form),
    }
    status = 422 if form.is_bound else 200
    return render(request, "quizzes/placing/class_dogs.html", context, status=status)


def _version_to_send(draft, form) -> int:
    """After a refusal because of somebody else's save, saving again keeps what is on the page."""
    return draft.version if not form.non_field_errors() else _fresh_version(draft)


def _fresh_version(draft) -> int:
    return Revision.objects.values_list("version", flat=True).get(pk=draft.pk)


def _with_dog_back(request, draft, content, key):
    """The class with the dog that was taken out last; without its photograph if that is gone."""
    dog = taken_out(request.session, draft, content)
    if not dog:
        return content, key
    content, key = put_back(request.session, dog, content, key)
    if dog.picture in photograph_ids(content, draft.exercise.club_id):
        return content, key
    return content.without_picture(dog.id), key


def _more_or_less(content, key, do, dog):
    """The class with one dog or photograph more or less; the key forgets a dog that is gone."""
    if do == "add":
        return KIND.with_new_dog(content), key
    if do == "remove":
        return KIND.without_dog(content, dog), key.without(dog)
    if do == "no-photograph":
        return content.without_picture(dog), key
    return content, key


def _after_dogs(exercise, do, dog, content):
    pk = exercise.pk
    if do == "draw" and dog in content.by_id:
        return redirect(address_of_dog(exercise, content, content.by_id[dog]))
    if do == "key":
        return redirect("quizzes:placing-key", pk=pk)
    if do in ("add", "no-photograph"):
        anchor = f"dog-{content.dogs[-1].id if do == 'add' else dog}"
        return redirect(reverse("quizzes:placing-dogs", args=[pk], fragment=anchor))
    return redirect("quizzes:placing-dogs", pk=pk)


@require_http_methods(["GET", "POST"])
def class_key(request, pk):
    """The key: the order, cuts, reasons, level neighbours and rulings.

    Every button saves all that is on the page, then does what it says.
    """
    draft = draft_to_edit(request, pk)
    content = ClassContent.read(draft.content)
    key = ClassKey.read(draft.key)
    saved, error, theirs = key, None, None
    if request.method == "POST":
        key = key_from_post(request.POST, content, key)
        do = request.POST.get("do", "save")
        try:
            key = changed_key(key, do, content)
            exercises.save_revision(
                draft,
                by=request.user,
                version=sent_version(request),
                key=key.document(),
            )
        except ValidationError as refusal:
            error = refusal.messages[0]
            if isinstance(refusal, exercises.EditedElsewhere):
                theirs = saved
        else:
            return _after_key(pk, do, separated=_separated(saved, key))
    priorities = list(draft.module_revision.priorities.all())
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
        "error": error,
        "version": _fresh_version(draft) if error else draft.version,
    }
    status = 422 if error else 200
    return render(request, "quizzes/placing/class_key.html", context, status=status)


def _separated(before: ClassKey, after: ClassKey) -> bool:
    """Whether a pair that has a reason stands apart now."""
    apart = set(before.neighbours) - set(after.neighbours)
    return any(pair in after.reasons and after.reasons[pair].reason for pair in apart)


def _after_key(pk, do, *, separated):
    """Back to where the button was; a reason that a move put out of use is named there."""
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
            fragment=f"at-{anchor}" if anchor else None,
        )
    )
