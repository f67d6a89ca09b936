"""The demo's assessment: a class, a sheet and a class made for each person, and what a few trainees came to."""

from __future__ import annotations

import random
from datetime import timedelta

from quizzes import attempts
from quizzes.assessments import drafting, tries
from quizzes.kinds import kind_of
from quizzes.kinds.sheets.kind import SheetKind
from quizzes.models import Assessment, Attempt, Revision

TRIED_BY = slice(1, 6)
"""Which of the demo's trainees have tried it; the first one finds it new."""
RELEASED = 3
"""How many of these have their results."""
KNOWN = 0.75
"""How often they know an answer."""
WISH = {"size": 4, "sex": "bitch", "difficulty": "plain"}


def add_assessment(module, trainees, *, by, now) -> Assessment:
    """Open it, and have a few trainees try it."""
    made = drafting.new(
        module,
        by=by,
        title="Before the autumn study day",
        note="What you bring to the study day: one class, faults by their severity, and a class of your own.",
        minutes=25,
        pass_per_cent=65,
        tries=2,
    )
    for kind, counts in (("placing", 2), ("severity", 1)):
        drafting.add(made, exercise=_first(module, kind), counts=counts)
    drafting.add(made, wish=WISH, counts=2)
    drafting.open_it(made)
    made.refresh_from_db()
    for n, trainee in enumerate(trainees[TRIED_BY]):
        done = _try(made, trainee, n=n, now=now - timedelta(days=6 - n, hours=n))
        if n < RELEASED:
            tries.release(done, now=done.handed_in_at + timedelta(days=1))
    return made


def _first(module, kind: str):
    in_force = Revision.objects.in_force().shared()
    of_kind = in_force.filter(exercise__module=module, exercise__kind=kind)
    return of_kind.select_related("exercise").order_by("size", "pk").first().exercise


def _try(assessment, trainee, *, n: int, now):
    """A try as a trainee who knows most of it leaves it; every other one does not get to the end of the last item."""
    rng = random.Random(200 + n)
    begun = tries.begin(assessment, by=trainee, now=now, rng=rng)
    asked = Attempt.objects.filter(assessment_try=begun).select_related(
        "revision__exercise"
    )
    for at, attempt in enumerate(asked.order_by("assessment_item__number"), start=1):
        given = _answer(attempt.revision, rng)
        if at == 3 and n % 2:
            given["order"] = given["order"][:2]
        saved = now + timedelta(minutes=6 * at)
        attempts.save_draft(attempt, given, version=0, now=saved)
    return tries.hand_in(begun, now=now + timedelta(minutes=20 + n))


def _answer(revision: Revision, rng: random.Random) -> dict:
    kind = kind_of(revision)
    if not isinstance(kind, SheetKind):
        return _placed(revision, rng)
    sheet, key = kind.sheet(revision.content), kind.key(revision.key)
    return {
        "items": {
            row.id: kind.right(row, key[row.id])
            if rng.random() < KNOWN
            else kind.guess(row, rng)
            for row in sheet
        }
    }


def _placed(revision, rng: random.Random) -> dict:
    """The key's order with neighbours turned round now and then."""
    key = revision.key
    order = list(key["order"])
    for at in range(len(order) - 1):
        if rng.random() > KNOWN:
            order[at], order[at + 1] = order[at + 1], order[at]
    rulings = {dog: dict(one) for dog, one in key.get("rulings", {}).items()}
    return {"order": order[: revision.content.get("places")], "rulings": rulings}
