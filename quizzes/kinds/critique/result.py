"""A critique that was handed in: what is pointed out in it, the mentor's own, and marks that were returned."""

from __future__ import annotations

from django.shortcuts import render

from quizzes.kinds.critique.content import Critique, CritiqueContent, CritiqueKey
from quizzes.kinds.critique.player import dog_card
from quizzes.kinds.critique.pointing import pointed_out
from quizzes.marking.rubric import with_rows
from trainer.study import reading


def document_of(attempt) -> reading.Document:
    """The study module as it was when the exercise was published."""
    module = attempt.revision.module_revision
    return reading.document_of(module.pk, module.published_at)


def explained(attempt) -> dict:
    """What the pages that show a critique afterwards have in common."""
    revision = attempt.revision
    content, written = (
        CritiqueContent.read(revision.content),
        Critique.read(attempt.answer),
    )
    document = document_of(attempt)
    found = pointed_out(written.text, document.glossary, document.priorities)
    return {
        "attempt": attempt,
        "revision": revision,
        "content": content,
        "key": CritiqueKey.read(revision.key),
        "written": written,
        "card": dog_card(attempt, content, told=True),
        "found": found,
        "terms": found.terms,
        "ticked": _rows(content, written.covered, True),
        "not_ticked": _rows(content, written.covered, False),
    }


def _rows(content, covered, ticked: bool) -> str:
    """The rows of the checklist that were ticked, or those that were not, on one line."""
    rows = enumerate(content.checklist)
    return ", ".join(row for at, row in rows if (at in covered) == ticked)


def result_page(request, attempt, grades):
    """The critique explained; its marks once a mentor has returned them."""
    shown = explained(attempt)
    mark = attempt.marks.returned().select_related("marker").first()
    context = {
        **shown,
        "is_own": attempt.trainee_id == request.user.pk,
        "marked": mark and with_rows(mark, shown["key"].rubric),
    }
    return render(request, "quizzes/critique/result.html", context)
