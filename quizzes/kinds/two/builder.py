"""The mentor's pages of pairs: begin them, say what they differ in, look at an example."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from quizzes import exercises
from quizzes.drawing.amounts import amount
from quizzes.drawing.dogs import THEMES
from quizzes.kinds import kind_named
from quizzes.kinds.placing.builder import draft_to_edit, sent_version
from quizzes.kinds.placing.pictures import svg
from quizzes.kinds.sheets.forms import NewSheetForm
from quizzes.kinds.two.content import PAIRS, PairsContent
from quizzes.kinds.two.drawable import offers
from quizzes.kinds.two.forms import TaskForm
from quizzes.kinds.two.making import pair
from quizzes.kinds.two.paper_form import RUNGS, ladder
from quizzes.kinds.two.player import SLUG, drawn
from quizzes.models import Revision

EXAMPLES = ("largest", "smallest")


@require_http_methods(["GET", "POST"])
def two_new(request):
    """Title and module; then on to what the pairs differ in."""
    form = NewSheetForm(request.POST or None, user=request.user)
    if request.method == "POST" and form.is_valid():
        draft = exercises.new_exercise(
            form.cleaned_data["module"],
            kind=SLUG,
            by=request.user,
            fields=form.revision_fields(),
            size=PAIRS,
            places=None,
        )
        return redirect("quizzes:two-task", pk=draft.exercise_id)
    context = {
        "kind": kind_named(SLUG),
        "form": form,
        "can_begin": form.fields["module"].queryset.exists(),
    }
    status = 422 if form.is_bound else 200
    return render(request, "quizzes/sheets/new.html", context, status=status)


@require_http_methods(["GET", "POST"])
def two_task(request, pk):
    """What the pairs differ in, and how many there are."""
    draft = draft_to_edit(request, pk, SLUG)
    content, offered = PairsContent.read(draft.content), offers(draft.module_revision)
    posted = request.POST if request.method == "POST" else None
    form = TaskForm(posted, instance=draft, content=content, offers=offered)
    if posted is not None and form.is_valid():
        try:
            exercises.save_revision(
                draft,
                by=request.user,
                version=sent_version(request),
                content=form.sent().document(),
                **form.revision_fields(),
            )
        except ValidationError as error:
            form.add_error(None, error)
        else:
            return _saved(request, pk)
    context = {
        "revision": draft,
        "form": form,
        "offers": offered,
        "examples": _examples(draft, content),
        "version": _version(draft, form),
        "unsaved": posted is not None,
    }
    status = 422 if posted is not None else 200
    return render(request, "quizzes/two/task.html", context, status=status)


def _saved(request, pk):
    messages.success(request, _("Saved."))
    if request.POST.get("do") == "publish":
        address = reverse("quizzes:exercise-manage", args=[pk], fragment="before")
        return redirect(address)
    return redirect("quizzes:two-task", pk=pk)


def _version(draft, form) -> int:
    """After a refusal for somebody else's save, saving again keeps what is on the page."""
    fresh = Revision.objects.values_list("version", flat=True)
    return fresh.get(pk=draft.pk) if form.non_field_errors() else draft.version


def _examples(draft, content: PairsContent) -> list[dict]:
    """The pair that every attempt begins with, and the smallest difference there is."""
    if not content.parts:
        return []
    captions = {
        "largest": _("The first pair: %(amount)s apart."),
        "smallest": _("The least that is shown: %(amount)s."),
    }
    found = []
    for which in EXAMPLES:
        made = _example(content, which)
        values = {"amount": amount(made.difference, content.unit)}
        found.append(
            {
                "caption": captions[which] % values,
                "better": made.better,
                "plates": [
                    reverse(
                        "quizzes:two-example", args=[draft.exercise_id, which, side]
                    )
                    for side in (0, 1)
                ],
            }
        )
    return found


def _example(content: PairsContent, which: str):
    return pair(content, "example", 1, getattr(content, which))


def _drawn_pair(content: PairsContent, which: str):
    """The pair of that name: an example, or a rung of the printed ladder. Raises Http404."""
    if which in EXAMPLES:
        return _example(content, which)
    name, _dash, number = which.partition("-")
    if name != "rung" or number not in map(str, range(1, RUNGS + 1)):
        raise Http404
    return ladder(content)[int(number) - 1]


@require_safe
def two_example(request, pk, which, side):
    """A dog of an example or of the printed ladder, for mentors of the club."""
    editable = Revision.objects.editable_by(request.user).defer("key")
    revision = editable.filter(exercise=pk, exercise__kind=SLUG).first()
    theme = request.GET.get("theme", "light")
    if revision is None or side > 1 or theme not in THEMES:
        raise Http404
    content = PairsContent.read(revision.content)
    if not content.parts:
        raise Http404
    return svg(drawn(content, _drawn_pair(content, which).dogs, side, theme))
