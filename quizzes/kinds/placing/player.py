"""Placing a class: the page, the moves, the rulings, two dogs side by side."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from quizzes import attempts
from quizzes.drawing.dogs import VIEW_LABELS
from quizzes.kinds.placing.board import Board, Ruling
from quizzes.kinds.placing.content import ClassContent, Dog
from quizzes.kinds.placing.forms import RulingForm, WithholdForm
from quizzes.kinds.placing.kind import KIND
from quizzes.kinds.placing.pictures import ALIGNMENTS, Pictures, Shown
from quizzes.kinds.placing.places import ordinal
from quizzes.models import Attempt


@dataclass(frozen=True)
class Card:
    """One dog as this attempt shows it: its number, what it looks and feels like, where it stands."""

    dog: Dog
    armband: int
    picture: Shown | None
    views: Sequence[Shown] = ()
    place: int | None = None
    ruling: str = ""
    reason: str = ""

    @property
    def id(self) -> str:
        return self.dog.id

    @property
    def marker(self) -> str:
        return ordinal(self.place) if self.place else ""

    @property
    def ruling_label(self) -> str:
        return Ruling(self.ruling).label if self.ruling else ""

    @property
    def sex_and_age(self) -> str:
        sex = _("Bitch") if self.dog.sex == "bitch" else _("Dog")
        return (
            f"{sex}, {age_in_words(self.dog.age_months)}"
            if self.dog.age_months
            else sex
        )


def age_in_words(months: int) -> str:
    """Months below two years, whole and half years above."""
    if months < 24:
        return ngettext("%(n)s month", "%(n)s months", months) % {"n": months}
    years, half = divmod(months, 12)
    if half >= 6:
        return _("%(n)s and a half years") % {"n": years}
    return ngettext("%(n)s year", "%(n)s years", years) % {"n": years}


class Ring:
    """An attempt's class as the pages show it: cards in ring order, rows of the board."""

    def __init__(self, attempt: Attempt):
        self.attempt = attempt
        content = attempt.revision.content
        self.content = ClassContent.read(content)
        self.board: Board = KIND.board(content, attempt.shown, attempt.answer)
        dogs = self.content.by_id
        self.pictures = pictures = Pictures(attempt, self.content)
        places = {dog: place for place, dog in enumerate(self.board.order, start=1)}
        self.cards = [
            Card(
                dog=dogs[dog],
                armband=armband,
                picture=pictures.of(dogs[dog]),
                views=pictures.more(dogs[dog]),
                place=places.get(dog),
                **self.board.rulings.get(dog, {}),
            )
            for dog, armband in attempt.shown["line"]
        ]
        self.by_id = {card.id: card for card in self.cards}

    @property
    def has_plates(self) -> bool:
        return any(card.picture and card.picture.light for card in self.cards)

    @property
    def rows(self) -> list[dict]:
        order = self.board.order
        return [
            {
                "marker": ordinal(place),
                "card": self.by_id[order[place - 1]] if place <= len(order) else None,
                "is_next": place == len(order) + 1,
                "above": ordinal(place - 1) if place > 1 else "",
                "below": ordinal(place + 1) if place < len(order) else "",
            }
            for place in range(1, self.board.rows + 1)
        ]

    @property
    def placed(self) -> list[Card]:
        return [self.by_id[dog] for dog in self.board.order]

    @property
    def in_line(self) -> list[Card]:
        return [self.by_id[dog] for dog in self.board.in_line]

    @property
    def ruled(self) -> list[Card]:
        return [card for card in self.cards if card.ruling]

    @property
    def next_place(self) -> str:
        """The place a dog pointed at now would take; empty when all are taken."""
        return "" if self.board.is_full else ordinal(len(self.board.order) + 1)

    @property
    def missing(self) -> list[str]:
        return KIND.missing(
            self.attempt.revision.content, self.attempt.shown, self.attempt.answer
        )

    @property
    def state(self) -> dict:
        """What the page's script starts from."""
        return {
            **self.board.answer(),
            "version": self.attempt.version,
            "dogs": [card.id for card in self.cards],
            "places": self.board.places,
            "armbands": {card.id: card.armband for card in self.cards},
            "ordinals": [ordinal(place) for place in range(1, len(self.cards) + 1)],
            "rulingLabels": {ruling.value: str(ruling.label) for ruling in Ruling},
        }


