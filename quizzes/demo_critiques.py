"""The demo's critiques: exercises with the mentor's own, trainees' texts, and marks of one mentor and of two."""

from __future__ import annotations

import json
import random
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

from django.conf import settings

from quizzes import attempts, exercises
from quizzes.kinds.critique.content import CritiqueContent, CritiqueKey
from quizzes.kinds.placing.content import ClassContent, ClassKey
from quizzes.marking import services
from quizzes.marking.services import Entry
from quizzes.models import Attempt, Revision
from trainer.clubs.models import Role

FILE = (
    Path(settings.BASE_DIR) / "fixtures" / "marlefell-drover" / "critiques" / "all.json"
)


def documents() -> list[dict]:
    """The critiques as they stand in the file."""
    return json.loads(FILE.read_text(encoding="utf-8"))


def add_critiques(club, classes, trainees, *, began, now) -> list[Revision]:
    """Put the critiques in force, have some of the trainees write them, and mark some.

    classes : revisions in force, from which the dogs are taken
    """
    teaching = club.memberships.filter(role=Role.MENTOR).order_by("pk")
    mentors = [membership.user for membership in teaching.select_related("user")]
    by_title = {revision.title: revision for revision in classes}
    made = []
    for document in documents():
        revision = add_critique(by_title[document["class"]], document, mentors, began)
        for n, row in enumerate(document["written"]):
            day = now - timedelta(days=12 - 2 * n, hours=n)
            writer = trainees[row["trainee"]]
            write_and_mark(revision, writer, row, mentors=mentors, now=day)
        made.append(revision)
    return made


def add_critique(klass: Revision, document, mentors, began) -> Revision:
    """One critique of the dog that the class's key places there, in force."""
    content, key = ClassContent.read(klass.content), ClassKey.read(klass.key)
    dog = key.order[document["place"] - 1]
    draft = exercises.new_exercise(
        klass.exercise.module,
        kind="critique",
        by=mentors[0],
        fields={"title": document["title"], "note": document["note"]},
        size=1,
        places=None,
    )
    asked = replace(
        CritiqueContent.read(draft.content),
        dog=content.by_id[dog],
        breed=content.breed,
        place=document["place"],
        least=document["least"],
        most=document["most"],
    )
    own = CritiqueKey(document["critique"], tuple(document["points"]))
    draft = exercises.save_revision(
        draft,
        by=mentors[0],
        version=draft.version,
        content=asked.document(),
        key=own.document(),
    )
    return exercises.publish(draft, now=began, regrade=False)


def write_and_mark(revision: Revision, trainee, row, *, mentors, now) -> Attempt:
    """Hand a text in, and have it marked as far as its row in the file says."""
    attempt = attempts.begin(revision, by=trainee, now=now, rng=random.Random(0))
    answer = {"text": row["text"], "covered": row["covered"]}
    done = now + timedelta(minutes=25)
    attempt = attempts.hand_in(attempt, now=done, answer=answer)
    marks = row.get("marks", [])
    given = [*marks, *([row["agreed"]] if "agreed" in row else [])]
    for day, one in enumerate(given, start=1):
        when = done + timedelta(hours=9 * day)
        mark(attempt, one, by=mentors[one["mentor"]], now=when)
        if day == 1 and (len(marks) == 2 or row.get("second")):
            services.ask_second(attempt, by=mentors[one["mentor"]])
    if row.get("returned"):
        by, back = mentors[given[-1]["mentor"]], done + timedelta(hours=30)
        services.hand_back(attempt, by=by, now=back, link=None)
    return attempt


def mark(attempt: Attempt, given, *, by, now) -> None:
    """One mark, final unless its row says otherwise."""
    entry = Entry(tuple(given["points"]), tuple(given["comments"]), given["overall"])
    final = given.get("final", True)
    services.save(attempt, entry, by=by, version=0, now=now, final=final)
