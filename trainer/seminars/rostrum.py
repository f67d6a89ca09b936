"""The rostrum: the mentor's or organiser's page that runs the room. A second device may do the same."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import Count, Sum
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from quizzes.panels.blind import key_asked_for
from trainer.http import wants_fragment
from trainer.seminars import asking, live, sittings
from trainer.seminars.models import Presence, Seminar, Sitting
from trainer.seminars.room_forms import AddForm, KeyForm, LineForm, LiveForm
from trainer.seminars.stage import result_told, room_now
from trainer.seminars.stage_pages import page_at

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
    token, fragment = f"{at.token}.{_changes(seminar)}", wants_fragment(request)
    if fragment and request.GET.get("v") == token:
        return HttpResponse(status=204)
    context = _now_context(seminar, at, now, token)
    if fragment:
        context["is_news"] = True
        return render(request, "seminars/_rostrum.html", context)
    return render(request, "seminars/rostrum.html", {**context, **_forms(seminar)})


def _changes(seminar) -> str:
    """What another device changes in the row of classes, as a few figures."""
    found = seminar.sittings.aggregate(
        n=Count("pk"), all=Sum("version"), keys=Sum("revision__version")
    )
    return f"{found['n']}.{found['all'] or 0}.{found['keys'] or 0}"


def _now_context(seminar, at, now, token="") -> dict:
    sitting = at.sitting
    row = list(seminar.sittings.select_related("revision__exercise").defer("result"))
    waiting = [one for one in row if one.state == Sitting.State.WAITING]
    # Who asks for a second placing means now, not after the classes that are left.
    waiting.sort(key=lambda one: one.repeats_id is None)
    context = {
        "seminar": seminar,
        "sitting": sitting,
        "present": at.present,
        "token": token,
        "every": EVERY,
        "left": sitting and sitting.seconds_left(now),
        "still": sitting and max(at.present - sitting.handed_in, 0),
        "row": _entries(row),
        "next": waiting[0] if waiting else None,
        "more": MORE_SECONDS // 60,
    }
    if sitting and sitting.is_shown:
        told = result_told(sitting)
        context |= {"result": told, "at": page_at(sitting, told)}
    if sitting:
        mine = (one for one in context["row"] if one["sitting"].pk == sitting.pk)
        context["may_repeat"] = next(mine)["may_repeat"]
    return context


def _forms(seminar, **bound) -> dict:
    return {
        "add": AddForm(seminar=seminar),
        "live": LiveForm(auto_id="live_%s"),
        "line": LineForm(auto_id="line_%s"),
        **bound,
    }


def _entries(row) -> list[dict]:
    repeated = {one.repeats_id for one in row}
    return [_entry(one, repeated) for one in row]


def _entry(sitting, repeated) -> dict:
    revision, state = sitting.revision, sitting.state
    done = state in (Sitting.State.CLOSED, Sitting.State.SHOWN)
    return {
        "sitting": sitting,
        "is_live": live.is_live(revision),
        "has_key": live.has_key(revision),
        "may_repeat": done and not sitting.repeats_id and sitting.pk not in repeated,
        "note": asking.room_of(revision).note,
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
    sitting, now = led_sitting(request, pk, number), timezone.now()
    wait = _to_wait(sitting, now)
    if request.method == "POST" and (not wait or "anyway" in request.POST):
        try:
            sittings.show(sitting, now=now)
        except ValidationError as refusal:
            messages.warning(request, refusal.messages[0])
        return redirect("seminars:rostrum", pk=pk)
    context = {"sitting": sitting, "seminar": sitting.seminar, "wait": wait}
    return render(request, "seminars/sitting_show.html", context)


def _to_wait(sitting, now) -> int:
    """Seconds in which answers on their way still count; none if nobody's is still out."""
    left = sitting.grace_left(now)
    if not left:
        return 0
    places = sitting.seminar.attendees.filter(stays__in=Presence.objects.running())
    answered = sitting.hands.handed_in().values("attendee")
    return left if places.exclude(pk__in=answered).exists() else 0


@require_POST
def sitting_turn(request, pk, number):
    """Let the stage show another page of the result."""
    sitting, page = led_sitting(request, pk, number), request.POST.get("page", "")
    try:
        if page.isdecimal() and len(page) < 4:
            sittings.turn(sitting, int(page))
    except ValidationError as refusal:
        messages.warning(request, refusal.messages[0])
    return redirect("seminars:rostrum", pk=pk)


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
    asked = key_asked_for(revision.exercise_id, request.user)
    if asked is not None:
        # Whoever a panel asks sees no other key before it is closed.
        return redirect(asked)
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
    placing, rulings = asking.room_of(revision).in_writing(key)
    return {"placing": placing, "rulings": rulings, "note": key.get("note", "")}