def open_attempt(request, pk) -> Attempt:
    """The person's own attempt, with what its page needs and without the key."""
    mine = Attempt.objects.answerable_by(request.user).for_player()
    return get_object_or_404(mine, pk=pk, revision__exercise__kind=KIND.slug)


def clock(attempt, now) -> dict | None:
    """The clock's figures in seconds; None where the mentor set no pace."""
    left = attempt.seconds_left(now)
    if left is None:
        return None
    allowed = attempt.seconds_allowed
    minutes, seconds = divmod(max(left, 0), 60)
    return {
        "left": left,
        "allowed": allowed,
        "allowed_minutes": -(-allowed // 60),
        "minutes": minutes,
        "seconds": seconds,
        "spent_minutes": -(-allowed // 60) - max(left, 0) / 60,
    }


def answer_page(request, attempt, *, errors=(), status=200):
    """The class in the ring and the board."""
    ring = Ring(attempt)
    context = {
        "attempt": attempt,
        "revision": attempt.revision,
        "ring": ring,
        "clock": clock(attempt, timezone.now()),
        "errors": errors,
    }
    return render(request, "quizzes/placing/answer.html", context, status=status)


MOVES = {
    "place": lambda board, dog, _to: board.place(dog),
    "back": lambda board, dog, _to: board.take_back(dog),
    "up": lambda board, dog, _to: board.move(dog, -1),
    "down": lambda board, dog, _to: board.move(dog, +1),
    "put": lambda board, dog, to: board.put(dog, to),
    "clear": lambda board, dog, _to: board.clear_ruling(dog),
}


def moved(request):
    """The change to an answer that the pressed button or the "move to" form asks for."""
    name, _colon, dog = request.POST.get("move", "").partition(":")
    dog = dog or request.POST.get("dog", "")
    to = request.POST.get("to", "")
    if name not in MOVES:
        raise ValidationError(_("Choose a dog and where it goes."), code="no-move")
    if name == "put" and not (to.isdecimal() and len(to) <= 2):
        raise ValidationError(_("Give the place as a number."), code="no-place")

    def change(attempt):
        return MOVES[name](stands(attempt), dog, int(to or 0)).answer()

    anchor = f"dog-{dog}" if name in ("place", "back", "clear") else "board"
    return change, anchor


@require_POST
def board(request, pk):
    """One move by a plain form button."""
    attempt = open_attempt(request, pk)
    try:
        change, anchor = moved(request)
        attempts.change_draft(attempt, change, now=timezone.now())
    except attempts.HandedInAlready:
        return redirect("quizzes:attempt-result", pk=pk)
    except ValidationError as error:
        return answer_page(request, attempt, errors=error.messages, status=422)
    return redirect(reverse("quizzes:attempt-answer", args=[pk], fragment=anchor))


def sent_answer(request):
    """The answer and the version it builds on, as the page's script sends them."""
    try:
        return json.loads(request.POST["answer"]), int(request.POST["version"])
    except (KeyError, ValueError, RecursionError):
        raise ValidationError(_("This is not a placing."), code="form") from None


@require_POST
def save(request, pk):
    """The whole answer from the page's script, as JSON; answers with what is stored now.

    409 when another device has saved something else since, or it is handed in.
    """
    attempt, now = open_attempt(request, pk), timezone.now()
    try:
        answer, version = sent_answer(request)
        attempt = attempts.save_draft(attempt, answer, version=version, now=now)
        status, problem = 200, ""
    except (attempts.ChangedElsewhere, attempts.HandedInAlready) as error:
        attempt = open_attempt(request, pk)
        status, problem = 409, error.messages[0]
    except ValidationError as error:
        status, problem = 422, error.messages[0]
    body = {
        "problem": problem,
        "version": attempt.version,
        "savedAt": attempt.saved_at
        and timezone.localtime(attempt.saved_at).strftime("%H:%M"),
        "answer": attempt.answer,
        "handedIn": attempt.is_handed_in,
        "left": attempt.seconds_left(now),
    }
    return JsonResponse(body, status=status)


def changed(request, attempt, change, anchor):
    """Store a ruling and go back to the class; to the result if that was handed in meanwhile."""
    try:
        attempts.change_draft(attempt, change, now=timezone.now())
    except attempts.HandedInAlready:
        return redirect("quizzes:attempt-result", pk=attempt.pk)
    back = reverse("quizzes:attempt-answer", args=[attempt.pk], fragment=anchor)
    return redirect(back)


def stands(attempt) -> Board:
    return KIND.board(attempt.revision.content, attempt.shown, attempt.answer)


@require_http_methods(["GET", "POST"])
def ruling(request, pk, dog):
    """The ruling chooser for one dog."""
    attempt = open_attempt(request, pk)
    if attempt.is_handed_in:
        return redirect("quizzes:attempt-result", pk=pk)
    card = Ring(attempt).by_id.get(dog)
    if card is None:
        raise Http404
    initial = {"ruling": card.ruling, "reason": card.reason}
    form = RulingForm(request.POST or None, initial=initial)
    if request.method == "POST" and form.is_valid():
        entry = form.cleaned_data

        def record(fresh):
            return stands(fresh).rule(dog, entry["ruling"], entry["reason"]).answer()

        return changed(request, attempt, record, f"dog-{dog}")
    context = {
        "attempt": attempt,
        "revision": attempt.revision,
        "card": card,
        "form": form,
        "rows": [
            {"value": one.value, "label": one.label, "note": one.meaning}
            for one in Ruling
        ],
    }
    status = 422 if form.is_bound else 200
    return render(request, "quizzes/placing/ruling.html", context, status=status)


@require_http_methods(["GET", "POST"])
def rulings(request, pk):
    """Which dog gets another ruling; or no award for any that is left."""
    attempt = open_attempt(request, pk)
    if attempt.is_handed_in:
        return redirect("quizzes:attempt-result", pk=pk)
    form = WithholdForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        reason = form.cleaned_data["reason"]

        def withhold(fresh):
            return stands(fresh).withhold_rest(reason).answer()

        return changed(request, attempt, withhold, "board")
    context = {
        "attempt": attempt,
        "revision": attempt.revision,
        "ring": Ring(attempt),
        "form": form,
    }
    status = 422 if form.is_bound else 200
    return render(request, "quizzes/placing/rulings.html", context, status=status)


def _two_cards(request, ring: Ring) -> tuple[Card, Card]:
    """The two dogs that the query names; others of the class where it names none."""
    first = ring.by_id.get(request.GET.get("first", ""), ring.cards[0])
    others = [card for card in ring.cards if card is not first]
    second = ring.by_id.get(request.GET.get("second", ""))
    return first, others[0] if second is None or second is first else second


def _links(name: str, labels, chosen: str, **query) -> list[dict]:
    """Links that change one word of the compare page's address."""
    return [
        {
            "label": label,
            "query": urlencode({**query, name: value}),
            "current": value == chosen,
        }
        for value, label in labels.items()
    ]


def _one_of(request, name: str, known) -> str:
    value = request.GET.get(name)
    return value if value in known else next(iter(known))


@require_safe
def compare(request, pk):
    """Two dogs of the class side by side or laid over each other; also after it is handed in."""
    attempt = open_attempt(request, pk)
    ring = Ring(attempt)
    pair = _two_cards(request, ring)
    labels = {view: VIEW_LABELS[view] for view in ("side", *ring.pictures.views)}
    view, align = (
        _one_of(request, "view", labels),
        _one_of(request, "align", ALIGNMENTS),
    )
    laid = {"align": align, "view": view}
    overlay = ring.pictures.overlay(*(card.dog for card in pair), **laid)
    over = overlay is not None and request.GET.get("how") == "over"
    names = {"first": pair[0].id, "second": pair[1].id}
    how = {**names, **({"how": "over"} if over else {})}
    context = {
        "attempt": attempt,
        "revision": attempt.revision,
        "ring": ring,
        "pair": [
            replace(card, picture=ring.pictures.of(card.dog, view=view))
            for card in pair
        ],
        "overlay": overlay if over else None,
        "can_overlay": overlay is not None,
        "alignments": _links("align", ALIGNMENTS, align, **how)
        if over and view == "side"
        else [],
        "views": _links("view", labels, view, **how) if len(labels) > 1 else [],
    }
    return render(request, "quizzes/placing/compare.html", context)


@require_POST
def more_time(request, pk):
    """Two minutes more on the clock."""
    attempt = open_attempt(request, pk)
    try:
        attempts.more_time(attempt, now=timezone.now())
        messages.success(request, _("Two more minutes."))
    except attempts.HandedInAlready:
        return redirect("quizzes:attempt-result", pk=pk)
    return redirect("quizzes:attempt-answer", pk=pk)
