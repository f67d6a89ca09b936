"""What an attempt at pairs says: the difference, its interval, the staircase, and earlier attempts."""

from __future__ import annotations

from django.db.models import F
from django.shortcuts import render
from django.utils.translation import gettext as _

from quizzes.drawing.amounts import amount
from quizzes.drawing.sketch import MEASURES
from quizzes.kinds import kind_named
from quizzes.kinds.two.content import PairsContent
from quizzes.kinds.two.drawable import said
from quizzes.kinds.two.figure import said_range, staircase
from quizzes.kinds.two.player import SLUG, run_of, shown
from quizzes.kinds.two.words import SKILLED
from quizzes.models import Attempt, Grade
from quizzes.plates.faults import fault

HISTORY = 40


def result_page(request, attempt, grades):
    grade = next(one for one in grades if one.revision_id == attempt.revision_id)
    run, told = run_of(attempt), grade.result
    content, unit = run.content, run.content.unit
    reversals = set(run.track.reversals)
    rows = [
        {
            "n": n,
            "amount": amount(one.difference, unit),
            "right": right,
            "turned": n - 1 in reversals,
        }
        for n, (one, right) in enumerate(
            zip(run.answered, run.right, strict=True), start=1
        )
    ]
    context = {
        "attempt": attempt,
        "revision": attempt.revision,
        "kind": kind_named(SLUG),
        "content": content,
        "asked": said(content),
        "told": told,
        "how": told["short"]["how"],
        "amount": amount(grade.pairs_agreed, unit),
        "low": said_range(told, unit)[0],
        "high": said_range(told, unit)[1],
        "often": _("8 times in 10") if content.down == 3 else _("7 times in 10"),
        "skilled": SKILLED[unit],
        "measured": _measured(content),
        "figure": staircase(run, told),
        "rows": rows,
        "hardest": _hardest(attempt, run),
        "history": history(request.user, attempt, content),
        "is_own": attempt.trainee_id == request.user.pk,
    }
    return render(request, "quizzes/two/result.html", context)


def _measured(content: PairsContent) -> str:
    """What the difference was measured on, in words."""
    if content.over_all:
        weights = ", ".join(f"{one.name} {one.weight:.0f}" for one in content.of)
        return _("Weighed: %(weights)s.") % {"weights": weights}
    (part,) = content.of
    values = {
        "label": MEASURES[content.measure].label,
        "fault": fault(part.code).name,
    }
    return _("Measured on: %(label)s. The worse dog has more of: %(fault)s.") % values


def _hardest(attempt, run) -> dict | None:
    """The pair with the largest difference that was missed, with its measurement laid over it."""
    missed = [
        (one.difference, at)
        for at, (one, right) in enumerate(zip(run.answered, run.right, strict=True))
        if not right
    ]
    if not missed:
        return None
    difference, at = max(missed)
    made = run.answered[at]
    dogs = shown(attempt, at + 1, made, measured=True)
    for dog in dogs:
        dog["better"] = dog["side"] == made.better
    values = {"n": at + 1, "dogs": dogs}
    return values | {"amount": amount(difference, run.content.unit)}


def history(reader, attempt, content: PairsContent) -> list[dict]:
    """Attempts of the same person at pairs that differ in the same, the earliest first; one query.

    Only what the reader may see: a mentor sees those of their own clubs.
    """
    if attempt.preview:
        return []
    theirs = Attempt.objects.visible_to(reader).filter(
        trainee=attempt.trainee_id, preview=False, withheld=False
    )
    grades = Grade.objects.filter(
        attempt__in=theirs.values("pk"),
        revision=F("attempt__revision"),
        attempt__revision__exercise__kind=SLUG,
    ).order_by("-attempt__handed_in_at", "-attempt__pk")
    rows = grades.values_list(
        "attempt", "attempt__handed_in_at", "result", "pairs_agreed"
    )
    same = [row for row in rows[:HISTORY] if _alike(row[2], content)]
    kind = kind_named(SLUG)
    return [
        {
            "attempt": pk,
            "when": when,
            "said": kind.outcome(_Listed(result, agreed)),
            "between": _between(*said_range(result, content.unit)),
        }
        for pk, when, result, agreed in reversed(same)
    ]


def _between(low: str, high: str) -> str:
    if low and high:
        return _("%(low)s to %(high)s") % {"low": low, "high": high}
    if high:
        return _("below %(high)s") % {"high": high}
    return _("above %(low)s") % {"low": low} if low else ""


class _Listed:
    """As much of a grade as its outcome needs."""

    def __init__(self, result, agreed):
        self.result, self.pairs_agreed = result, agreed


def _alike(result: dict, content: PairsContent) -> bool:
    return (
        result["short"]["unit"] == content.unit and result["measure"] == content.measure
    )
