"""Placing a class: the page, the moves, saving, more time."""

from __future__ import annotations

import json

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST

from quizzes import attempts
from quizzes.kinds.placing.places import count_word
from quizzes.kinds.placing.ring import Ring, open_attempt, stands
from trainer import offline


def more_minutes() -> str:
    """What asking for more time gives."""
    n = attempts.MORE_TIME_SECONDS // 60
    words = ngettext("%(n)s minute more", "%(n)s minutes more", n)
    return capfirst(words % {"n": count_word(n)})


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
        "more": more_minutes(),
        "minutes": minutes,
        "seconds": seconds,
        "spent_minutes": -(-allowed // 60) - max(left, 0) / 60,
    }


def answer_page(request, attempt, *, errors=(), status=200):
    """The class in the ring and the board; on to the reasons where only those are missing for handing in."""
    ring = Ring(attempt)
    if request.method == "POST" and errors and ring.lacks_only_reasons:
        return redirect("quizzes:placing-reasons", pk=attempt.pk)
    context = {
        "attempt": attempt,
        "revision": attempt.revision,
        "ring": ring,
        "clock": clock(attempt, timezone.now()),
        "errors": errors,
    }
    response = render(request, "quizzes/placing/answer.html", context, status=status)
    # What is moved without a connection stays with the page and is sent later (static/js/placing/draft.js).
    return offline.keep_to_answer(response, attempt, request.user)


MOVES = {
    "place": lambda board, dog, _to: board.place(dog),
    "back": lambda board, dog, _to: board.take_back(dog),
    "up": lambda board, dog, _to: board.move(dog, -1),
    "down": lambda board, dog, _to: board.move(dog, +1),
    "put": lambda board, dog, to: board.put(dog, to),
    "clear": lambda board, dog, _to: board.clear_ruling(dog),
    "hand": lambda board, dog, _to: board.go_over(dog),
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

    on_card = ("place", "back", "clear", "hand")
    anchor = f"dog-{dog}" if name in on_card else "board"
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


def with_kept(answer, attempt):
    """The answer as sent, with the dogs gone over and the reasons that are stored: a page may be older than those."""
    if not isinstance(answer, dict):
        return answer
    kept = dict(answer)
    if done := attempt.answer.get("handled", []):
        sent = answer.get("handled", [])
        more = sent if isinstance(sent, list) else []
        kept["handled"] = list(dict.fromkeys([*done, *map(str, more)]))
    if reasons := attempt.answer.get("reasons"):
        kept["reasons"] = reasons
    return kept


@require_POST
def save(request, pk):
    """The whole answer from the page's script, as JSON; answers with what is stored now.

    409 when another device has saved something else since, or it is handed in.
    """
    attempt, now = open_attempt(request, pk), timezone.now()
    over = False
    try:
        answer, version = sent_answer(request)
        answer = with_kept(answer, attempt)
        attempt = attempts.save_draft(attempt, answer, version=version, now=now)
        status, problem = 200, ""
    except (attempts.ChangedElsewhere, attempts.HandedInAlready) as error:
        attempt = open_attempt(request, pk)
        status, problem = 409, error.messages[0]
        over = isinstance(error, attempts.HandedInAlready)
    except ValidationError as error:
        status, problem = 422, error.messages[0]
    body = {
        "problem": problem,
        "version": attempt.version,
        "savedAt": attempt.saved_at
        and timezone.localtime(attempt.saved_at).strftime("%H:%M"),
        "answer": attempt.answer,
        "handedIn": over or attempt.is_handed_in,
        "left": attempt.seconds_left(now),
    }
    return JsonResponse(body, status=status)


@require_POST
def more_time(request, pk):
    """Some minutes more on the clock."""
    attempt = open_attempt(request, pk)
    try:
        attempts.more_time(attempt, now=timezone.now())
        messages.success(request, more_minutes())
    except attempts.HandedInAlready:
        return redirect("quizzes:attempt-result", pk=pk)
    return redirect("quizzes:attempt-answer", pk=pk)
