"""Answering a sheet: the page, saving in the background, handing in once."""

from __future__ import annotations

from collections.abc import Mapping

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from quizzes import attempts
from quizzes.kinds import kind_of
from quizzes.kinds.sheets.kind import PostedKind
from quizzes.models import Attempt
from quizzes.words import whole_number
from trainer import offline
from trainer.http import onward, said_saved, wants_json


def field_of(row_id: str, name: str = "") -> str:
    """The name of a row's field in the form."""
    return f"a-{row_id}-{name}" if name else f"a-{row_id}"


def rows_to_ask(
    kind, content: Mapping, shown: Mapping, given: Mapping, look: Mapping
) -> list[dict]:
    """What is asked in the order of the attempt, with what is answered already."""
    sheet = kind.sheet(content)
    rows = sheet.by_id
    return [
        {
            "number": n,
            "row": rows[pk],
            "field": field_of(pk),
            "value": given.get(pk),
            "look": look.get(pk),
            **kind.ask(sheet, rows[pk], shown, given.get(pk)),
        }
        for n, pk in enumerate(shown["order"], start=1)
        if pk in rows
    ]


def answer_page(request, attempt, *, errors=(), status=200, typed=None):
    """The sheet, with what is saved or, after a refusal, what was sent."""
    revision = attempt.revision
    kind = kind_of(revision)
    given = (attempt.answer if typed is None else typed).get("items", {})
    look = kind.look(attempt)
    asked = rows_to_ask(kind, revision.content, attempt.shown, given, look)
    context = {
        "attempt": attempt,
        "revision": revision,
        "kind": kind,
        "asked": asked,
        "open": sum(one["value"] is None for one in asked),
        "ask": f"quizzes/{kind.slug}/_ask.html",
        "errors": errors,
        "unsaved": typed is not None and typed != attempt.answer,
    }
    page = render(request, "quizzes/sheets/answer.html", context, status=status)
    return offline.keep_to_answer(page, attempt, request.user)


def open_attempt(request, pk) -> Attempt:
    """The person's own attempt at such an exercise, without the key."""
    mine = Attempt.objects.answerable_by(request.user).for_player()
    attempt = get_object_or_404(mine, pk=pk)
    if not isinstance(kind_of(attempt.revision), PostedKind):
        return get_object_or_404(mine.none(), pk=pk)
    return attempt


def sent_rows(kind, content: Mapping, post) -> dict:
    """The answer that the form holds; rows that are not answered are left out."""
    given = {}
    for row in kind.sheet(content):

        def sent(name="", pk=row.id):
            return post.getlist(field_of(pk, name))

        value = kind.answer_of(row, sent)
        if value is not None:
            given[row.id] = value
    return {"items": given}


@require_POST
def write(request, pk):
    """Keep what the form holds; hand it in as well if that was pressed."""
    attempt, now = open_attempt(request, pk), timezone.now()
    kind, do = kind_of(attempt.revision), request.POST.get("do", "")
    typed, handing_in = kind.sent(attempt, request.POST), do == "hand-in"
    try:
        version = whole_number(request.POST.get("version", ""))
        saved = attempts.save_draft(attempt, typed, version=version, now=now)
        if handing_in:
            attempts.hand_in(saved, now=now)
            return onward(request, "quizzes:attempt-result", pk)
    except attempts.HandedInAlready as error:
        if wants_json(request) and not handing_in:
            return JsonResponse({"said": error.messages[0]}, status=409)
        return onward(request, "quizzes:attempt-result", pk)
    except ValidationError as error:
        return _refused(request, pk, typed, error)
    if wants_json(request):
        return JsonResponse({"version": saved.version, "said": said_saved()})
    elsewhere = kind.saved_page(request, saved, do)
    if elsewhere is not None:
        return elsewhere
    messages.success(request, _("Saved. You can stop here and come back."))
    return redirect("quizzes:attempt-answer", pk=pk)


def _refused(request, pk, typed, error):
    changed = isinstance(error, attempts.ChangedElsewhere)
    status = 409 if changed else 422
    if wants_json(request):
        said = " ".join(error.messages)
        if changed:
            said = _("Changed in another window. Press “Save” to go on with yours.")
        return JsonResponse({"said": said}, status=status)
    fresh = open_attempt(request, pk)
    kind = kind_of(fresh.revision)
    return kind.answer_page(
        request, fresh, errors=error.messages, status=status, typed=typed
    )
