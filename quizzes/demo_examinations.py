"""The demo's examinations from memory, from fixtures/, and what some trainees answered."""

from __future__ import annotations

import json
import random
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

from django.conf import settings

from quizzes import attempts, exercises
from quizzes.kinds.examination.content import ExamAnswer, ExamContent, ExamKey
from quizzes.kinds.examination.grading import SENSES, right_places
from quizzes.kinds.examination.taking import finding, taken, with_gap
from quizzes.models import Revision

PATH = Path(settings.BASE_DIR) / "fixtures/marlefell-drover/examinations/marlefell.json"
ANSWERED_BY = 4
SWAPS = 5
"""How many times a trainee of the demo takes one step for another."""


def documents() -> list[dict]:
    return json.loads(PATH.read_text("utf-8"))


def add_examinations(module, trainees, *, by, began, now) -> list[Revision]:
    """Put the examinations in force, and have some of the trainees answer them."""
    made = []
    for n, document in enumerate(documents()):
        revision = add_examination(module, document, by=by, now=began, seed=n)
        for m, trainee in enumerate(trainees[:ANSWERED_BY]):
            rng = random.Random(1000 + 100 * n + m)
            when = now - timedelta(days=11 - m, hours=n)
            _answer(revision, trainee, rng=rng, now=when)
        made.append(revision)
    return made


def add_examination(module, document, *, by, now, seed=0) -> Revision:
    fields = {"title": document["title"], "note": document["note"]}
    draft = exercises.new_exercise(
        module, kind="examination", by=by, fields=fields, size=1, places=None
    )
    content, key = built(draft.module_revision, document, random.Random(seed))
    draft = exercises.save_revision(
        draft,
        by=by,
        version=draft.version,
        content=content.document(),
        key=key.document(),
    )
    return exercises.publish(draft, now=now, regrade=False)


def built(module, document, rng) -> tuple[ExamContent, ExamKey]:
    """Content and key as the document asks for them; steps are named in it."""
    content, key = taken(module, rng)
    ids = {name: pk for pk, name in content.names.items()}
    known = {
        pk: replace(
            one,
            gate=content.names[pk] in document["gates"],
            why=document["why"].get(content.names[pk], ""),
        )
        for pk, one in key.steps.items()
    }
    level = (key.order.index(ids[name]) for name in document.get("level", ()))
    key = replace(key, steps=known, level=frozenset(level))
    asked = [ids[name] for name in document.get("find", ())]
    content = finding(replace(content, to_find=()), key, asked, rng)
    content, key = with_gap(content, key, ids.get(document.get("gap"), ""), rng)
    return replace(content, asked=tuple(document["asked"])), key


def right(content: ExamContent, key: ExamKey) -> ExamAnswer:
    """The answer that the key has."""
    asked = content.asked
    return ExamAnswer(
        order=key.order if "order" in asked else (),
        senses={pk: one.sense for pk, one in key.steps.items()}
        if "sense" in asked
        else {},
        finds={one.step: key.of(one.step).find for one in content.to_find}
        if "find" in asked
        else {},
        gap=key.gap if "gap" in asked else "",
        after=right_places(content, key)[0] if "gap" in asked else -1,
        sealed=content.in_two,
    )


def _answer(revision, trainee, *, rng, now) -> None:
    """Have a trainee answer it, with some steps taken for others."""
    content, key = ExamContent.read(revision.content), ExamKey.read(revision.key)
    answer = right(content, key)
    order = list(answer.order)
    for _swap in range(rng.randrange(SWAPS) if order else 0):
        at = rng.randrange(1, len(order))
        order[at - 1], order[at] = order[at], order[at - 1]
    senses = {
        pk: rng.choice(SENSES) if rng.random() < 0.2 else sense
        for pk, sense in answer.senses.items()
    }
    finds = {
        one.step: rng.choice(one.options)
        if rng.random() < 0.25
        else answer.finds[one.step]
        for one in content.to_find
        if one.step in answer.finds
    }
    given = replace(answer, order=tuple(order), senses=senses, finds=finds)
    attempt = attempts.begin(revision, by=trainee, now=now, rng=rng)
    done = now + timedelta(minutes=6)
    attempts.hand_in(attempt, now=done, answer=given.document())
