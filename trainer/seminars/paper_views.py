"""The organiser's page of papers, and each of them as a PDF."""

from __future__ import annotations

import logging

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from trainer.seminars import asking, papers
from trainer.seminars.certificates import run, sent
from trainer.seminars.models import Seminar, Sitting
from trainer.typeset import NotTypeset

log = logging.getLogger(__name__)
BADGES_AT_ONCE = 96
"""A dozen pages of eight, so that one PDF does not take long."""


@require_safe
def papers_page(request, pk):
    """What can be printed."""
    seminar = run(request, pk)
    many = seminar.attendees.enrolled().count()
    context = {
        "seminar": seminar,
        "many": many,
        "badges": range(1, -(-many // BADGES_AT_ONCE) + 1),
        "classes": [
            one for one in _sittings(seminar) if asking.is_placing(one.revision)
        ],
    }
    return render(request, "seminars/papers.html", context)


def _sittings(seminar: Seminar):
    """Without second placings, which have the same cards."""
    found = seminar.sittings.filter(repeats=None).select_related("revision__exercise")
    return found.defer("revision__key", "revision__content", "result")


@require_safe
def paper(request, pk, which):
    """The roster, or the badges, ?page=2 of them."""
    seminar = run(request, pk)
    people = seminar.attendees.enrolled().order_by("name", "pk")
    if which == "roster":
        return _answer(request, seminar, which, lambda: papers.roster(seminar, people))
    if which != "badges":
        raise Http404
    page = Paginator(people, BADGES_AT_ONCE).get_page(request.GET.get("page"))
    make = papers.badges
    return _answer(
        request, seminar, which, lambda: make(seminar, page, _personal(request))
    )


CLASS_PAPERS = {"cards": papers.cards, "class": papers.class_sheet}


@require_safe
def class_paper(request, pk, number, which):
    """Answer cards or the sheet of one class."""
    seminar = run(request, pk)
    if which not in CLASS_PAPERS:
        raise Http404
    sitting, make = _class(seminar, number), CLASS_PAPERS[which]
    return _answer(request, seminar, f"{which}-{number}", lambda: make(sitting))


def _answer(request, seminar, name, make):
    try:
        content = make()
    except NotTypeset as error:
        log.error("%s of seminar %s was not set: %s", name, seminar.pk, error)
        messages.error(request, _("The PDF could not be made. Try it again later."))
        return redirect("seminars:papers", pk=seminar.pk)
    return sent(content, "application/pdf", f"{name}.pdf")


def _class(seminar, number) -> Sitting:
    found = seminar.sittings.select_related("revision__exercise", "seminar__club")
    sitting = get_object_or_404(found.defer("revision__key", "result"), number=number)
    if not asking.is_placing(sitting.revision):
        raise Http404
    return sitting


def _personal(request):
    return lambda code: request.build_absolute_uri(
        reverse("seminars:personal", args=[code])
    )
