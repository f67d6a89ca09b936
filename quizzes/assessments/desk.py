"""The mentor's pages on which an assessment is put together, opened and closed."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import Count, Q
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from quizzes.assessments import drafting
from quizzes.assessments.forms import CountsForm, NewForm, SettingsForm, WishForm
from quizzes.assessments.items import items_of, rules_said
from quizzes.exercises import EditedElsewhere
from quizzes.kinds import kind_named
from quizzes.models import Assessment, AssessmentItem, Exercise, Revision
from quizzes.views import page_of
from quizzes.words import whole_number
from trainer.study.models import Module

GET_POST = ["GET", "HEAD", "POST"]


def posted(request):
    return request.POST if request.method == "POST" else None


def mine(request, pk) -> Assessment:
    found = Assessment.objects.editable_by(request.user)
    found = found.select_related("module__breed", "module__club")
    return get_object_or_404(found, pk=pk)


@require_safe
def assessments(request):
    """The assessments of the clubs the person teaches in, the latest first."""
    found = Assessment.objects.editable_by(request.user)
    waiting = Q(all_tries__handed_in_at__isnull=False, all_tries__released_at=None)
    rows = found.select_related("module__breed", "module__club").annotate(
        begun=Count("all_tries", distinct=True),
        waiting=Count("all_tries", filter=waiting, distinct=True),
    )
    can_begin = Module.objects.editable_by(request.user).in_force().exists()
    context = {"page": page_of(request, rows.order_by("-pk")), "can_begin": can_begin}
    return render(request, "quizzes/assessments/desk_list.html", context)


@require_http_methods(GET_POST)
def new(request):
    """A new assessment, as a draft."""
    form = NewForm(posted(request), user=request.user)
    if form.is_valid():
        values = dict(form.cleaned_data)
        made = drafting.new(values.pop("module"), by=request.user, **values)
        return redirect("quizzes:assessment-manage", pk=made.pk)
    context = {"form": form}
    status = 422 if form.is_bound else 200
    return render(request, "quizzes/assessments/new.html", context, status=status)


@require_safe
def manage(request, pk):
    """One assessment: what is set, its items, what is still missing, opening and closing."""
    found = mine(request, pk)
    items = items_of(found)
    context = {
        "assessment": found,
        "items": items,
        "rules": rules_said(one.kind for one in items),
        "lacking": drafting.lacking(found) if found.is_draft else [],
        "begun": found.all_tries.count(),
        "open_now": found.takes(timezone.now()),
        "known": [one for one in items if one.practised and not one.kept_back],
    }
    return render(request, "quizzes/assessments/manage.html", context)


@require_http_methods(GET_POST)
def edit(request, pk):
    """What is set: title, time, mark, tries, dates."""
    found = mine(request, pk)
    if not found.is_draft:
        raise Http404
    form = SettingsForm(posted(request), instance=found)
    if form.is_valid():
        version = whole_number(request.POST.get("version", ""))
        try:
            drafting.save(found, version=version, **form.cleaned_data)
        except ValidationError as error:
            form.add_error(None, error)
            if isinstance(error, EditedElsewhere):
                found.version = mine(request, pk).version
        else:
            messages.success(request, _("Saved."))
            return redirect("quizzes:assessment-manage", pk=pk)
    context = {"form": form, "assessment": found}
    status = 422 if form.is_bound else 200
    return render(request, "quizzes/assessments/edit.html", context, status=status)


def to_add(request, found):
    """Published exercises of the module that are not in the assessment; those whose title holds `?q=`."""
    offered = (
        Revision.objects.editable_by(request.user)
        .in_force()
        .filter(exercise__module=found.module_id)
        .exclude(exercise__in=found.items.exclude(exercise=None).values("exercise"))
    )
    words = request.GET.get("q", "").strip()
    if words:
        offered = offered.filter(title__icontains=words)
    return offered.order_by("title", "pk").rows("handed_in"), words


@require_safe
def add(request, pk):
    """Published exercises to choose from, and a class that is made for each person."""
    return _adding(request, mine(request, pk))


def _adding(request, found, wish_form=None, status=200):
    if not found.is_draft:
        raise Http404
    rows, words = to_add(request, found)
    page = page_of(request, rows)
    for row in page:
        row["label"] = kind_named(row["kind"]).label
    context = {
        "assessment": found,
        "page": page,
        "words": words,
        "form": wish_form or WishForm(),
    }
    return render(request, "quizzes/assessments/add.html", context, status=status)


@require_POST
def add_exercise(request, pk):
    """Put a published exercise at the end."""
    found = mine(request, pk)
    offered = Exercise.objects.editable_by(request.user).filter(
        module=found.module_id,
        pk__in=Revision.objects.in_force().values("exercise"),
    )
    chosen = whole_number(request.POST.get("exercise", ""))
    exercise = get_object_or_404(offered, pk=chosen)
    try:
        drafting.add(found, exercise=exercise)
        messages.success(request, _("Added."))
    except ValidationError as error:
        messages.error(request, error.messages[0])
    return redirect("quizzes:assessment-manage", pk=pk)


@require_POST
def add_wish(request, pk):
    """Put a class that is made for each person at the end."""
    found = mine(request, pk)
    form = WishForm(request.POST)
    if not form.is_valid():
        return _adding(request, found, form, status=422)
    try:
        drafting.add(found, wish=form.wish(), counts=form.cleaned_data["counts"])
        messages.success(request, _("Added."))
    except ValidationError as error:
        messages.error(request, error.messages[0])
    return redirect("quizzes:assessment-manage", pk=pk)


@require_POST
def change_item(request, pk, item):
    """One button of an item: up, down, how much it counts, out, asked here only or for practice too."""
    found = mine(request, pk)
    items = AssessmentItem.objects.select_related("assessment", "exercise")
    one = get_object_or_404(items, pk=item, assessment=found)
    try:
        _changed(one, request.POST)
    except ValidationError as error:
        messages.error(request, error.messages[0])
    return redirect("quizzes:assessment-manage", pk=pk)


def _changed(item, post) -> None:
    do = post.get("do", "")
    if do in ("up", "down"):
        drafting.move(item, -1 if do == "up" else 1)
    elif do == "remove":
        drafting.remove(item)
    elif do in ("keep-back", "give-back") and item.exercise:
        drafting.keep_back(item.exercise, do == "keep-back")
    elif do == "counts":
        form = CountsForm(post)
        if not form.is_valid():
            raise ValidationError(form.errors["counts"][0], code="counts")
        drafting.weigh(item, form.cleaned_data["counts"])


@require_POST
def keep_back(request, pk):
    """Ask an exercise in assessments only, before it is published too; or offer it for practice again."""
    exercise = get_object_or_404(Exercise.objects.editable_by(request.user), pk=pk)
    drafting.keep_back(exercise, request.POST.get("do") == "keep-back")
    return redirect("quizzes:exercise-manage", pk=pk)


@require_POST
def change_state(request, pk):
    """Open, take back, close, open again, copy, discard: one button each."""
    found, do = mine(request, pk), request.POST.get("do", "")
    try:
        if do == "copy":
            made = drafting.copied(found, by=request.user)
            messages.success(request, _("This is a copy, as a draft."))
            return redirect("quizzes:assessment-manage", pk=made.pk)
        if do == "discard":
            drafting.discard(found)
            messages.success(request, _("The draft is gone."))
            return redirect("quizzes:assessments-manage")
        if do in STATES:
            change, said = STATES[do]
            change(found)
            messages.success(request, str(said))
    except ValidationError as error:
        messages.error(request, error.messages[0])
    return redirect("quizzes:assessment-manage", pk=pk)


STATES = {
    "open": (drafting.open_it, gettext_lazy("Open. Trainees see it from now on.")),
    "draft": (
        drafting.back_to_draft,
        gettext_lazy("A draft again. Trainees don't see it."),
    ),
    "close": (
        lambda found: drafting.close(found, now=timezone.now()),
        gettext_lazy("Closed. Nobody begins it any more."),
    ),
    "open-again": (drafting.open_again, gettext_lazy("Open again.")),
}
