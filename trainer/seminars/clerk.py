"""The clerk's page: paper cards of people without a phone, with the keyboard alone or from a table."""

from __future__ import annotations

import uuid

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from trainer.seminars import asking, sittings
from trainer.seminars.cards import whose
from trainer.seminars.models import Sitting
from trainer.seminars.pictures import PHONE
from trainer.seminars.rostrum import led_sitting

LATEST = 8


@require_http_methods(["GET", "POST"])
def clerk(request, pk, number):
    """Who, the order, the next card."""
    sitting = led_sitting(request, pk, number)
    typed, problems = None, []
    if request.method == "POST":
        try:
            if not asking.room_of(sitting.revision).is_step(request.POST):
                _card(request, sitting)
                return redirect("seminars:clerk", pk=pk, number=number)
        except ValidationError as error:
            problems = error.messages
        typed = request.POST
    context = {**_context(sitting, typed), "problems": problems}
    status = 422 if problems else 200
    return render(request, "seminars/clerk.html", context, status=status)


def _context(sitting: Sitting, typed) -> dict:
    by_clerk = sitting.hands.filter(clerk__isnull=False).select_related("attendee")
    handed_in = sitting.hands.handed_in().values("attendee")
    without = sitting.seminar.attendees.enrolled().exclude(pk__in=handed_in)
    room = asking.room_of(sitting.revision)
    context = {
        "sitting": sitting,
        "seminar": sitting.seminar,
        "is_placing": asking.is_placing(sitting.revision),
        "typed": typed or {},
        "latest": [
            {"hand": one, "written": room.in_writing(one.answer)}
            for one in by_clerk.order_by("-handed_in_at")[:LATEST]
        ],
        "without": without.order_by("name"),
    }
    if context["is_placing"]:
        armbands = asking.armbands_of(sitting.revision)
        return {**context, "armbands": list(armbands.values())}
    at = asking.addresses(sitting, size=PHONE)
    return {
        **context,
        **asking.form_of(sitting, asking.shown_to(sitting, 0), at, typed),
    }


def _card(request, sitting) -> None:
    """Keep one card and say so. Raises ValidationError."""
    place = whose(sitting, request.POST.get("who", ""))
    room, hand = asking.room_of(sitting.revision), sittings.hand_of(sitting, place)
    kept = sittings.take(
        hand,
        room.sent(hand.shown, request.POST),
        submission=uuid.uuid4(),
        now=timezone.now(),
        clerk=request.user,
    )
    order, _rulings = room.in_writing(kept.answer)
    said = _("%(who)s: %(order)s. Next card.") if order else _("%(who)s. Next card.")
    messages.success(request, said % {"who": place, "order": order})
