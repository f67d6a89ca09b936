"""The page on which dogs of the library are ticked for a class."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from quizzes.dogs.searching import SearchForm
from quizzes.dogs.services import with_library_dogs
from quizzes.dogs.showing import rows_of
from quizzes.kinds.placing.builder import draft_to_edit, sent_version
from quizzes.kinds.placing.content import LARGEST, ClassContent
from quizzes.kinds.placing.photographs import save_with_photographs
from quizzes.models import Exercise, LibraryDog
from quizzes.views import page_of


@require_http_methods(["GET", "POST"])
def add_from_library(request, pk):
    """Find dogs of the class's module in the library; those ticked are copied into the draft."""
    if request.method == "POST" and not request.POST.getlist("dog"):
        get_object_or_404(Exercise.objects.editable_by(request.user), pk=pk)
        messages.error(request, _("Tick a dog first."))
        return redirect(request.get_full_path())
    draft = draft_to_edit(request, pk)
    content = ClassContent.read(draft.content)
    module = draft.exercise.module
    offered = LibraryDog.objects.editable_by(request.user).filter(module=module)
    error = None
    if request.method == "POST":
        try:
            return _added(request, draft, content, offered)
        except ValidationError as refusal:
            error = refusal.messages[0]
    search = SearchForm(request.GET, modules=[module])
    page = page_of(request, search.found(offered))
    context = {
        "revision": draft,
        "page": page,
        "rows": rows_of(page.object_list),
        "search": search,
        "in_class": {dog.library for dog in content if dog.library},
        "ticked": request.POST.getlist("dog"),
        "room": LARGEST - sum(not dog.is_blank for dog in content),
        "error": error,
    }
    status = 422 if error else 200
    return render(request, "quizzes/dogs/choose.html", context, status=status)


def _added(request, draft, content, offered):
    """Copy the ticked dogs into the draft, all or none."""
    ticked = [int(pk) for pk in request.POST.getlist("dog") if pk.isdecimal()]
    kept = list(offered.in_use().filter(pk__in=ticked))
    save_with_photographs(
        draft,
        with_library_dogs(content, kept),
        [],
        by=request.user,
        now=timezone.now(),
        version=sent_version(request),
    )
    text = ngettext(
        "One dog came from the library.", "%(n)s dogs came from the library.", len(kept)
    )
    messages.success(request, text % {"n": len(kept)})
    return redirect("quizzes:placing-dogs", pk=draft.exercise_id)
