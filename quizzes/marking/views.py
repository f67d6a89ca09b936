"""The mentor's pages for marking: what waits, and one piece with its rubric."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import Http404, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_safe

from quizzes.kinds import kind_of
from quizzes.marking import services
from quizzes.marking.agreeing import agreement_of, side_by_side
from quizzes.marking.forms import MarkForm
from quizzes.marking.queue import LISTS, counts, listed, markable
from quizzes.marking.rubric import with_rows
from quizzes.marking.services import Entry
from quizzes.marking.standing import Part, Standing, standing
from quizzes.models import Mark
from quizzes.views import page_of
from quizzes.words import whole_number
from trainer.clubs.models import Role, reached_by
from trainer.http import said_saved, wants_json

NAMES = {
    "waiting": gettext_lazy("Waiting"),
    "mine": gettext_lazy("Yours, not returned"),
    "second": gettext_lazy("Second marks wanted"),
    "returned": gettext_lazy("Returned"),
}
HEADINGS = {
    Part.FIRST: gettext_lazy("Your mark"),
    Part.SECOND: gettext_lazy("Your mark, without seeing the first"),
    Part.AGREED: gettext_lazy("The mark that you agree on"),
}


@require_safe
def queue(request):
    """What waits to be marked, what is begun, second marks wanted, and what was returned."""
    if not reached_by(request.user, Role.MENTOR):
        raise Http404
    name = request.GET.get("list", "waiting")
    if name not in LISTS:
        raise Http404
    found = counts(request.user)
    page = page_of(request, listed(request.user, name), found[name])
    for attempt in page:
        attempt.said = said_of(attempt, request.user)
    context = {
        "page": page,
        "name": name,
        "lists": [(each, NAMES[each], found[each]) for each in LISTS],
    }
    return render(request, "quizzes/marking/queue.html", context)


def said_of(attempt, user) -> str:
    """How far its marking is, in a few words and without any points that may not be seen."""
    marks = {mark.part: mark for mark in attempt.marks.all()}
    returned = next((mark for mark in marks.values() if mark.returned_at), None)
    if returned:
        when = date_format(timezone.localtime(returned.returned_at), "j M Y")
        return _("Returned %(when)s.") % {"when": when}
    if all(
        part in marks and marks[part].is_final for part in (Part.FIRST, Part.SECOND)
    ):
        return _("Marked twice; agree on a mark.")
    own = [mark for mark in marks.values() if mark.marker_id == user.pk]
    if own and not own[0].is_final:
        return _("You have begun it.")
    if Part.SECOND in marks:
        return _("A second mark was asked for.")
    return _("Your mark is final, not returned yet.") if own else ""


def piece_of(request, pk) -> Standing:
    """One piece that the person may mark, and where its marking stands."""
    pieces = markable(request.user).for_result()
    return standing(get_object_or_404(pieces, pk=pk), request.user)


STEPS = {
    "reopen": services.reopen,
    "ask": services.ask_second,
    "withdraw": services.withdraw_second,
}
DONE = {
    "reopen": gettext_lazy("Your mark is a draft again."),
    "ask": gettext_lazy(
        "A second mark is asked for. Its marker sees nothing of yours."
    ),
    "withdraw": gettext_lazy("It is done without a second mark."),
    "save": gettext_lazy("Saved. Nobody else sees it yet."),
    "final": gettext_lazy("Your mark is final."),
    "return": gettext_lazy(
        "Returned. The writer gets a mail and sees it on the record."
    ),
}
RETURNED_EARLY = gettext_lazy(
    "Returned. The writer sees it once the results of the assessment are released."
)


@require_http_methods(["GET", "HEAD", "POST"])
def mark(request, pk):
    """One piece beside its rubric; what the pressed button asks for is done to its marks."""
    at = piece_of(request, pk)
    if request.method != "POST":
        return _page(request, at)
    do = request.POST.get("do", "save")
    form = _form(at, request.POST) if at.part and do in SAVED_FIRST else None
    if form and not form.is_valid():
        return _refused(request, at, form, 422)
    try:
        saved = _done(request, at, do, form)
    except ValidationError as error:
        changed = isinstance(error, services.ChangedElsewhere)
        return _refused(
            request, piece_of(request, pk), form, 409 if changed else 422, error
        )
    if saved and wants_json(request):
        return JsonResponse({"version": saved.version, "said": said_saved()})
    early = do == "return" and at.attempt.withheld
    messages.success(request, RETURNED_EARLY if early else DONE[do])
    return redirect("quizzes:marking-mark", pk=pk)


SAVED_FIRST = {"save", "final", "return", "ask"}
"""Buttons that stand under the form: what is in it is saved before anything else."""


@transaction.atomic
def _done(request, at: Standing, do: str, form) -> Mark | None:
    """What the button says, all of it or nothing."""
    attempt, by, now = at.attempt, request.user, timezone.now()
    saved = None
    if form:
        saved = services.save(
            attempt,
            form.entry(),
            by=by,
            version=whole_number(request.POST.get("version", "")),
            now=now,
            final=do != "save",
            part=request.POST.get("part"),
        )
    elif do not in {"return", *STEPS}:
        raise services.NotNow(_("There is nothing for you to mark here."), code="none")
    if do == "return":
        link = reverse("quizzes:attempt-result", args=[attempt.pk])
        services.hand_back(
            attempt, by=by, now=now, link=request.build_absolute_uri(link)
        )
    elif do in STEPS:
        STEPS[do](attempt, by=by)
    return saved


def _entry(at: Standing) -> Entry:
    """What the form starts from. For the agreed mark: the points on which both agree already."""
    rows = len(at.rubric)
    if at.mine or at.part != Part.AGREED:
        return Entry.of(at.mine or Mark(), rows)
    pairs = zip(at.first.points, at.second.points, strict=True)
    points = tuple(one if one == other else None for one, other in pairs)
    return Entry(points, ("",) * rows)


def _form(at: Standing, data=None) -> MarkForm:
    return MarkForm(data, rubric=at.rubric, entry=_entry(at))


def _refused(request, at: Standing, form, status: int, error=None):
    """The page again with what was typed; for the script, why it was not kept."""
    if wants_json(request):
        said = (
            error.messages[0]
            if error
            else _("Not saved: some points are not possible.")
        )
        return JsonResponse({"said": said}, status=status)
    if error and form and at.part:
        form.add_error(None, error)
    elif error:
        messages.error(request, error.messages[0])
    stored = at.mine if status == 409 else None
    lost = None if at.part else _sent(request.POST, at)
    return _page(request, at, form=form, stored=stored, lost=lost, status=status)


def _sent(data, at: Standing) -> list[tuple]:
    """What was written for a mark that is not the person's to write any more, so that it is not lost."""
    rows = [
        (row.name, data.get(f"points-{n}", ""), data.get(f"comment-{n}", ""))
        for n, row in enumerate(at.rubric)
    ]
    whole = (_("On the whole"), "", data.get("overall", ""))
    return [row for row in (*rows, whole) if any(row[1:])]


def _page(request, at: Standing, *, form=None, stored=None, lost=None, status=200):
    attempt = at.attempt
    kind = kind_of(attempt.revision)
    if not form and at.part:
        form = _form(at)
    twice = at.both_final
    context = {
        **kind.explained(attempt),
        "kind": kind,
        "at": at,
        "form": form if at.part else None,
        "heading": HEADINGS.get(at.part, ""),
        "version": at.mine.version if at.mine else 0,
        "stored": stored
        and list(zip(at.rubric, stored.points, stored.comments, strict=True)),
        "stored_overall": stored.overall if stored else "",
        "lost": lost,
        "seen": [with_rows(mark, at.rubric) for mark in at.seen],
        "twice": side_by_side(at) if twice else None,
        "agreement": agreement_of(at) if twice else None,
        "template": f"quizzes/{kind.slug}/_written.html",
    }
    return render(request, "quizzes/marking/mark.html", context, status=status)
