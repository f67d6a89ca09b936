"""The record as xAPI statements: what a person did, in words that other record stores read.

xAPI 1.0.3, Part Two, "Experience API Data" (Advanced Distributed Learning Initiative). Statements leave out
`version`, as it recommends (2.4.10), so they are read under 1.0.3 and under IEEE 9274.1.1 alike.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from uuid import uuid5

from django.db.models import F

from quizzes.kinds import kind_named
from quizzes.record.spent import times_of
from quizzes.record.streams import rows, with_grades, with_marks

VERBS = "http://adlnet.gov/expapi/verbs/"
ACTIVITIES = "http://adlnet.gov/expapi/activities/"
PLATFORM = "Placing Room"
DOCUMENTS = {"content": F("revision__content"), "key": F("revision__key")}


def actor(user, *, site: str, by_address: bool = False) -> dict:
    """The person: by their account here, whose name says nothing; by e-mail only if they ask for it."""
    if by_address:
        return {
            "objectType": "Agent",
            "name": user.name,
            "mbox": f"mailto:{user.email}",
        }
    account = {"homePage": f"{site}/", "name": str(user.pk)}
    return {"objectType": "Agent", "account": account}


def pieces(mine, who: dict, *, site: str, language: str) -> Iterator[str]:
    """The statements about the attempts (a queryset) that were handed in: a JSON array, piece by piece."""
    yield "["
    before = "\n"
    for statement in statements(mine, who, site=site, language=language):
        yield before + json.dumps(statement, ensure_ascii=False)
        before = ",\n"
    yield "\n]\n"


def statements(mine, who: dict, *, site: str, language: str) -> Iterator[dict]:
    """One for each that was handed in, and one for each mark that was returned."""
    times = times_of(mine)
    mine = mine.finished()
    columns = ("submission", "answer", "handed_in_at")
    found = with_grades(mine, rows(mine, *columns, **DOCUMENTS))
    for row in with_marks(mine, found):
        about = {"site": site, "language": language}
        yield _done(row, who, times[row["pk"]], **about)
        if row["mark"]:
            yield _marked(row, who, **about)


def _done(row: dict, who: dict, time: timedelta, *, site, language) -> dict:
    """That it was answered; with the score where the answer alone decides it."""
    kind = kind_named(row["kind"])
    interaction = interaction_of(kind, row)
    result = {"completion": True, "duration": duration(time)}
    if not kind.is_marked:
        result |= score(row["own_grade"])
    if interaction and interaction.response:
        result["response"] = interaction.response
    verb = "answered" if interaction else "completed"
    return {
        "id": str(uuid5(row["submission"], verb)),
        "actor": who,
        "verb": _verb(verb),
        "object": _activity(row, kind, interaction, site, language),
        "result": result,
        "context": _context(row, site, language),
        "timestamp": moment(row["handed_in_at"]),
    }


def _marked(row: dict, who: dict, *, site, language) -> dict:
    """That a mark was returned: a statement of its own, since one that was given out never changes."""
    kind = kind_named(row["kind"])
    return {
        "id": str(uuid5(row["submission"], "scored")),
        "actor": who,
        "verb": _verb("scored"),
        "object": _activity(row, kind, interaction_of(kind, row), site, language),
        "result": score(row["own_grade"]) or {"completion": True},
        "context": _context(row, site, language),
        "timestamp": moment(row["mark"].returned_at),
    }


def interaction_of(kind, row: dict):
    """The answer in the terms of the standard, where the kind can say it so (base.Interaction); or None."""
    say = getattr(kind, "interaction", None)
    return say(row["content"], row["key"], row["answer"]) if say else None


def score(grade) -> dict:
    """The score of a grade; nothing where nothing counts."""
    if grade is None or grade.share is None or not grade.pairs_counted:
        return {}
    raw = {"raw": grade.pairs_agreed, "min": 0, "max": grade.pairs_counted}
    if not 0 <= grade.pairs_agreed <= grade.pairs_counted:
        raw = {}
    return {"score": {"scaled": round(grade.share, 6), **raw}}


def duration(time: timedelta) -> str:
    """A time as ISO 8601 has it, to the second: "PT4M12S"."""
    minutes, seconds = divmod(round(time.total_seconds()), 60)
    hours, minutes = divmod(minutes, 60)
    parts = [(hours, "H"), (minutes, "M"), (seconds, "S")]
    return "PT" + ("".join(f"{n}{unit}" for n, unit in parts if n) or "0S")


def moment(at: datetime) -> str:
    """RFC 3339 in UTC, to the millisecond."""
    text = at.astimezone(UTC).isoformat(timespec="milliseconds")
    return text.replace("+00:00", "Z")


def _verb(name: str) -> dict:
    return {"id": VERBS + name, "display": {"en": name}}


def _activity(row: dict, kind, interaction, site: str, language: str) -> dict:
    """The exercise as it was: another revision has another key, and so is another activity."""
    definition = {
        "name": {language: row["title"]},
        "description": {language: f"{kind.label}. {row['breed']}"},
    }
    if interaction:
        definition |= {
            "type": ACTIVITIES + "cmi.interaction",
            **_interaction(interaction, language),
        }
    else:
        definition["type"] = ACTIVITIES + "assessment"
    where = f"{site}/classes/{row['exercise']}/#revision-{row['revision_number']}"
    return {"objectType": "Activity", "id": where, "definition": definition}


def _interaction(interaction, language: str) -> dict:
    found = {"interactionType": interaction.type}
    if interaction.pattern is not None:
        found["correctResponsesPattern"] = list(interaction.pattern)
    for name, components in interaction.components.items():
        found[name] = [
            {"id": one, "description": {language: text}} for one, text in components
        ]
    return found


def _context(row: dict, site: str, language: str) -> dict:
    module = {
        "objectType": "Activity",
        "id": f"{site}/modules/{row['module']}/",
        "definition": {
            "name": {language: row["breed"]},
            "type": ACTIVITIES + "module",
        },
    }
    return {
        "registration": str(row["submission"]),
        "contextActivities": {"parent": [module]},
        "platform": PLATFORM,
        "language": language,
    }
