"""The hand: what an attendee sees on a phone while the seminar runs, and what they send."""

from __future__ import annotations

import uuid
from dataclasses import asdict
from functools import partial
from math import ceil

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import Exists, OuterRef
from django.http import HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from quizzes.models import Attempt
from trainer.http import wants_fragment, wants_json
from trainer.seminars import asking, sittings, stage_pages
from trainer.seminars.models import Attendee, Hand, Sitting
from trainer.seminars.pictures import PHONE
from trainer.seminars.stage import result_told

State = Sitting.State
EVERY = {State.OPEN: 4, State.PAUSED: 4, State.CLOSED: 4, State.SHOWN: 6}
"""Seconds between two looks; the device adds some jitter."""
WHILE_WAITING = 8
"""The same with nothing to do: before the first class, and from one's own answer to the result."""
LOOKS_A_SECOND = 125
"""What all phones of a room may ask together: a full hall looks less often, and its answers need not wait."""
SYMBOLS_OF_NOTHING = "0.0.0"


@require_safe
def room(request, pk):
    """The sitting the room is at, and one's own answer in it; 204 if the page has it so already."""
    now = timezone.now()
    fragment = wants_fragment(request)
    mine = Attendee.objects.owned_by(request.user).enrolled().filter(seminar=pk)
    if fragment:
        place_id = get_object_or_404(mine.values_list("pk", flat=True))
        if request.GET.get("v") == _look(pk, place_id, now):
            return HttpResponse(status=204)
    more = "seminar" if fragment else "seminar__club"
    place = get_object_or_404(mine.select_related(more))
    place.person = request.user
    context = hand_context(place, now)
    template = "seminars/_hand.html" if fragment else "seminars/room.html"
    if not fragment:
        context["is_in"] = place.stays.running().exists()
    return render(request, template, context)


def _look(pk, place_id, now) -> str:
    """What the screen would show, in a few symbols: sitting, version, and whether one's answer is in."""
    hand = Hand.objects.filter(sitting=OuterRef("pk"), attendee=place_id)
    found = (
        sittings.current_in(pk)
        .annotate(is_in=Exists(hand.handed_in()))
        .values_list("pk", "version", "is_in", "state", "closes_at")
        .first()
    )
    if found is None:
        return SYMBOLS_OF_NOTHING
    number, version, is_in, state, closes_at = found
    if state == State.OPEN and closes_at and closes_at <= now:
        return ""  # the time is up: the page that is built now closes it
    return _token(number, version, is_in, state)


def _token(number, version, is_in, state) -> str:
    """Whose answer is in sees the same until the result is shown, whatever the mentor does with the clock."""
    if is_in and state != State.SHOWN:
        version = 0
    return f"{number}.{version}.{int(is_in)}"


def seconds_between_looks(state, n: int, *, is_in: bool = False) -> int:
    """How long one of n phones waits between two looks."""
    waits = is_in and state != State.SHOWN
    seconds = WHILE_WAITING if waits else EVERY.get(state, WHILE_WAITING)
    return max(seconds, ceil(n / LOOKS_A_SECOND))


def hand_context(place: Attendee, now, *, errors=(), typed=None) -> dict:
    """What the hand shows. The key is fetched only once it is shown.

    typed : what was sent and is not taken, as a posted form
    """
    n = place.seminar.attendees.enrolled().count()
    context = {
        "place": place,
        "seminar": place.seminar,
        "token": SYMBOLS_OF_NOTHING,
        "every": seconds_between_looks(None, n),
        "errors": errors,
        "submission": uuid.uuid4(),
    }
    found = sittings.current_in(place.seminar_id).select_related("revision__exercise")
    sitting = found.defer("revision__key", "result").first()
    if sitting is None:
        return context
    sitting = sittings.close_when_over(sitting, now=now)
    hand = sitting.hands.filter(attendee=place).first()
    is_in = bool(hand and hand.handed_in_at)
    return {
        **context,
        "sitting": sitting,
        "token": _token(sitting.pk, sitting.version, is_in, sitting.state),
        "every": seconds_between_looks(sitting.state, n, is_in=is_in),
        "left": sitting.seconds_left(now),
        "hand": hand if is_in else None,
        **_asked(sitting, place, hand if is_in else None, typed),
    }


