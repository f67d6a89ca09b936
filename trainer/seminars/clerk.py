"""The clerk's page: paper cards of people without a phone, with the keyboard alone or from a table."""

from __future__ import annotations

import uuid

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from quizzes.grading import Problem
from quizzes.grading.cards import read_answers
from trainer.seminars import asking, sittings
from trainer.seminars.models import Attendee, Sitting
from trainer.seminars.rostrum import led_sitting

LATEST = 8
MOST_BYTES = 1_000_000
MOST_CARDS = 400


@require_http_methods(["GET", "POST"])
def clerk(request, pk, number):
    """Who, the order, the next card."""
    sitting = led_sitting(request, pk, number)
    if not asking.is_placing(sitting.revision):
        raise Http404
    typed, problems = {}, []
    if request.method == "POST":
        if "table" in request.FILES:
            problems = _table(request, sitting)
        else:
            typed, problems = _card(request, sitting)
        if not problems:
            return redirect("seminars:clerk", pk=pk, number=number)
    status = 422 if request.method == "POST" else 200
    context = {**_context(sitting), "typed": typed, "problems": problems}
    return render(request, "seminars/clerk.html", context, status=status)


def _context(sitting: Sitting) -> dict:
    by_clerk = sitting.hands.filter(clerk__isnull=False).select_related("attendee")
    handed_in = sitting.hands.handed_in().values("attendee")
    without = sitting.seminar.attendees.enrolled().exclude(pk__in=handed_in)
    return {
        "sitting": sitting,
        "seminar": sitting.seminar,
        "armbands": list(asking.armbands_of(sitting.revision).values()),
        "latest": [
            {"hand": one, "written": asking.in_writing(sitting.revision, one.answer)}
            for one in by_clerk.order_by("-handed_in_at")[:LATEST]
        ],
        "without": without.order_by("name"),
    }


def _card(request, sitting) -> tuple[dict, list[str]]:
    """Keep one card; what is wrong with it, with what was typed."""
    typed = {name: request.POST.get(name, "") for name in ("who", "placing", "rulings")}
    try:
        hand = _keep(sitting, typed["who"], typed["placing"], typed["rulings"], request)
    except ValidationError as error:
        return typed, error.messages
    order, _rulings = asking.in_writing(sitting.revision, hand.answer)
    said = _("%(who)s: %(order)s. Next card.")
    messages.success(request, said % {"who": hand.attendee, "order": order})
    return {}, []


def _keep(sitting, who, placing, rulings, request):
    """Store a card in the name of whom it belongs to. Raises ValidationError."""
    place = whose(sitting, who)
    sent = {"placing": placing, "rulings": rulings}
    answer = asking.answer_sent(sitting.revision, sent)
    return sittings.take(
        sittings.hand_of(sitting, place),
        answer,
        submission=uuid.uuid4(),
        now=timezone.now(),
        clerk=request.user,
    )


def whose(sitting: Sitting, who: str) -> Attendee:
    """The attendee by number, by the whole name, or by what only one name begins with. Raises ValidationError."""
    who = " ".join(who.split())
    enrolled = sitting.seminar.attendees.enrolled()
    if not who:
        raise ValidationError(_("Whose card is it? Give name or number."), code="who")
    tries = [{"number__iexact": who}, {"name__iexact": who}]
    tries += [] if who.isdecimal() else [{"name__istartswith": who}]
    for one in tries:
        found = list(enrolled.filter(**one)[:2])
        if len(found) == 1:
            return found[0]
        if found:
            text = _("More than one person is %(who)s. Give the number.")
            raise ValidationError(text, code="several", params={"who": who})
    text = _("Nobody on the roster is %(who)s.")
    raise ValidationError(text, code="nobody", params={"who": who})


def _table(request, sitting) -> list[str]:
    """Keep the cards of a table with name, placing and rulings; say what is wrong with which line."""
    sent = request.FILES["table"]
    if sent.size > MOST_BYTES:
        return [_("The table is too large.")]
    try:
        cards = read_answers(sent.read())
    except Problem as error:
        return [str(error)]
    if len(cards) > MOST_CARDS:
        return [_("Give at most %(n)s cards at once.") % {"n": MOST_CARDS}]
    problems, kept = [], 0
    for card in cards:
        try:
            _keep(sitting, card.name, card.placing, card.rulings, request)
            kept += 1
        except ValidationError as error:
            line = _("Line %(line)s, %(name)s: %(said)s")
            values = {"line": card.line, "name": card.name}
            problems.append(line % {**values, "said": " ".join(error.messages)})
    text = ngettext("%(n)s card is in.", "%(n)s cards are in.", kept) % {"n": kept}
    messages.success(request, text)
    return problems
