"""The desk's pages of whole modules: begun, what they lack, offered, published, compared."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from trainer.clubs.models import Club, Role
from trainer.study.desk import comparing, drafts
from trainer.study.desk.forms import COPY, NewModuleForm
from trainer.study.desk.lacking import Lack, Whole, lacking, lacking_in
from trainer.study.desk.pages import latest, mine, on_draft
from trainer.study.models import Module, ModuleRevision
from trainer.study.parts import PARTS, Part, module_document
from trainer.study.services import BadDocument

State = ModuleRevision.State


@require_safe
def module_list(request):
    """The modules of the clubs the person teaches in."""
    modules = Module.objects.editable_by(request.user).select_related("breed", "club")
    if not Club.objects.taught_by(request.user).exists():
        raise Http404
    context = {"modules": modules.prefetch_related("revisions")}
    return render(request, "study/desk/module_list.html", context)


@require_http_methods(["GET", "POST"])
def module_new(request):
    """A new module: empty, or a copy."""
    if not Club.objects.taught_by(request.user).exists():
        raise Http404
    form = NewModuleForm(request.POST or None, user=request.user)
    if request.method == "POST" and form.is_valid():
        try:
            draft = _begun(form.cleaned_data, by=request.user, now=timezone.now())
        except BadDocument as error:
            form.add_error("source", error)
        else:
            messages.success(request, _("Begun. Go through the parts in any order."))
            return redirect("desk:module", pk=draft.module_id)
    status = 422 if form.is_bound else 200
    return render(request, "study/desk/module_new.html", {"form": form}, status=status)


def _begun(wanted: dict, *, by, now) -> ModuleRevision:
    named = {"breed_name": wanted["breed"], "title": wanted["title"]}
    if wanted["start"] != COPY:
        return drafts.new_module(wanted["club"], **named, by=by, now=now)
    document = module_document(wanted["source"].revisions.first())
    return drafts.module_from(wanted["club"], document, **named, by=by, now=now)


@require_safe
def module_path(request, pk):
    """What the module has, what it lacks, and what can be done with it."""
    module = mine(request, pk)
    revision = latest(module)
    whole = Whole(revision)
    found = lacking(whole)
    is_draft = revision.state == State.DRAFT
    revisions = list(module.revisions.select_related("edited_by"))
    context = {
        "module": module,
        "revision": revision,
        "revisions": revisions,
        "is_draft": is_draft,
        "in_force": next((r for r in revisions if r.state == State.PUBLISHED), None),
        "parts": [_part_line(whole, part, found) for part in PARTS.values()],
        "about_lacks": _of("about", found),
        "weight_lacks": _of("weights", found),
        "lacks": len(found),
        "may_publish": drafts.who_may_publish(revision, request.user),
        "mentors": others_teaching(module, request.user),
        "changed": _changed(revisions) if is_draft else None,
    }
    return render(request, "study/desk/module.html", context)


def others_teaching(module: Module, user) -> int:
    """How many other mentors the club has, to review what is offered."""
    held = module.club.memberships.filter(role=Role.MENTOR)
    return held.exclude(user=user).values("user").distinct().count()


def _changed(revisions: list[ModuleRevision]) -> int | None:
    """In how many places the draft differs from what was published last; None if nothing was."""
    if len(revisions) < 2:
        return None
    return len(comparing.changes(revisions[1], revisions[0]))


def _of(part: str, lacks: list[Lack]) -> list[Lack]:
    return [lack for lack in lacks if lack.part == part]


def _part_line(whole: Whole, part: Part, lacks: list[Lack]) -> dict:
    return {
        "part": part,
        "count": len(whole.rows(part.slug)),
        "lacks": _of(part.slug, lacks),
    }


@require_POST
def module_begin(request, pk):
    """Begin the next revision, as a copy of the latest."""
    draft = drafts.draft_of(mine(request, pk), by=request.user, now=timezone.now())
    text = _("Revision %(n)s is begun. What is in force stays until you publish.")
    messages.success(request, text % {"n": draft.number})
    return redirect("desk:module", pk=pk)


@require_POST
@on_draft
def module_offer(request, draft):
    """Offer the draft to the other mentors, or take it back."""
    if request.POST.get("do") == "back":
        drafts.take_back(draft)
        messages.success(request, _("It is a draft again, not offered any more."))
    else:
        drafts.offer(draft, by=request.user, now=timezone.now())
        text = _("Offered. The other mentors of the club see it on their desk.")
        messages.success(request, text)
    return redirect("desk:module", pk=draft.module_id)


@require_POST
@on_draft
def module_publish(request, draft):
    """Put the draft in force."""
    drafts.publish(draft, by=request.user, now=timezone.now(), lacking=lacking_in)
    messages.success(request, _("Published. Everybody in the club can read it."))
    return redirect("desk:module", pk=draft.module_id)


@require_http_methods(["GET", "POST"])
def module_withdraw(request, pk):
    """Take what is in force out of force, after asking."""
    module = mine(request, pk)
    revision = get_object_or_404(module.revisions.in_force())
    if request.method == "POST":
        drafts.withdraw(revision)
        messages.success(request, _("Withdrawn. Only mentors see the module now."))
        return redirect("desk:module", pk=pk)
    context = {"module": module, "revision": revision}
    return render(request, "study/desk/withdraw.html", context)


@require_http_methods(["GET", "POST"])
@on_draft
def module_discard(request, draft):
    """Throw the draft away, after asking."""
    if request.method != "POST":
        return render(request, "study/desk/discard.html", {"draft": draft})
    drafts.discard(draft)
    messages.success(request, _("The draft is thrown away."))
    if Module.objects.filter(pk=draft.module_id).exists():
        return redirect("desk:module", pk=draft.module_id)
    return redirect("desk:module-list")


@require_safe
def compare(request, pk):
    """Two revisions, what the one says and the other does not."""
    module = mine(request, pk)
    revisions = list(module.revisions.all())
    newer = _numbered(revisions, request.GET.get("new"), 0)
    older = _numbered(revisions, request.GET.get("old"), 1)
    context = {
        "module": module,
        "revisions": revisions,
        "newer": newer,
        "older": older,
        "changes": comparing.changes(older, newer) if older and newer else [],
    }
    return render(request, "study/desk/compare.html", context)


def _numbered(revisions: list, number: str | None, at: int) -> ModuleRevision | None:
    """The revision asked for by number; without a number the one at this place."""
    if number and number.isdecimal():
        return next((r for r in revisions if r.number == int(number)), None)
    return revisions[at] if at < len(revisions) else None
