"""The report for the club: as a page, a PDF, and tables."""

from __future__ import annotations

import logging

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from trainer.seminars import report_paper, report_tables
from trainer.seminars.certificates import run, sent
from trainer.seminars.report import report
from trainer.typeset import NotTypeset

log = logging.getLogger(__name__)
PER_PAGE = 60
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@require_safe
def report_page(request, pk):
    """All of it; attendance so many at a time."""
    seminar = run(request, pk)
    found = report(seminar, timezone.now())
    people = Paginator(found["attendance"], PER_PAGE)
    context = {
        "seminar": seminar,
        "report": found,
        "came": report_paper.came_said(found),
        "page": people.get_page(request.GET.get("page")),
        "tables": report_tables.titles().items(),
    }
    return render(request, "seminars/report.html", context)


@require_safe
def report_pdf(request, pk):
    seminar, now = run(request, pk), timezone.now()
    try:
        content = report_paper.pdf(seminar, report(seminar, now), now)
    except NotTypeset as error:
        log.error("The report of seminar %s was not set: %s", pk, error)
        messages.error(request, _("The PDF could not be made. Try it again later."))
        return redirect("seminars:report", pk=pk)
    return sent(content, "application/pdf", "seminar-report.pdf")


@require_safe
def report_xlsx(request, pk):
    """Every table as a sheet."""
    found = report(run(request, pk), timezone.now())
    return sent(report_tables.as_xlsx(found), XLSX, "seminar-report.xlsx")


@require_safe
def report_csv(request, pk, which):
    """One of the tables."""
    seminar = run(request, pk)
    if which not in report_tables.NAMES:
        raise Http404
    rows = report_tables.tables(report(seminar, timezone.now()))[which]
    kind = "text/csv; charset=utf-8; header=present"
    return sent(report_tables.as_csv(rows), kind, f"seminar-{which}.csv")
