"""Pages of certificates: the organiser's list, one's own, and the public page that checks one."""

from __future__ import annotations

import logging

from allauth.core import ratelimit
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.db.models import Prefetch
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from trainer.seminars import certificate_paper, certifying
from trainer.seminars.after_forms import EmblemForm, WhyForm
from trainer.seminars.attendance import attended, with_stays
from trainer.seminars.erasing import GONE
from trainer.seminars.models import Attendee, Certificate, Seminar
from trainer.seminars.throttle import Limit
from trainer.typeset import NotTypeset

log = logging.getLogger(__name__)
PER_PAGE = 60
PER_PDF = 100
WRONG_CODES = Limit("certificate-miss", device=30, address=300, seconds=600)
PRIVATE = {"Cache-Control": "private, no-store", "X-Content-Type-Options": "nosniff"}


def run(request, pk) -> Seminar:
    """The seminar of a club in which the person is an organiser; 404 for others."""
    mine = Seminar.objects.run_by(request.user).select_related("club")
    return get_object_or_404(mine, pk=pk)


@require_safe
def certificates(request, pk):
    """Everybody who was there, with their hours and their certificate."""
    return _listed(request, run(request, pk), EmblemForm())


def _listed(request, seminar, form, status=200):
    now, parts = timezone.now(), list(seminar.sessions.all())
    issued = Certificate.objects.filter(seminar=seminar).order_by("-number")
    people = with_stays(seminar.attendees.order_by("name", "pk")).prefetch_related(
        Prefetch("certificates", issued.select_related("seminar__club"))
    )
    page = Paginator(people, PER_PAGE).get_page(request.GET.get("page"))
    valid = issued.filter(withdrawn_at=None)
    context = {
        "seminar": seminar,
        "page": page,
        "rows": [_row(one, parts) for one in attended(seminar, parts, page, now)],
        "valid": (n := valid.count()),
        "pdfs": range(1, -(-n // PER_PDF) + 1),
        "withdrawn": issued.exclude(withdrawn_at=None).count(),
        "nameless": issued.filter(says__has_key=GONE).count(),
        "why_not": certifying.why_not(seminar),
        "form": form,
        "without": _without(seminar, valid),
        "has_any": issued.exists(),
        "claim": certifying.no_claim(),
    }
    return render(request, "seminars/certificates.html", context, status=status)


def _without(seminar, valid) -> int:
    """How many were signed in and have no certificate that holds."""
    held = valid.exclude(attendee=None).values("attendee")
    there = seminar.attendees.filter(stays__isnull=False).exclude(pk__in=held)
    return there.distinct().count()


def _row(one, parts) -> dict:
    found = list(one.attendee.certificates.all())
    valid = next((each for each in found if each.withdrawn_at is None), None)
    return {
        "attendee": one.attendee,
        "hours": one.hours,
        "valid": valid,
        "withdrawn": [each for each in found if each.withdrawn_at],
        "differs": valid is not None
        and not valid.says.get(GONE)
        and certifying.differs(valid, one, parts),
    }


@require_POST
def certificates_issue(request, pk):
    """For everybody who was there and has none, or for the one that is named."""
    seminar, sent = run(request, pk), request.POST.get("attendee", "")
    only = [int(sent)] if sent.isdecimal() and len(sent) < 12 else None
    if sent and only is None:
        raise Http404
    try:
        made = certifying.issue(seminar, by=request.user, now=timezone.now(), only=only)
    except ValidationError as refusal:
        messages.error(request, refusal.messages[0])
    else:
        text = ngettext(
            "%(n)s certificate is issued.", "%(n)s certificates are issued.", len(made)
        )
        messages.success(request, text % {"n": len(made)})
    return redirect("seminars:certificates", pk=pk)


def _certificate(request, pk, number) -> Certificate:
    mine = Certificate.objects.editable_by(request.user)
    found = mine.select_related("seminar__club", "attendee")
    return get_object_or_404(found, seminar=pk, number=number)


@require_http_methods(["GET", "POST"])
def certificate_withdraw(request, pk, number):
    """Ask why, then withdraw it; or withdraw it and issue it anew with what holds now."""
    certificate = _certificate(request, pk, number)
    form = WhyForm(request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        try:
            _withdrawn(request, certificate, form.cleaned_data["why"])
            return redirect("seminars:certificates", pk=pk)
        except ValidationError as refusal:
            form.add_error(None, refusal)
    context = {"certificate": certificate, "seminar": certificate.seminar, "form": form}
    status = 422 if form.is_bound else 200
    return render(request, "seminars/certificate_withdraw.html", context, status=status)


def _withdrawn(request, certificate, why) -> None:
    given = {"by": request.user, "now": timezone.now()}
    if request.POST.get("do") == "anew":
        made = certifying.issue_anew(certificate, why, **given)
        said = _("Number %(old)s is withdrawn, number %(new)s issued.")
        values = {"old": certificate.number, "new": made.number}
    else:
        certifying.withdraw(certificate, why, **given)
        said, values = _("Number %(old)s is withdrawn."), {"old": certificate.number}
    messages.success(request, said % values)


@require_POST
def emblem(request, pk):
    """The club's emblem on the certificates, as long as none is issued; without a file it is taken off."""
    seminar = run(request, pk)
    if seminar.certificates.exists():
        messages.error(request, _("It stays as it is: certificates are issued."))
        return redirect("seminars:certificates", pk=pk)
    form = EmblemForm(request.POST, request.FILES)
    if not form.is_valid():
        return _listed(request, seminar, form, status=422)
    Seminar.objects.filter(pk=pk).update(emblem=form.cleaned_data["file"])
    messages.success(request, _("Saved."))
    return redirect("seminars:certificates", pk=pk)


@require_safe
def certificates_pdf(request, pk):
    """All that hold, to print, a page for each; so many at once that one PDF does not take long."""
    seminar = run(request, pk)
    found = seminar.certificates.filter(withdrawn_at=None).order_by("number")
    page = Paginator(found, PER_PDF).get_page(request.GET.get("page"))
    return _pdf(request, seminar, list(page), f"certificates-{page.number}")


@require_safe
def certificate_pdf(request, pk, number):
    certificate = _certificate(request, pk, number)
    name = f"certificate-{certificate.number}"
    return _pdf(request, certificate.seminar, [certificate], name)


@require_safe
def my_certificate(request, pk):
    """One's own, as it was issued."""
    mine = Attendee.objects.owned_by(request.user).select_related("seminar__club")
    place = get_object_or_404(mine, seminar=pk)
    certificate = certifying.valid_of(place)
    if certificate is None:
        raise Http404
    name = f"certificate-{certificate.number}"
    return _pdf(request, place.seminar, [certificate], name)


def _pdf(request, seminar, found, name):
    shown = [one for one in found if not one.says.get(GONE)]
    if not shown:
        raise Http404
    try:
        content = certificate_paper.pdf(seminar, shown, address_on(request))
    except NotTypeset as error:
        log.error("Certificates of seminar %s were not set: %s", seminar.pk, error)
        messages.error(request, _("The PDF could not be made. Try it again later."))
        return redirect(seminar)
    return sent(content, "application/pdf", f"{name}.pdf")


def sent(content, content_type: str, name: str) -> HttpResponse:
    """A file with names of people in it, which nobody on the way may keep."""
    response = HttpResponse(content, content_type=content_type, headers=PRIVATE)
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


def address_on(request):
    """The whole address of the page that checks a certificate, from its code."""
    return lambda code: request.build_absolute_uri(
        reverse("seminars:certificate-check", args=[code])
    )


@login_not_required
@require_safe
def certificate_check(request, code):
    """What the certificate shows, and whether it holds; every unknown code is the same 404."""
    if WRONG_CODES.is_reached(request):
        return ratelimit.respond_429(request)
    certificate = Certificate.objects.with_code(code).first()
    if certificate is None:
        WRONG_CODES.count(request)
        raise Http404
    context = {
        "certificate": certificate,
        "says": certificate.says,
        "is_erased": bool(certificate.says.get(GONE)),
    }
    if not context["is_erased"]:
        context["when"] = certificate_paper.when(certificate.says)
        context["hours"] = certificate_paper.hours_said(certificate.says["hours"])
    response = render(request, "seminars/certificate_check.html", context)
    response["X-Robots-Tag"] = "noindex, nofollow, noarchive"
    response["Cache-Control"] = "private, no-store"
    return response
