"""The desk's pages: the modules a mentor writes, and every part of their drafts."""

from __future__ import annotations

from functools import wraps

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.template.defaultfilters import date
from django.utils import timezone
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from trainer.clubs.models import Club
from trainer.study.desk import comparing, drafts, lessons, suggesting
from trainer.study.desk.forms import (
    COPY,
    FILE,
    FORMS,
    AboutForm,
    NewModuleForm,
    NewRowForm,
    WeightsForm,
)
from trainer.study.desk.lacking import Lack, Whole, lacking, lacking_in
from trainer.study.desk.weighing import outweighing
from trainer.study.models import Module, ModuleRevision, Removed
from trainer.study.parts import PARTS, Part, module_document
from trainer.study.sections import KINDS, beginning, lacks_of
from trainer.study.services import BadDocument

State = ModuleRevision.State
REMOVED_SHOWN = 5


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


def wants_json(request: HttpRequest) -> bool:
    """True if the page's script saves in the background."""
    return request.headers.get("Accept") == "application/json"


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
    """A new module: empty, a copy, or from a document."""
    if not Club.objects.taught_by(request.user).exists():
        raise Http404
    form = NewModuleForm(request.POST or None, request.FILES or None, user=request.user)
    if request.method == "POST" and form.is_valid():
        try:
            draft = _begun(form.cleaned_data, by=request.user, now=timezone.now())
        except BadDocument as error:
            form.add_error("file", error)
        else:
            messages.success(request, _("Begun. Go through the parts in any order."))
            return redirect("desk:module", pk=draft.module_id)
    status = 422 if form.is_bound else 200
    return render(request, "study/desk/module_new.html", {"form": form}, status=status)


def _begun(wanted: dict, *, by, now) -> ModuleRevision:
    named = {"breed_name": wanted["breed"], "title": wanted["title"]}
    if wanted["start"] == COPY:
        document = module_document(wanted["source"].revisions.first())
    elif wanted["start"] == FILE:
        document = wanted["file"]
    else:
        return drafts.new_module(wanted["club"], **named, by=by, now=now)
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
        "mine_offered": revision.offered_by_id == request.user.pk,
    }
    return render(request, "study/desk/module.html", context)


def _of(part: str, lacks: list[Lack]) -> list[Lack]:
    return [lack for lack in lacks if lack.part == part]


def _part_line(whole: Whole, part: Part, lacks: list[Lack]) -> dict:
    return {
        "part": part,
        "count": len(whole.rows(part.slug)),
        "lacks": _of(part.slug, lacks),
    }


@require_http_methods(["GET", "POST"])
@on_draft
def about(request, draft):
    """Title, introduction, standard, where the dog is examined."""

    def save(form):
        saved = drafts.save_about(
            draft,
            by=request.user,
            now=timezone.now(),
            version=form.cleaned_data["version"],
            **form.changes(),
        )
        breed = draft.module.breed
        for name, value in form.breed_changes().items():
            setattr(breed, name, value)
        breed.save()
        return saved

    form = AboutForm(request.POST or None, instance=draft)
    return _edited(request, form, save, "study/desk/about.html", {"draft": draft})


@require_http_methods(["GET", "POST"])
@on_draft
def row_edit(request, draft, part, row):
    """One row of a draft: a priority, a step, a fault or a term."""
    kind = part_named(part)
    try:
        row = row_of(draft, kind, row)
    except ValidationError:
        if request.method != "POST":
            raise
        # Somebody took it out: the page shows what was typed, and that it is gone.
        row = kind.model(revision=draft, number=0)

    def save(form):
        more = {"phrases": form.phrases()} if part == "priorities" else {}
        return drafts.save_row(
            row,
            by=request.user,
            now=timezone.now(),
            version=form.cleaned_data["version"],
            **form.changes(),
            **more,
        )

    sent = request.POST or None
    if sent and sent.get("do") == "suggest":
        sent = suggesting.filled_in(sent)
        form = FORMS[part](sent, instance=row)
        context = {**_row_context(draft, kind, row), "suggested": True, "form": form}
        return render(request, "study/desk/row.html", context)
    form = FORMS[part](sent, instance=row)
    context = _row_context(draft, kind, row)
    return _edited(request, form, save, "study/desk/row.html", context)


def _row_context(draft, kind: Part, row) -> dict:
    rows = kind.of(draft)
    return {
        "draft": draft,
        "part": kind,
        "row": row,
        "before": rows.filter(number__lt=row.number).last(),
        "after": rows.filter(number__gt=row.number).first(),
        **(_lesson_context(draft, row) if kind.slug == "lessons" else {}),
    }


def _lesson_context(draft, lesson) -> dict:
    """The sections of a lesson with what each lacks, and those that were taken out."""
    sections = [
        {
            "id": one["id"],
            "number": number,
            "kind": KINDS[one["kind"]],
            "begins": beginning(one),
            "lacks": lacks_of(one),
            "last": number == len(lesson.sections),
        }
        for number, one in enumerate(lesson.sections, start=1)
    ]
    gone = draft.removed.filter(part=lessons.SECTION, document__lesson=lesson.pk)
    return {"sections": sections, "kinds": KINDS, "removed": gone[:REMOVED_SHOWN]}


