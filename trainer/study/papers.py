"""A module on paper: all of it on one page to print, as a PDF, and the examination as a pocket card."""

from __future__ import annotations

import logging
from functools import partial

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_safe

from trainer.study import reading
from trainer.study.kept_papers import typeset_once
from trainer.study.printing import Paper, card_paper, module_paper
from trainer.study.rich import Glossary
from trainer.study.views import PREVIEW, document_asked_for
from trainer.typeset import NotTypeset

log = logging.getLogger(__name__)


@require_safe
@gzip_page
def module_print(request, pk):
    """Everything the module says on one page, for a printer."""
    document = document_asked_for(request, pk)
    context = {
        "revision": document.revision,
        "module": document.module,
        # On paper no term opens.
        "glossary": Glossary([]),
        "weights": document.weights,
        "steps": document.steps,
        "groups": document.faults_by_severity,
        "listed": sorted(document.glossary.terms, key=lambda one: one.name.lower()),
        "lessons": [
            (lesson, reading.sections_of(document, lesson))
            for lesson in document.lessons
        ],
        "priorities": [
            (row, reading.levels_in_words(row.phrases.all()))
            for row in document.priorities
        ],
        "is_preview": not document.kept,
    }
    return render(request, "study/module_print.html", context)


@require_safe
def module_pdf(request, pk):
    """The module as a PDF."""
    return _pdf(request, pk, "module", module_paper)


@require_safe
def card_pdf(request, pk):
    """The examination as a pocket card: a page of A6 after the other, or four of them on A4."""
    sheet = request.GET.get("paper") == "a4"
    return _pdf(request, pk, "card", partial(card_paper, sheet=sheet))


def _pdf(request, pk: int, name: str, make) -> HttpResponse:
    document = document_asked_for(request, pk)
    paper: Paper = make(document)
    try:
        content = typeset_once(name, paper)
    except NotTypeset:
        log.exception("%s of module %s could not be typeset", name, pk)
        text = _("The PDF could not be made. Here is all of it on one page, to print.")
        messages.error(request, text)
        space = PREVIEW if request.resolver_match.namespace == PREVIEW else "study"
        return redirect(f"{space}:module-print", pk)
    response = HttpResponse(content, content_type="application/pdf")
    title = slugify(f"{document.module.breed.name} {name}") or name
    response["Content-Disposition"] = f'inline; filename="{title}.pdf"'
    return response
