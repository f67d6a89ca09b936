"""Paper cards from a table: looked at before they are kept, with what is wrong in which line."""

from __future__ import annotations

import uuid
from dataclasses import dataclass, field

from django.contrib import messages
from django.core import signing
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
from trainer.seminars.workbook import MOST_BYTES, as_text

MOST_CARDS = 400
SALT = "cards"
VALID_SECONDS = 3600


@dataclass
class Read:
    """What a table holds.

    cards : to be kept, as attendee's id, name, placing and rulings
    wrong : sentences that say what is wrong in which line
    """

    cards: list[dict] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)


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


@require_http_methods(["GET", "POST"])
def cards_table(request, pk, number):
    """Read a table and show what it would do; then do it."""
    sitting = led_sitting(request, pk, number)
    if not asking.is_placing(sitting.revision):
        raise Http404
    context, status = {"sitting": sitting, "seminar": sitting.seminar}, 200
    if request.method == "POST" and "rows" in request.POST:
        return _kept(request, sitting)
    if request.method == "POST":
        try:
            context["read"] = found = read(_sent(request), sitting)
            stored = {"sitting": sitting.pk, "cards": found.cards}
            context["rows"] = signing.dumps(stored, salt=SALT, compress=True)
        except ValidationError as error:
            context["problem"], status = error.messages[0], 422
    return render(request, "seminars/cards_table.html", context, status=status)


def _sent(request) -> bytes:
    sent = request.FILES.get("table")
    if sent is None:
        raise ValidationError(_("Choose a file first."), code="none")
    if sent.size > MOST_BYTES:
        raise ValidationError(_("The table is too large."), code="size")
    return sent.read()


def read(data: bytes, sitting: Sitting) -> Read:
    """The table against roster and class. Raises ValidationError for what is no such table."""
    try:
        cards = read_answers(as_text(data, most_rows=MOST_CARDS))
    except Problem as error:
        raise ValidationError(str(error), code="table") from None
    if len(cards) > MOST_CARDS:
        text = _("Give at most %(n)s cards at once.")
        raise ValidationError(text, code="many", params={"n": MOST_CARDS})
    in_already = set(sitting.hands.handed_in().values_list("attendee", flat=True))
    found, seen = Read(), {}
    for card in cards:
        try:
            found.cards.append(_read(card, sitting, in_already, seen))
        except ValidationError as error:
            text = _("Line %(line)s, %(name)s: %(said)s")
            said = " ".join(error.messages)
            values = {"line": card.line, "name": card.name, "said": said}
            found.wrong.append(text % values)
    return found


def _read(card, sitting, in_already, seen) -> dict:
    """A card as it would be kept. Raises ValidationError."""
    place, room = whose(sitting, card.name), asking.room_of(sitting.revision)
    if place.pk in in_already:
        raise ValidationError(_("An answer is in already; it stays."), code="in")
    if place.pk in seen:
        text = _("The same person as in line %(line)s.")
        raise ValidationError(text, code="twice", params={"line": seen[place.pk]})
    written = {"placing": card.placing, "rulings": card.rulings}
    shown = asking.shown_to(sitting, place.pk)
    answer = room.check(shown, room.sent(shown, written))
    missing = room.missing(shown, answer)
    if missing:
        raise ValidationError(missing, code="missing")
    seen[place.pk] = card.line
    order, rulings = room.in_writing(answer)
    return {"place": place.pk, "name": str(place), "placing": order, "rulings": rulings}


def _kept(request, sitting):
    """Keep the cards that were shown; one that came in otherwise since is passed over."""
    try:
        stored = signing.loads(request.POST["rows"], salt=SALT, max_age=VALID_SECONDS)
    except signing.BadSignature:
        stored = {}
    if stored.get("sitting") != sitting.pk:
        messages.error(request, _("Choose the file again."))
        return redirect("seminars:cards", pk=sitting.seminar_id, number=sitting.number)
    places = sitting.seminar.attendees.enrolled().in_bulk(
        [card["place"] for card in stored["cards"]]
    )
    kept = sum(
        _keep(sitting, places[card["place"]], card, request.user)
        for card in stored["cards"]
        if card["place"] in places
    )
    text = ngettext("%(n)s card is in.", "%(n)s cards are in.", kept) % {"n": kept}
    messages.success(request, text)
    return redirect("seminars:clerk", pk=sitting.seminar_id, number=sitting.number)


def _keep(sitting, place, card, by) -> bool:
    room, hand = asking.room_of(sitting.revision), sittings.hand_of(sitting, place)
    try:
        answer = room.sent(hand.shown, card)
        now, one = timezone.now(), uuid.uuid4()
        sittings.take(hand, answer, submission=one, now=now, clerk=by)
    except ValidationError:
        return False
    return True
