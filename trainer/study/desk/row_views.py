"""The desk's pages of a draft's parts: their rows in order, each row, the weights."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from trainer.study.desk import drafts, lessons, suggesting
from trainer.study.desk.forms import FORMS, AboutForm, NewRowForm, WeightsForm
from trainer.study.desk.lacking import Whole, lacking, lacking_in, unweighed
from trainer.study.desk.pages import (
    edited,
    on_draft,
    part_named,
    place_asked_for,
    row_of,
)
from trainer.study.desk.weighing import outweighing
from trainer.study.models import Removed
from trainer.study.parts import Part, part_of
from trainer.study.sections import KINDS, beginning, lacks_of

REMOVED_SHOWN = 5


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
    return edited(request, form, save, "study/desk/about.html", {"draft": draft})


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
    context = _row_context(draft, kind, row)
    return edited(request, form, save, "study/desk/row.html", context)


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
        "unweighed": unweighed(whole.priorities),
        "weight_lacks": [one for one in lacking(whole) if one.part == "weights"],
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
    to = place_asked_for(request, row.number)
    to = drafts.move_row(row, to, by=request.user, now=timezone.now())
    text = _("%(name)s is number %(n)s now.") % {"name": row, "n": to}
    messages.success(request, text)
    address = reverse("desk:part", args=[draft.module_id, part])
    return redirect(f"{address}#{_arrow(request.POST['to'], to, row)}")


def _arrow(pressed: str, to: int, row) -> str:
    """The button that gets the focus: the one that was pressed, at an end of the list its other one."""
    last = part_of(row).of(row.revision).count()
    at_end = {"up": to == 1, "down": to == last}
    other = {"up": "down", "down": "up"}
    arrow = pressed if pressed in other else "up"
    return f"{other[arrow] if at_end[arrow] else arrow}-{row.pk}"


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
        messages.success(request, _("The weights follow from the order now."))
        return redirect("desk:weights", pk=draft.module_id)
    rows = Whole(draft).priorities
    form = WeightsForm(request.POST or None, priorities=rows)
    if request.method == "POST" and form.is_valid():
        drafts.set_weights(draft, form.weights(), by=request.user, now=timezone.now())
        messages.success(request, _("Saved."))
        onward = "module" if "onward" in request.POST else "weights"
        return redirect(f"desk:{onward}", pk=draft.module_id)
    context = {
        "draft": draft,
        "form": form,
        "rows": [(row, form[str(row.pk)]) for row in rows],
        "total": sum(row.weight for row in rows),
        "scale": max((row.weight for row in rows), default=1),
        "outweighing": outweighing(rows),
        "unweighed": unweighed(rows),
        "lacks": [one for one in lacking_in(draft) if one.part == "weights"],
    }
    status = 422 if form.is_bound else 200
    return render(request, "study/desk/weights.html", context, status=status)
