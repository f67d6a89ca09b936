"""The person's record as files to take away."""

from __future__ import annotations

from collections.abc import Iterator

from allauth.decorators import rate_limit
from django.http import HttpResponse, StreamingHttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from quizzes.models import Attempt
from quizzes.record import document, sheet, statements, study
from quizzes.record.filters import Parts
from quizzes.record.forms import StudyRecordForm
from quizzes.record.streams import told
from trainer.typeset import NotTypeset

PIECE = 64 * 1024
"""Characters that are sent at once; a row by itself would be a packet of its own."""
HEADERS = {"X-Content-Type-Options": "nosniff", "Cache-Control": "private, no-store"}


@require_safe
def page(request):
    """What can be taken away, and in which forms."""
    return files_page(request, StudyRecordForm(initial={"name": request.user.name}))


def files_page(request, form, status=200):
    parts = Parts(Attempt.objects.owned_by(request.user))
    form.offer(parts, timezone.now())
    context = {"form": form, "parts": parts}
    return render(request, "quizzes/record/files.html", context, status=status)


@require_safe
@rate_limit(action="take_away", limit_get=True)
def whole(request):
    """Everything, as JSON."""
    found = document.pieces(request.user, site=site_of(request), now=timezone.now())
    return sent(found, "placing-room-record.json", "application/json")


@require_safe
@rate_limit(action="take_away", limit_get=True)
def table(request):
    """One row for each exercise handed in, as CSV."""
    mine = Attempt.objects.owned_by(request.user)
    found = sheet.lines(mine, site=site_of(request))
    return sent(
        found, "placing-room-exercises.csv", "text/csv; charset=utf-8; header=present"
    )


@require_safe
@rate_limit(action="take_away", limit_get=True)
def xapi(request):
    """What was done, as xAPI statements; by account, or by e-mail where that is asked for."""
    # Statements name the right answer, so only what the person may know is in them.
    mine, site = told(request.user).filter(preview=False), site_of(request)
    by_address = request.GET.get("by") == "address"
    who = statements.actor(request.user, site=site, by_address=by_address)
    found = statements.pieces(mine, who, site=site, language=get_language())
    return sent(found, "placing-room-xapi.json", "application/json")


@require_POST
@rate_limit(action="take_away")
def study_record(request):
    """The study record as a PDF, with the name as it was given."""
    form = StudyRecordForm(request.POST)
    mine, now = Attempt.objects.owned_by(request.user), timezone.now()
    form.offer(Parts(mine), now)
    if not form.is_valid():
        return files_page(request, form, status=422)
    try:
        pdf = study.pdf(request.user, **form.wanted(mine), now=now)
    except NotTypeset as error:
        study.log.error("The study record was not set: %s", error)
        form.add_error(None, _("The PDF could not be made. Try it again later."))
        return files_page(request, form, status=422)
    return attached(HttpResponse(pdf, "application/pdf"), "placing-room-record.pdf")


def sent(pieces: Iterator[str], name: str, content_type: str):
    """An answer that is made while it is sent, so that it needs no more memory for many rows."""
    return attached(StreamingHttpResponse(gathered(pieces), content_type), name)


def attached(response, name: str):
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    for header, value in HEADERS.items():
        response[header] = value
    return response


def gathered(pieces: Iterator[str]) -> Iterator[bytes]:
    """The same text in larger pieces."""
    waiting, size = [], 0
    for piece in pieces:
        waiting.append(piece)
        size += len(piece)
        if size >= PIECE:
            yield "".join(waiting).encode()
            waiting, size = [], 0
    yield "".join(waiting).encode()


def site_of(request) -> str:
    """The address of the site, without a slash at its end."""
    return request.build_absolute_uri("/").rstrip("/")
