"""The demo's pairs to choose from, and what some trainees see, each with a threshold of their own."""

from __future__ import annotations

import json
import random
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from statistics import NormalDist

from django.conf import settings

from quizzes import attempts, exercises
from quizzes.kinds.two.answering import Run
from quizzes.kinds.two.content import PairsContent
from quizzes.kinds.two.drawable import offers
from quizzes.models import Revision

FILE = Path(settings.BASE_DIR) / "fixtures" / "marlefell-drover" / "pairs" / "all.json"
SLUG = "two"
DONE_BY = 4
TWICE = 2
"""How many of them do it a second time, a fortnight later."""


def documents() -> list[dict]:
    return json.loads(FILE.read_text("utf-8"))


def add_pairs(module, trainees, *, by, now, began) -> list[Revision]:
    """Put the exercises in force, and have some of the trainees do them."""
    made = []
    for n, document in enumerate(documents()):
        revision = add_exercise(module, document, by=by, now=began)
        for m, trainee in enumerate(trainees[:DONE_BY]):
            for turn in range(2 if m < TWICE else 1):
                when = now - timedelta(days=20 - m - 14 * turn, hours=n)
                rng = random.Random(1000 * n + 10 * m + turn)
                share = rng.uniform(0.15, 0.5) / (1 + turn / 2)
                choose_all(revision, trainee, share, rng=rng, now=when)
        made.append(revision)
    return made


def add_exercise(module, document, *, by, now) -> Revision:
    fields = {"title": document["title"], "note": document["note"]}
    draft = exercises.new_exercise(
        module, kind=SLUG, by=by, fields=fields, size=1, places=None
    )
    content = content_of(draft.module_revision, document)
    draft = exercises.save_revision(
        draft, by=by, version=draft.version, content=content.document()
    )
    return exercises.publish(draft, now=now, regrade=False)


def content_of(module_revision, document) -> PairsContent:
    """What the module offers under the document's name for it."""
    found = offers(module_revision).named(document["asks"])
    return replace(found, down=document["down"], pairs=document["pairs"])


def choose_all(revision, trainee, share: float, *, rng, now):
    """Have somebody choose in every pair who sees that share of the largest difference, and hand in."""
    attempt = attempts.begin(revision, by=trainee, now=now, rng=rng)
    content = PairsContent.read(revision.content)
    answer = chosen_by(content, attempt.shown, share, rng)
    return attempts.hand_in(attempt, now=now + timedelta(minutes=6), answer=answer)


def chosen_by(content: PairsContent, shown, share: float, rng) -> dict:
    """The answer of such a person."""
    limit, run = share * content.largest, Run.of(content, shown, {})
    scale = NormalDist().inv_cdf(content.plan.target)
    while not run.is_whole:
        pair = run.pairs[-1]
        sees = NormalDist().cdf(scale * pair.difference / limit)
        is_right = rng.random() < sees
        run = run.with_choice(pair.better if is_right else 1 - pair.better)
    return run.document()
