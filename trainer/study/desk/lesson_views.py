"""The desk's pages of a lesson: its sections, each with a page of its own."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from trainer.http import said_saved, wants_json
from trainer.study import drawn
from trainer.study.desk import lessons
from trainer.study.desk.drafts import EditedElsewhere, also_writing
from trainer.study.desk.pages import (
    next_page,
    on_draft,
    place_asked_for,
    row_of,
)
from trainer.study.desk.section_forms import SECTION_FORMS, photographs
from trainer.study.illustrations import Illustrations
from trainer.study.models import Lesson
from trainer.study.parts import PARTS
from trainer.study.rich import rendered
from trainer.study.sections import COMPARE, KINDS, PICTURE


def lesson_of(draft, row: int) -> Lesson:
    return row_of(draft, PARTS["lessons"], row)


@require_POST
@on_draft
def section_add(request, draft, row):
    """A new section at the end, then its page."""
    lesson = lesson_of(draft, row)
    kind = request.POST.get("kind", "")
    if kind not in KINDS:
        text = _("Choose what to add: a text, a picture, a comparison or a question.")
        raise ValidationError(text, code="kind")
    section = lessons.add_section(lesson, kind, by=request.user, now=timezone.now())
    return redirect("desk:section", draft.module_id, row, section["id"])


@require_http_methods(["GET", "POST"])
@on_draft
def section_edit(request, draft, row, section):
    """One section of a lesson."""
    lesson = lesson_of(draft, row)
    at = lessons.place_of(lesson, section)
    stored = lesson.sections[at]
    club = draft.module.club_id
    pictured = stored["kind"] in (PICTURE, COMPARE)
    form = SECTION_FORMS[stored["kind"]](
        request.POST or None,
        section=stored,
        shown=photographs(club) if pictured else [],
        drawings=drawn.of_club(club) if pictured else [],
    )
    context = {
        "draft": draft,
        "lesson": lesson,
        "section": stored,
        "kind": KINDS[stored["kind"]],
        "number": at + 1,
        "form": form,
        "drawings": {one.value: one for one in form.drawings},
        "writing": also_writing(lesson, request.user, now=timezone.now()),
        "images": Illustrations(lesson, [stored], draft.module.club_id).of(stored),
    }
    if request.method == "POST":
        return _saved_section(request, lesson, section, form, context)
    return render(request, "study/desk/section.html", context)


def _saved_section(request, lesson, section, form, context):
    status = 422
    if form.is_valid():
        try:
            saved = lessons.save_section(
                lesson,
                section,
                by=request.user,
                now=timezone.now(),
                version=form.cleaned_data["version"],
                **form.changes(),
            )
        except EditedElsewhere as error:
            status = 409
            context |= _theirs(form, section, error)
        except ValidationError as error:
            form.add_error(None, error)
        else:
            return _done(request, lesson, saved)
    if wants_json(request):
        said = context.get("conflict") or next(iter(form.errors.values()))[0]
        said = _("Not saved: %(why)s") % {"why": said}
        return JsonResponse({"said": said}, status=status)
    return render(request, "study/desk/section.html", context, status=status)


def _done(request, lesson, saved):
    if wants_json(request):
        return JsonResponse({"version": saved["version"], "said": said_saved()})
    messages.success(request, _("Saved."))
    return redirect(next_page(request))


def _theirs(form, section: str, error: EditedElsewhere) -> dict:
    stored = error.theirs.sections[lessons.place_of(error.theirs, section)]
    told = form.told(stored)
    sent = form.data.copy()
    sent["version"] = stored["version"]
    form.data = sent
    return {"conflict": error.messages[0], "theirs": told}


@require_POST
@on_draft
def section_move(request, draft, row, section):
    """A section up or down, or to a number."""
    lesson = lesson_of(draft, row)
    at = lessons.place_of(lesson, section) + 1
    to = place_asked_for(request, at)
    to = lessons.move_section(lesson, section, to, by=request.user, now=timezone.now())
    messages.success(request, _("It is section %(n)s now.") % {"n": to})
    return redirect("desk:row", draft.module_id, "lessons", row)


@require_POST
@on_draft
def section_remove(request, draft, row, section):
    """Take a section out; the lesson's page offers to put it back."""
    lesson = lesson_of(draft, row)
    lessons.remove_section(lesson, section, by=request.user, now=timezone.now())
    messages.success(request, _("Taken out. You can put it back below."))
    return redirect("desk:row", draft.module_id, "lessons", row)


@require_POST
@on_draft
def text_preview(request, draft):
    """A text as readers will see it, while it is written."""
    return HttpResponse(rendered(request.POST.get("text", "")[:20_000]))
