"""What can be run in a room, and how it is asked there: a thin layer over the kinds of exercise."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence

from quizzes.kinds import kind_named, kind_of
from quizzes.kinds.placing import in_room as placing_room
from quizzes.kinds.sheets import in_room as sheet_room
from quizzes.kinds.sheets.player import rows_to_ask, sent_rows

ON_SHEETS = ("severity", "question", "ruling")
"""Kinds of sheets whose rows need nothing that only the pages of an attempt can serve."""


def can_run(revision) -> bool:
    """Whether the exercise can be answered on the room's page; others have a page of their own."""
    slug = revision.exercise.kind
    if slug == "placing":
        return True
    return slug in ON_SHEETS and not sheet_room.has_pictures(
        kind_named(slug), revision.content
    )


def is_placing(revision) -> bool:
    return revision.exercise.kind == "placing"


def content_of(revision) -> Mapping:
    """The content as a room is asked it."""
    if is_placing(revision):
        return placing_room.as_asked(revision.content)
    return revision.content


def shown_to(sitting, attendee_id: int) -> dict:
    """What this attendee is shown: mixed for each, the same whenever it is looked at."""
    rng = random.Random(f"{sitting.pk}-{attendee_id}")
    kind = kind_of(sitting.revision)
    return kind.show(sitting.revision.content, rng=rng, again=False)


def armbands_of(revision) -> dict[str, int]:
    """The number each dog of a class wears in the room, by its id, the lowest first."""
    worn = {dog["id"]: dog["armband"] for dog in revision.content["dogs"]}
    return dict(sorted(worn.items(), key=lambda one: one[1]))


def rows_of(revision, shown: Mapping, answer: Mapping) -> list[dict]:
    """What a sheet asks, with what is answered already."""
    given = answer.get("items", {})
    return rows_to_ask(kind_of(revision), revision.content, shown, given, {})


def answer_sent(revision, post) -> dict:
    """The answer that the room's form holds. Raises ValidationError for a card that can't be read."""
    if is_placing(revision):
        placing, rulings = post.get("placing", ""), post.get("rulings", "")
        return placing_room.read_card(armbands_of(revision), placing, rulings)
    return sent_rows(kind_of(revision), revision.content, post)


def gathered(revision, answers: Sequence[Mapping]) -> dict:
    """The room's answers under the key, as a document without people."""
    if is_placing(revision):
        return placing_room.gathered(revision.content, revision.key, answers)
    kind = kind_of(revision)
    return sheet_room.gathered(kind, revision.content, revision.key, answers)


def told(revision, hand) -> dict:
    """One hand beside the key."""
    if is_placing(revision):
        return placing_room.told(revision.content, revision.key, hand.answer)
    return sheet_room.told(
        kind_of(revision),
        revision.content,
        revision.key,
        hand.shown,
        hand.answer,
        hand.grade["result"],
    )


def in_writing(revision, answer: Mapping) -> tuple[str, str]:
    """A placing and its rulings as on a card; nothing for sheets."""
    if not is_placing(revision) or not answer:
        return "", ""
    return placing_room.written(armbands_of(revision), answer)