def _edited(request, form, save, template: str, context: dict):
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
    messages.success(request, _("Saved."))
    return redirect(next_page(request))


def said_saved() -> str:
    """When it was saved, in words."""
    return _("Saved %(time)s") % {"time": date(timezone.localtime(), "H:i")}


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


@require_http_methods(["GET", "POST"])
@on_draft
def part_list(request, draft, part):
    """The rows of a part in their order; posted, a new one at the end."""
    kind = part_named(part)
    form = NewRowForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        row = drafts.add_row(
            draft,
            kind,
            by=request.user,
            now=timezone.now(),
            name=form.cleaned_data["name"],
        )
        return redirect("desk:row", pk=draft.module_id, part=part, row=row.pk)
    whole = Whole(draft)
    context = {
        "draft": draft,
        "part": kind,
        "rows": _rows(whole, kind),
        "form": form,
        "removed": draft.removed.filter(part=part)[:REMOVED_SHOWN],
        "cautions": part == "steps",
        "total": sum(one.weight for one in whole.priorities),
    }
    status = 422 if form.is_bound else 200
    return render(request, "study/desk/part_list.html", context, status=status)


def _rows(whole: Whole, kind: Part) -> list[dict]:
    lacks: dict[int | None, list] = {}
    for lack in lacking(whole):
        if lack.part == kind.slug:
            lacks.setdefault(lack.row, []).append(lack)
    rows = whole.rows(kind.slug)
    return [
        {"row": row, "lacks": lacks.get(row.pk, []), "last": row is rows[-1]}
        for row in rows
    ]


@require_POST
@on_draft
def row_move(request, draft, part, row):
    """A row to another place: up, down, or to a number."""
    row = row_of(draft, part_named(part), row)
    steps = {"up": row.number - 1, "down": row.number + 1}
    to = request.POST.get("to", "")
    if to not in steps and not to.isdecimal():
        raise ValidationError(_("Type the place as a number."), code="number")
    to = drafts.move_row(
        row,
        steps[to] if to in steps else int(to),
        by=request.user,
        now=timezone.now(),
    )
    text = _("%(name)s is number %(n)s now.") % {"name": row, "n": to}
    if wants_json(request):
        return JsonResponse({"said": text})
    messages.success(request, text)
    return redirect("desk:part", pk=draft.module_id, part=part)


@require_POST
@on_draft
def row_remove(request, draft, part, row):
    """Take a row out; the page that follows offers to put it back."""
    row = row_of(draft, part_named(part), row)
    drafts.remove_row(row, by=request.user, now=timezone.now())
    text = _("%(name)s is taken out. You can put it back below.")
    messages.success(request, text % {"name": row})
    return redirect("desk:part", pk=draft.module_id, part=part)


@require_POST
@on_draft
def put_back(request, draft, removed):
    """Put a row back that was taken out."""
    gone = get_object_or_404(Removed.objects.filter(revision=draft), pk=removed)
    if gone.part == lessons.SECTION:
        lesson = lessons.put_section_back(gone, by=request.user, now=timezone.now())
        messages.success(request, _("The section is back."))
        return redirect("desk:row", draft.module_id, "lessons", lesson.pk)
    row = drafts.put_back(gone, by=request.user, now=timezone.now())
    messages.success(request, _("%(name)s is back.") % {"name": row})
    return redirect("desk:part", pk=draft.module_id, part=gone.part)


@require_http_methods(["GET", "POST"])
@on_draft
def weights(request, draft):
    """What each priority weighs, by hand or from the ranks, and what that means."""
    if request.POST.get("do") == "rank":
        drafts.weigh_by_rank(draft, by=request.user, now=timezone.now())
        messages.success(request, _("The weights follow from the ranks now."))
        return redirect("desk:weights", pk=draft.module_id)
    rows = Whole(draft).priorities
    form = WeightsForm(request.POST or None, priorities=rows)
    if request.method == "POST" and form.is_valid():
        drafts.set_weights(draft, form.weights(), by=request.user, now=timezone.now())
        messages.success(request, _("Saved."))
        return redirect("desk:weights", pk=draft.module_id)
    context = {
        "draft": draft,
        "form": form,
        "rows": [(row, form[str(row.pk)]) for row in rows],
        "total": sum(row.weight for row in rows),
        "scale": max((row.weight for row in rows), default=1),
        "outweighing": outweighing(rows),
        "lacks": _of("weights", lacking_in(draft)),
    }
    status = 422 if form.is_bound else 200
    return render(request, "study/desk/weights.html", context, status=status)


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


@require_safe
def document(request, pk):
    """The latest revision as a module document, to keep or to begin another module with."""
    revision = latest(mine(request, pk))
    response = JsonResponse(
        module_document(revision),
        json_dumps_params={"indent": 2, "ensure_ascii": False},
    )
    name = f"{slugify(revision.title) or 'module'}-{revision.number}.json"
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
