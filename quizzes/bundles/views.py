"""A module out as a bundle, and in again: what would come of it first, then the button."""

from __future__ import annotations

from io import BytesIO

from allauth.decorators import rate_limit
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from quizzes.bundles import bag, checking, documents, importing, kept
from quizzes.bundles.forms import BundleForm, ConsentForm, ExportForm
from quizzes.bundles.refusals import BadBundle
from trainer.clubs.models import Club
from trainer.study.models import Module, ModuleRevision

HEADERS = {
    "Content-Security-Policy": "default-src 'none'; sandbox",
    "X-Content-Type-Options": "nosniff",
}


@require_http_methods(["GET", "HEAD", "POST"])
@rate_limit(action="bundle")
def bundle_import(request):
    """Choose a file; one that holds is kept, and its report comes next."""
    if not Club.objects.taught_by(request.user).exists():
        raise Http404
    sent = (request.POST, request.FILES) if request.method == "POST" else ()
    form = BundleForm(*sent, user=request.user)
    if request.method == "POST" and form.is_valid():
        file, club = form.cleaned_data["file"], form.cleaned_data["club"]
        try:
            _tried(file, club, request.user)
        except BadBundle as error:
            form.add_error("file", error)
        else:
            key = kept.keep(request.session, file, club, now=timezone.now())
            return redirect("quizzes:bundle-report", key=key)
    status = 422 if form.is_bound else 200
    return render(request, "quizzes/bundles/import.html", {"form": form}, status=status)


def _tried(file, club, by, *, decode=True) -> importing.Report:
    """What the file would make; its photographs are looked into once, when it is sent."""
    bundle = checking.from_file(file, club)
    return importing.trial(bundle, club=club, by=by, now=timezone.now(), decode=decode)


@require_http_methods(["GET", "HEAD", "POST"])
@rate_limit(action="bundle")
def bundle_report(request, key):
    """What the bundle would make; posted, it is made."""
    taught = Club.objects.taught_by(request.user)
    if not taught.exists():
        raise Http404
    kept.sweep(now=timezone.now())
    club = taught.filter(pk=kept.club_of(request.session, key)).first()
    if club is None:
        messages.error(request, _("The file is no longer kept. Choose it again."))
        return redirect("quizzes:bundle-import")
    form = ConsentForm(request.POST if request.method == "POST" else None)
    try:
        with kept.opened(key) as file:
            if request.method == "POST" and form.is_valid():
                return _stored(request, file, club, key, form.cleaned_data["agreed"])
            report = _tried(file, club, request.user, decode=False)
    except BadBundle as error:
        for text in error.messages:
            messages.error(request, text)
        return redirect("quizzes:bundle-import")
    context = {"club": club, "report": report, "form": form}
    return render(request, "quizzes/bundles/report.html", context)


def _stored(request, file, club, key: str, agreed: bool):
    bundle = checking.from_file(file, club)
    report = importing.take(
        bundle, club=club, by=request.user, now=timezone.now(), agreed=agreed
    )
    kept.forget(request.session, key)
    text = _("Taken in. Everything that is new is a draft until you publish it.")
    messages.success(request, text)
    return redirect("desk:module", pk=report.revision.module_id)


def _module(request, pk: int) -> Module:
    mine = Module.objects.editable_by(request.user).select_related("breed", "club")
    return get_object_or_404(mine, pk=pk)


@require_safe
def bundle_export(request, pk):
    """Which revision goes out and for whom, and which photographs stay here."""
    return _export_page(request, _module(request, pk))


def _export_page(request, module, form=None, problems=(), status=200):
    revisions = list(module.revisions.all())
    published = (r for r in revisions if r.state == ModuleRevision.State.PUBLISHED)
    first = next(published, revisions[0])
    start = {"revision": first.pk, "profile": documents.AUTHORING}
    found = documents.export(
        first, profile=documents.AUTHORING, now=timezone.now(), reader=request.user
    )
    context = {
        "module": module,
        "revision": first,
        "form": form or ExportForm(module=module, initial=start),
        "kept_back": sorted(found.kept_back.items()),
        "left_out": found.left_out,
        "problems": problems,
    }
    return render(request, "quizzes/bundles/export.html", context, status=status)


@require_safe
@rate_limit(action="bundle", limit_get=True)
def bundle_file(request, pk):
    """The bundle, if this site would take it in again."""
    module = _module(request, pk)
    form = ExportForm(request.GET, module=module)
    if not form.is_valid():
        return _export_page(request, module, form, status=422)
    now = timezone.now()
    wanted = form.cleaned_data
    try:
        found = documents.export(
            wanted["revision"],
            profile=wanted["profile"],
            now=now,
            reader=request.user,
        )
        data = bag.written(found.bag, now=now)
        checking.checked(bag.read(BytesIO(data)))
    except ValidationError as error:
        return _export_page(request, module, form, error.messages, status=422)
    name = f'attachment; filename="{found.bag.name}.zip"'
    return HttpResponse(
        data,
        content_type="application/zip",
        headers={**HEADERS, "Content-Disposition": name},
    )
