"""The rostrum: the mentor's or organiser's page that runs the room. A second device may do the same."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from trainer.http import wants_fragment
from trainer.seminars import asking, live, sittings
from trainer.seminars.models import Seminar, Sitting
from trainer.seminars.room_forms import AddForm, KeyForm, LineForm, LiveForm
from trainer.seminars.stage import result_told, room_now

EVERY = 3
MORE_SECONDS = 120


def led(request, pk) -> Seminar:
    found = Seminar.objects.led_by(request.user).select_related("club")
    return get_object_or_404(found, pk=pk)


def led_sitting(request, pk, number) -> Sitting:
    found = Sitting.objects.led_by(request.user).select_related(
        "revision__exercise", "seminar__club"
    )
    return get_object_or_404(found, seminar=pk, number=number)


@require_safe
def rostrum(request, pk):
    """Where the room stands, the next step as one button, and what is to come."""
    seminar, now = led(request, pk), timezone.now()
    at = room_now(pk, now)
    fragment = wants_fragment(request)
    if fragment and request.GET.get("v") == at.token:
        return HttpResponse(status=204)
    context = _now_context(seminar, at, now)
    if fragment:
        return render(request, "seminars/_rostrum_now.html", context)
    return render(request, "seminars/rostrum.html", {**context, **_forms(seminar)})


def _now_context(seminar, at, now) -> dict:
    waiting = seminar.sittings.filter(state=Sitting.State.WAITING)
    sitting = at.sitting
    return {
        "seminar": seminar,
        "sitting": sitting,
        "present": at.present,
        "token": at.token,
        "every": EVERY,
        "left": sitting and sitting.seconds_left(now),
        "still": sitting and max(at.present - sitting.handed_in, 0),
        "next": waiting.defer("result").first(),
        "more": MORE_SECONDS // 60,
        "result": result_told(sitting) if sitting and sitting.is_shown else None,
    }


def _forms(seminar, **bound) -> dict:
    row = seminar.sittings.select_related("revision__exercise")
    return {
        "row": [_entry(one) for one in row.defer("result", "revision__content")],
        "add": AddForm(seminar=seminar),
        "live": LiveForm(auto_id="live_%s"),
        "line": LineForm(auto_id="line_%s"),
        **bound,
    }


def _entry(sitting) -> dict:
    revision = sitting.revision
    return {
        "sitting": sitting,
        "is_live": live.is_live(revision),
        "has_key": live.has_key(revision),
    }


@require_POST
def sitting_add(request, pk):
    """One more: an exercise of the club, or dogs in the ring."""
    seminar = led(request, pk)
    is_live = request.POST.get("what") == "live"
    if is_live:
        form = LiveForm(request.POST, auto_id="live_%s")
    else:
        form = AddForm(request.POST, seminar=seminar)
    try:
        if form.is_valid():
            made = _added(seminar, form.cleaned_data, request.user)
            messages.success(request, _("Added: %(title)s.") % {"title": made})
            return redirect("seminars:rostrum", pk=pk)
    except ValidationError as error:
        form.add_error(None, error)
    now = timezone.now()
    bound = {"live" if is_live else "add": form}
    context = _now_context(seminar, room_now(pk, now), now)
    return render(
        request,
        "seminars/rostrum.html",
        {**context, **_forms(seminar, **bound), "form": form},
        status=422,
    )


def _added(seminar, sent, by) -> Sitting:
    revision = sent.get("revision") or live.new_class(
        seminar, sent["numbers"], title=sent["title"], by=by
    )
    return sittings.add(seminar, revision, seconds=sent["seconds"])


def _more(sitting, *, now):
    return sittings.more_time(sitting, MORE_SECONDS, now=now)


def _again(sitting, *, now):
    return sittings.again(sitting)


def _remove(sitting, *, now):
    return sittings.remove(sitting)


STEPS = {
    "start": sittings.start,
    "pause": sittings.pause,
    "resume": sittings.resume,
    "more": _more,
    "close": sittings.close,
    "reopen": sittings.reopen,
    "again": _again,
    "remove": _remove,
}


@require_POST
def sitting_do(request, pk, number, step):
    """One step of a sitting; where another screen was quicker that is said, and nothing is done twice."""
    sitting = led_sitting(request, pk, number)
    if step not in STEPS:
        raise Http404
    try:
        STEPS[step](sitting, now=timezone.now())
    except ValidationError as refusal:
        messages.warning(request, refusal.messages[0])
    return redirect("seminars:rostrum", pk=pk)


@require_http_methods(["GET", "POST"])
def sitting_show(request, pk, number):
    """Ask once, then show key and result."""
    sitting = led_sitting(request, pk, number)
    if request.method == "POST":
        try:
            sittings.show(sitting, now=timezone.now())
        except ValidationError as refusal:
            messages.warning(request, refusal.messages[0])
        return redirect("seminars:rostrum", pk=pk)
    context = {"sitting": sitting, "seminar": sitting.seminar}
    return render(request, "seminars/sitting_show.html", context)


@require_POST
def sitting_line(request, pk, number):
    """What the mentor says on it."""
    sitting = led_sitting(request, pk, number)
    form = LineForm(request.POST)
    if form.is_valid():
        sittings.say(sitting, form.cleaned_data["line"])
        messages.success(request, _("Saved. It stands under the result."))
    else:
        messages.warning(request, _("That is too long for the screen."))
    return redirect("seminars:rostrum", pk=pk)


@require_http_methods(["GET", "POST"])
def sitting_key(request, pk, number):
    """The key of a live class, before or after it is placed."""
    sitting = led_sitting(request, pk, number)
    revision = sitting.revision
    if not live.is_live(revision):
        raise Http404
    form = KeyForm(
        request.POST if request.method == "POST" else None, initial=_key_of(revision)
    )
    if request.method == "POST" and form.is_valid():
        try:
            live.set_key(sitting, by=request.user, **form.cleaned_data)
            messages.success(request, _("The key is set. Nobody sees it yet."))
            return redirect("seminars:rostrum", pk=pk)
        except ValidationError as error:
            form.add_error("placing", error)
    context = {
        "sitting": sitting,
        "seminar": sitting.seminar,
        "form": form,
        "armbands": list(asking.armbands_of(revision).values()),
    }
    status = 422 if form.is_bound else 200
    return render(request, "seminars/sitting_key.html", context, status=status)


def _key_of(revision) -> dict:
    key = revision.key
    if not key.get("order"):
        return {}
    placing, rulings = asking.in_writing(revision, key)
    return {"placing": placing, "rulings": rulings, "note": key.get("note", "")}
