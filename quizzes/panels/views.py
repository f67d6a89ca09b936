"""The pages of a panel: opened on a class, keyed by each mentor alone, read together, adopted."""

from __future__ import annotations

import random

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from quizzes.kinds.placing import pictures
from quizzes.kinds.placing.builder import sent_version
from quizzes.kinds.placing.compare import compare_page
from quizzes.kinds.placing.content import ClassKey
from quizzes.kinds.placing.forms import faults_named
from quizzes.kinds.placing.key_desk import changed_key, key_from_post
from quizzes.kinds.placing.kind import KIND
from quizzes.models import Exercise, Panel, PanelKey, Revision
from quizzes.panels import services
from quizzes.panels.desk import PanelDesk, shown_content
from quizzes.panels.findings import with_reasons
from quizzes.panels.forms import AdoptForm, MoreForm, OpenForm
from quizzes.panels.report import Report


def posted(request):
    """What was sent, if anything was; a form of ticks may be sent with none."""
    return request.POST if request.method == "POST" else None


def latest(request, pk) -> Revision:
    """The class as a panel is shown it: its draft, else what is in force."""
    mine = Exercise.objects.editable_by(request.user)
    exercise = get_object_or_404(mine, pk=pk, kind=KIND.slug)
    revisions = exercise.revisions.select_related(
        "exercise__module__breed", "exercise__club", "edited_by"
    )
    return revisions.first()


def last_panel(request, pk) -> Panel | None:
    """The open panel of the class, or the one closed last."""
    panels = Panel.objects.visible_to(request.user).filter(exercise=pk)
    return panels.select_related("opened_by", "exercise").first()


@require_http_methods(["GET", "HEAD", "POST"])
def panel(request, pk):
    """Ask for a panel; who has keyed, while it is open; what they say, once it is closed."""
    revision, found = latest(request, pk), last_panel(request, pk)
    if request.method == "POST" or found is None or "again" in request.GET:
        return _open(request, revision, found)
    if found.is_open:
        return _waiting(request, revision, found)
    context = {
        "revision": revision,
        "panel": found,
        "report": Report(found),
        "dogs_changed": services.dogs_changed(found, revision),
    }
    return render(request, "quizzes/panels/closed.html", context)


def _open(request, revision, earlier):
    """The form that opens a panel; a second press finds the panel of the first."""
    if earlier is not None and earlier.is_open:
        return redirect(earlier)
    form = OpenForm(posted(request), club=revision.exercise.club)
    if form.is_valid():
        try:
            opened = services.open_panel(
                revision,
                mentors=form.cleaned_data["mentors"],
                message=form.cleaned_data["message"],
                by=request.user,
                now=timezone.now(),
                rng=random.SystemRandom(),
                address=request.build_absolute_uri,
            )
        except ValidationError as refusal:
            form.add_error("mentors", refusal)
        else:
            messages.success(
                request, _("The panel is open. The other mentors get a mail.")
            )
            return redirect(opened)
    context = {
        "revision": revision,
        "form": form,
        "dogs": revision.size,
        "is_known": revision.exercise.revisions.exclude(state="draft").exists(),
    }
    status = 422 if form.is_bound else 200
    return render(request, "quizzes/panels/open.html", context, status=status)


def _waiting(request, revision, found, more=None):
    keys = list(found.keys.select_related("mentor").defer("key", "shown"))
    asked = [key.mentor_id for key in keys]
    context = {
        "revision": revision,
        "panel": found,
        "keys": keys,
        "done": sum(key.done_at is not None for key in keys),
        "own": next((key for key in keys if key.mentor_id == request.user.pk), None),
        "may_close": Panel.objects.run_by(request.user).filter(pk=found.pk).exists(),
        "dogs_changed": services.dogs_changed(found, revision),
        "more": more or MoreForm(club=revision.exercise.club, asked=asked),
    }
    status = 422 if more else 200
    return render(request, "quizzes/panels/waiting.html", context, status=status)


def run_panel(request, pk) -> Panel:
    """The panel of the class that the person opened, the last one."""
    found = Panel.objects.run_by(request.user).filter(exercise=pk).first()
    if found is None:
        raise Http404
    return found


@require_POST
def close(request, pk):
    """End the keying, so that everybody's key can be read."""
    closed = services.close_panel(run_panel(request, pk), now=timezone.now())
    messages.success(request, _("The panel is closed. Here is what it says."))
    return redirect(closed)


@require_POST
def more(request, pk):
    """Ask some more mentors."""
    found, revision = run_panel(request, pk), latest(request, pk)
    form = MoreForm(request.POST, club=revision.exercise.club)
    if not form.is_valid():
        return _waiting(request, revision, found, more=form)
    try:
        services.ask(
            found,
            revision,
            mentors=form.cleaned_data["mentors"],
            by=request.user,
            rng=random.SystemRandom(),
            address=request.build_absolute_uri,
        )
        messages.success(request, _("Asked. They get a mail."))
    except services.PanelClosed as refusal:
        messages.error(request, refusal.messages[0])
    return redirect(found)


