"""The demo's exercises that ask several things on a sheet, from fixtures/, and what some trainees answered."""

from __future__ import annotations

import json
import random
from datetime import timedelta
from pathlib import Path

from django.conf import settings

from quizzes import attempts, exercises
from quizzes.kinds import kind_named
from quizzes.kinds.sheets.rows import Sheet
from quizzes.models import Revision

FOLDER = Path(settings.BASE_DIR) / "fixtures" / "marlefell-drover" / "sheets"
ANSWERED_BY = 5
"""How many of the demo's trainees answer each sheet."""
AS_THE_KEY = {"eye": 0.0}
"""How often they know an answer, 7 times in 10 unless said; otherwise they guess."""
AGAIN = {"eye": 3}
"""How often the first of them answers a sheet of that kind, once unless said."""


def documents() -> list[dict]:
    """The sheets, in the order of their file names; a file holds those of one kind."""
    paths = sorted(FOLDER.glob("*.json"))
    return [one for path in paths for one in json.loads(path.read_text("utf-8"))]


def add_sheets(module, trainees, *, by, began, now) -> list[Revision]:
    """Put the sheets in force, and have some of the trainees answer them."""
    made = []
    for n, document in enumerate(documents()):
        revision = add_sheet(module, document, by=by, now=began)
        for m, trainee in enumerate(trainees[:ANSWERED_BY]):
            for turn in range(AGAIN.get(document["kind"], 1) if m == 0 else 1):
                rng = random.Random(100 * n + m + 50 * turn)
                when = now - timedelta(days=14 - m - 5 * turn, hours=n)
                answer(revision, trainee, rng=rng, now=when)
        made.append(revision)
    return made


def add_sheet(module, document, *, by, now) -> Revision:
    """One sheet, in force. Its rows have what is asked, and under "key" what the key says."""
    kind = kind_named(document["kind"])
    fields = {"title": document["title"], "note": document.get("note", "")}
    draft = exercises.new_exercise(
        module, kind=kind.slug, by=by, fields=fields, size=1, places=None
    )
    draft = exercises.save_revision(
        draft, by=by, version=draft.version, **stored(document)
    )
    return exercises.publish(draft, now=now, regrade=False)


def stored(document) -> dict:
    """Content and key of a sheet's document, as a revision keeps them."""
    kind = kind_named(document["kind"])
    rows, key = [], {}
    for n, one in enumerate(document["rows"], start=1):
        row = kind.asked.read({"id": f"r{n}", **one})
        rows.append(row)
        key[row.id] = kind.known.read(one["key"])
    mixed = document.get("mixed", True)
    sheet = Sheet(tuple(rows), mixed, document.get("more", {}))
    return kind.stored(sheet, key)


def answer(revision: Revision, trainee, *, rng, now) -> None:
    """Have a trainee answer a sheet, mostly as the key has it."""
    kind = kind_named(revision.exercise.kind)
    attempt = attempts.begin(revision, by=trainee, now=now, rng=rng)
    sheet, key = kind.sheet(revision.content), kind.key(revision.key)
    given = {
        row.id: kind.right(row, key[row.id])
        if rng.random() < AS_THE_KEY.get(kind.slug, 0.7)
        else kind.guess(row, rng)
        for row in sheet
    }
    done = now + timedelta(minutes=3 + len(sheet))
    attempts.hand_in(attempt, now=done, answer={"items": given})
