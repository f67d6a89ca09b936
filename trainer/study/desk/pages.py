"""What the desk's pages share: whose draft it is, and how a form is kept or refused."""

from __future__ import annotations

from functools import wraps

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _

from trainer.http import said_saved, wants_json
from trainer.study.desk import drafts
from trainer.study.models import Module, ModuleRevision
from trainer.study.parts import PARTS, Part

State = ModuleRevision.State


def mine(request: HttpRequest, pk: int) -> Module:
    """The module, if the person is a mentor of its club."""
    modules = Module.objects.editable_by(request.user).select_related("breed", "club")
    return get_object_or_404(modules, pk=pk)


def latest(module: Module) -> ModuleRevision:
    """The draft if there is one, else the latest revision."""
    revisions = module.revisions.select_related(
        "module__breed", "module__club", "edited_by", "offered_by"
    )
    return revisions.first()


def on_draft(view):
    """The view gets the module's draft; without one the module's page says how to begin it.

    What is posted to a draft that was published meanwhile reaches the view, so that nothing typed is lost;
    what a service refuses is said on the module's page.
    """

    @wraps(view)
    def inner(request, pk, **kwargs):
        draft = latest(mine(request, pk))
        if draft.state != State.DRAFT and request.method != "POST":
            messages.info(request, _("Begin the next revision to change something."))
            return redirect("desk:module", pk=pk)
        try:
            return view(request, draft, **kwargs)
        except ValidationError as error:
            messages.error(request, error.messages[0])
            return redirect("desk:module", pk=pk)

    return inner


def part_named(slug: str) -> Part:
    if slug not in PARTS:
        raise Http404
    return PARTS[slug]


def row_of(revision: ModuleRevision, part: Part, pk: int):
    """The row of the revision; a ValidationError if somebody took it out."""
    row = part.of(revision).select_related("edited_by").filter(pk=pk).first()
    if row is None:
        text = _("It was taken out meanwhile. It can be put back on the part's page.")
        raise ValidationError(text, code="gone")
    return row


def edited(request, form, save, template: str, context: dict):
    """The form's page; posted, the form is kept and the answer says so, or why not."""
    status, now = 200, timezone.now()
    context |= {"writing": drafts.also_writing(form.instance, request.user, now=now)}
    if request.method == "POST":
        status = 422
        if form.is_valid():
            try:
                saved = save(form)
            except drafts.EditedElsewhere as error:
                status = 409
                context |= _theirs(form, error)
            except ValidationError as error:
                form.add_error(None, error)
            else:
                return _saved(request, saved)
    if wants_json(request) and status != 200:
        return _refused(form, context, status)
    return render(request, template, {"form": form, **context}, status=status)


def _theirs(form, error: drafts.EditedElsewhere) -> dict:
    """What the other one saved; sent once more, the person's own words are kept."""
    form.data = {**form.data.dict(), "version": error.theirs.version}
    text = error.messages[0]
    return {"conflict": text, "theirs": form.told(error.theirs)}


def _saved(request, saved):
    if wants_json(request):
        return JsonResponse({"version": saved.version, "said": said_saved()})
    text = _("Saved.")
    if request.POST.get("do") == "suggest":
        text = _(
            "Saved, with a suggestion in each empty phrase. Say it in your own words."
        )
    messages.success(request, text)
    return redirect(next_page(request))


def next_page(request) -> str:
    """Where a saved form leads on to: the row after it if that was asked for, else the same page."""
    onward = request.POST.get("onward", "")
    # Only an address of the desk's own, as the page offers it.
    return onward if onward.startswith("/workshop/modules/") else request.path


def _refused(form, context: dict, status: int):
    if status == 409:
        said = context["conflict"] + " " + _("Press Save to see both.")
    else:
        said = _("Not saved: %(why)s") % {"why": _first_error(form)}
    return JsonResponse({"said": said}, status=status)


def _first_error(form) -> str:
    name, errors = next(iter(form.errors.items()))
    label = form.fields[name].label if name in form.fields else ""
    return f"{label}: {errors[0]}" if label else str(errors[0])


def place_asked_for(request: HttpRequest, at: int) -> int:
    """The place that was posted as `to`: one up or down from where it stands, or a number."""
    to = request.POST.get("to", "")
    steps = {"up": at - 1, "down": at + 1}
    if to in steps:
        return steps[to]
    if not to.isdecimal():
        raise ValidationError(_("Type the place as a number."), code="number")
    return int(to)