@require_POST
def dogs_anew(request, pk):
    """Show the panel the dogs as they are in the class now."""
    found, revision = run_panel(request, pk), latest(request, pk)
    try:
        services.show_dogs_anew(
            found,
            revision,
            by=request.user,
            rng=random.SystemRandom(),
            address=request.build_absolute_uri,
        )
        text = _(
            "The panel sees the dogs as they are now. Every key is to be done anew."
        )
        messages.success(request, text)
    except services.PanelClosed as refusal:
        messages.error(request, refusal.messages[0])
    return redirect(found)


@require_http_methods(["GET", "HEAD", "POST"])
def adopt(request, pk):
    """One of the best orders with reasons to choose from; then it is the draft's key."""
    revision, found = latest(request, pk), last_panel(request, pk)
    if found is None or found.is_open:
        raise Http404
    report = Report(found)
    number = _number(request, report)
    made = report.found.key(number)
    pairs = report.found.neighbours(made)
    form = AdoptForm(posted(request), pairs=pairs, said=report.said)
    if form.is_valid():
        adopted = with_reasons(made, pairs, form.chosen)
        try:
            services.adopt(found, adopted, by=request.user)
        except ValidationError as refusal:
            form.add_error(None, refusal)
        else:
            text = _(
                "The panel's key is in the draft. Change what you like, then publish."
            )
            messages.success(request, text)
            return redirect("quizzes:placing-key", pk=pk)
    context = {
        "revision": revision,
        "panel": found,
        "report": report,
        "form": form,
        "number": number,
        "dogs": report.in_places(report.found.groups(number)),
        "pairs": report.pairs(pairs, form),
        "has_cuts": any(pair.cut for pair in pairs),
    }
    status = 422 if form.errors else 200
    return render(request, "quizzes/panels/adopt.html", context, status=status)


def _number(request, report) -> int:
    """Which of the best orders is meant; the first without a word. 404 for none."""
    text = request.GET.get("order", "0")
    known = len(report.found.kemeny.orders) if report.can_be_compared else 0
    if not text.isdecimal() or int(text) >= known:
        raise Http404
    return int(text)


def asked_key(request, pk) -> PanelKey:
    """The person's own key for an open panel."""
    mine = PanelKey.objects.asked_of(request.user).select_related(
        "panel__exercise__module__breed", "panel__exercise__club", "panel__opened_by"
    )
    return get_object_or_404(mine, pk=pk)


@require_http_methods(["GET", "HEAD", "POST"])
def key(request, pk):
    """Key the class alone: the dogs, and the key desk. Every button saves all of it."""
    asked = asked_key(request, pk)
    content, made = shown_content(asked), ClassKey.read(asked.key)
    error, version = None, asked.version
    if request.method == "POST":
        do = request.POST.get("do", "save")
        made = key_from_post(request.POST, content, made)
        try:
            if do != "done":
                made = changed_key(made, do, content)
            saved = services.save_key(
                asked,
                made,
                version=sent_version(request),
                done=do == "done",
                now=timezone.now(),
            )
        except services.PanelClosed as refusal:
            messages.error(request, refusal.messages[0])
            return redirect(asked.panel)
        except ValidationError as refusal:
            error = refusal.messages[0]
            version = PanelKey.objects.values_list("version", flat=True).get(pk=pk)
        else:
            return _after_key(request, saved, do)
    revision = latest(request, asked.panel.exercise_id)
    context = {
        "asked": asked,
        "panel": asked.panel,
        "revision": revision,
        "desk": PanelDesk(
            asked,
            made,
            list(revision.module_revision.priorities.all()),
            moved=request.GET.get("moved", ""),
        ),
        "faults": faults_named(revision.module_revision_id),
        "error": error,
        "version": version,
        "wants": "wants" in request.GET,
    }
    status = 422 if error else 200
    return render(request, "quizzes/panels/key.html", context, status=status)


def _after_key(request, saved, do):
    """Back to where the button was; on to what is missing where the key is not done."""
    if do == "done" and saved.done_at:
        text = _("Your key is in. You can change it until the panel is closed.")
        messages.success(request, text)
        return redirect(saved)
    if do == "done":
        query, anchor = {"wants": "yes"}, "wanted"
    else:
        where = "dog" if request.GET.get("from") == "dogs" else "at"
        target = do.partition(":")[2]
        query, anchor = None, f"{where}-{target}" if target else None
    address = reverse(
        "quizzes:panel-key", args=[saved.pk], query=query, fragment=anchor
    )
    return redirect(address)


@require_safe
def plate(request, pk, dog):
    """A dog as the panel is shown it."""
    content = shown_content(asked_key(request, pk))
    return pictures.plate_of(request, content, dog, told=False)


@require_safe
def overlay(request, pk, first, second):
    """Two dogs laid over each other, as the panel is shown them."""
    content = shown_content(asked_key(request, pk))
    return pictures.overlay_of(request, content, first, second)


@require_safe
def compare(request, pk):
    """Two dogs side by side or laid over each other, for whoever keys the class."""
    asked = asked_key(request, pk)
    desk = PanelDesk(asked, ClassKey.read(asked.key), ())
    revision = latest(request, asked.panel.exercise_id)
    return compare_page(request, desk, revision, home=asked.get_absolute_url())