def _asked(sitting, place, hand, typed) -> dict:
    """What is asked, for whom can still answer; what was answered, and what the key says of it."""
    room = asking.room_of(sitting.revision)
    context = {"is_placing": asking.is_placing(sitting.revision), "room": room}
    at = asking.addresses(sitting, size=PHONE)
    if hand:
        context["written"], context["ruled"] = room.in_writing(hand.answer)
    elif not sitting.is_shown:
        shown = asking.shown_to(sitting, place.pk)
        context |= asking.form_of(sitting, shown, at, typed)
    if sitting.is_shown:
        # Looked up only where the part of the page that shows it is not kept.
        context["room_did"] = partial(_room_told, sitting)
    if sitting.is_shown and hand:
        # What came when the result was shown already is told as well, and counts nowhere.
        hand.grade = hand.grade or asdict(room.grade(hand.answer))
        context["told"] = room.told(hand, at)
        kept = Attempt.objects.owned_by(place.person)
        context["record"] = kept.filter(submission=hand.submission).first()
    return context


def _room_told(sitting) -> dict:
    """What the room did: for those who can't see the stage, and to look at it again."""
    told = result_told(sitting)
    if told["too_few"]:
        return {}
    if told.get("kind") == "placing":
        return {"result": told, "shares": stage_pages.shares(told["pairs"])}
    rows = [stage_pages.row_told(row) for row in told["rows"]]
    parted = [row for row in rows if not row["key"] or row["right"] < row["of"]]
    return {"result": told, "rows": parted, "all_right": len(rows) - len(parted)}


@require_POST
def hand_in(request, pk):
    """Take an answer to one sitting, whichever the room is at by now."""
    mine = Attendee.objects.owned_by(request.user).enrolled()
    place = get_object_or_404(mine.select_related("seminar__club"), seminar=pk)
    asked = Sitting.objects.filter(seminar=pk).select_related("revision__exercise")
    number = request.POST.get("sitting", "")
    sitting = get_object_or_404(
        asked.defer("revision__key", "result"),
        pk=int(number) if number.isdecimal() and len(number) < 12 else 0,
    )
    if asking.room_of(sitting.revision).is_step(request.POST):
        return _again(request, place)
    try:
        hand = _taken(request, sitting, place)
    except ValidationError as error:
        return _refused(request, place, error)
    said = _("In at %(time)s, receipt %(receipt)s.") % {
        "time": timezone.localtime(hand.handed_in_at, place.seminar.zone).strftime(
            "%H:%M:%S"
        ),
        "receipt": hand.receipt,
    }
    if hand.is_late:
        said = f"{said} {_('It came late and is marked so.')}"
    if wants_json(request):
        return JsonResponse({"said": said, "receipt": hand.receipt})
    messages.success(request, said)
    return redirect("seminars:room", pk=pk)


def _taken(request, sitting, place) -> Hand:
    """Read what was sent and keep it. Raises ValidationError."""
    hand = sittings.hand_of(sitting, place)
    return sittings.take(
        hand,
        asking.room_of(sitting.revision).sent(hand.shown, request.POST),
        submission=_submission(request.POST.get("submission", "")),
        now=timezone.now(),
    )


def _submission(text: str) -> uuid.UUID | None:
    try:
        return uuid.UUID(text)
    except ValueError:
        return None


def _refused(request, place, error):
    is_in = getattr(error, "code", "") == "handed-in"
    status = 409 if is_in else 422
    if wants_json(request):
        return JsonResponse({"said": " ".join(error.messages)}, status=status)
    return _again(request, place, errors=error.messages, status=status)


def _again(request, place, *, errors=(), status=200):
    """The page with what was sent, for whom the script does not keep it."""
    now, typed = timezone.now(), request.POST
    context = hand_context(place, now, errors=errors, typed=typed)
    context["is_in"] = True
    return render(request, "seminars/room.html", context, status=status)
