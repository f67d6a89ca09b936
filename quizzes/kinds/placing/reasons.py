"""Reasons for each pair of neighbours: the page on which they are given, and how they compare."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from quizzes import attempts
from quizzes.grading.reasons import Reasoned, compare
from quizzes.kinds.placing.board import MOST_REASONS
from quizzes.kinds.placing.content import ClassContent, ClassKey
from quizzes.kinds.placing.ring import Card, Ring, open_attempt, stands
from quizzes.words import halves
from trainer.http import onward, said_saved, wants_json


@dataclass(frozen=True)
class Asked:
    """Two neighbours of a placing, and what was said of them so far."""

    upper: Card
    lower: Card
    named: list[str]
    grant: str

    @property
    def both(self) -> tuple[Card, Card]:
        return self.upper, self.lower

    @property
    def field(self) -> str:
        return f"a-{self.upper.id}-{self.lower.id}"


def pairs_asked(ring: Ring) -> list[Asked]:
    """The neighbours from the top down."""
    found = []
    for upper, lower in ring.board.neighbours:
        said = ring.board.reasons_for(upper, lower)
        found.append(
            Asked(ring.by_id[upper], ring.by_id[lower], said["for"], said["grant"])
        )
    return found


def with_sent(board, data):
    """The board with the reasons that the form holds. Raises ValidationError for too many."""
    for upper, lower in board.neighbours:
        name = f"a-{upper}-{lower}"
        said = {"for": data.getlist(name), "grant": data.get(f"{name}-grant", "")}
        board = board.give_reasons(f"{upper}>{lower}", said)
    return board


@require_http_methods(["GET", "POST"])
def reasons(request, pk):
    """Give reasons for the placing as it stands, keep them, hand in."""
    attempt, now = open_attempt(request, pk), timezone.now()
    if attempt.is_handed_in:
        return onward(request, "quizzes:attempt-result", pk)
    if request.method != "POST":
        return _page(request, attempt)
    try:
        attempts.change_draft(
            attempt,
            lambda fresh: with_sent(stands(fresh), request.POST).answer(),
            now=now,
        )
        if request.POST.get("do") == "hand-in":
            attempts.hand_in(attempt, now=now)
            return onward(request, "quizzes:attempt-result", pk)
    except attempts.HandedInAlready:
        return onward(request, "quizzes:attempt-result", pk)
    except ValidationError as error:
        if wants_json(request):
            return JsonResponse({"said": " ".join(error.messages)}, status=422)
        fresh = open_attempt(request, pk)
        return _page(request, fresh, errors=error.messages, sent=request.POST)
    if wants_json(request):
        return JsonResponse({"version": 0, "said": said_saved()})
    messages.success(request, _("Saved. You can stop here and come back."))
    return redirect("quizzes:placing-reasons", pk=pk)


def _page(request, attempt, *, errors=(), sent=None):
    ring = Ring(attempt)
    priorities = attempt.revision.module_revision.priorities.all()
    asked = pairs_asked(ring)
    if sent is not None:
        asked = [
            Asked(
                one.upper,
                one.lower,
                sent.getlist(one.field),
                sent.get(f"{one.field}-grant", ""),
            )
            for one in asked
        ]
    context = {
        "attempt": attempt,
        "revision": attempt.revision,
        "ring": ring,
        "asked": asked,
        "priorities": priorities,
        "most": MOST_REASONS,
        "errors": errors,
    }
    status = 422 if errors else 200
    return render(request, "quizzes/placing/reasons.html", context, status=status)


@dataclass(frozen=True)
class Told:
    """A pair of the answer with what was said of it, what is so, and what the mentor says.

    turned : the key has the two the other way round
    """

    upper: int
    lower: int
    named: list
    grant: object | None
    found: Reasoned
    deciding: object | None
    grants: list
    turned: bool


class ReasonsTold:
    """The reasons of an attempt that was handed in, beside the key and the levels."""

    def __init__(
        self, content: ClassContent, key: ClassKey, answer, armbands, priorities
    ):
        self.content, self.key, self.answer = content, key, answer
        self.armbands, self.priorities = armbands, priorities

    def __bool__(self) -> bool:
        return bool(self.answer.get("reasons"))

    @property
    def pairs(self) -> list[Told]:
        """From the top down, as the answer has the dogs."""
        order = self.answer["order"]
        return [self._told(*pair) for pair in pairwise(order)]

    def _told(self, upper: str, lower: str) -> Told:
        said = self.answer["reasons"].get(f"{upper}>{lower}", {"for": [], "grant": ""})
        dogs, known = self.content.by_id, self.priorities
        reason = self.key.reasons.get((upper, lower))
        found = compare(
            said["for"],
            said["grant"],
            dogs[upper].levels,
            dogs[lower].levels,
            {slug: one.weight for slug, one in known.items()},
            decides=reason.priority if reason else "",
        )
        places = self.key.places()
        turned = places.get(upper, len(places) + 1) > places.get(lower, len(places) + 1)
        return Told(
            upper=self.armbands[upper],
            lower=self.armbands[lower],
            named=[
                {"priority": known[slug], "verdict": self._verdict(slug, found)}
                for slug in said["for"]
                if slug in known
            ],
            grant=known.get(said["grant"]),
            found=found,
            deciding=known.get(found.deciding),
            grants=[known[slug] for slug in found.grants[:2]],
            turned=turned,
        )

    def _verdict(self, slug, found: Reasoned) -> str:
        if slug == found.deciding:
            return _("this decides")
        verdicts = {
            _("true, and less than what decides"): found.true,
            _("the two are level on it"): found.level,
            _("the other dog is the better one on it"): found.untrue,
            _("nothing is known of it"): found.unknown,
        }
        return next(said for said, slugs in verdicts.items() if slug in slugs)

    @property
    def said(self) -> str:
        """The whole in one sentence."""
        points = [told.found.points for told in self.pairs]
        known = [one for one in points if one is not None]
        if not known:
            return _(
                "Nothing is known of these dogs that your reasons could be compared with."
            )
        values = {"points": halves(sum(known)), "n": len(known)}
        return _("Your reasons hold for %(points)s of %(n)s pairs.") % values
