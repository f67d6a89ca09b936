"""What is asked in a room: a thin layer over the kinds of exercise (quizzes/kinds/in_room.py)."""

from __future__ import annotations

import random
from contextlib import suppress

from django.core.exceptions import ValidationError
from django.urls import reverse

from quizzes.kinds import kind_of
from quizzes.kinds.in_room import Addresses, InRoom


def room_of(revision) -> InRoom:
    """The exercise as a room is asked it."""
    return kind_of(revision).in_room(revision)


def is_placing(revision) -> bool:
    return revision.exercise.kind == "placing"


def shown_to(sitting, attendee_id: int) -> dict:
    """What this attendee is shown: mixed for each, the same whenever it is looked at."""
    rng = random.Random(f"{sitting.pk}-{attendee_id}")
    return room_of(sitting.revision).show(rng)


def addresses(sitting, *, size: str) -> Addresses:
    """Where the room's pages find pictures of the sitting; photographs in the one size that the page can show."""
    here = [sitting.seminar_id, sitting.number]
    return Addresses(
        plate=lambda what, place: reverse("seminars:plate", args=[*here, what, place]),
        photograph=lambda one, _size: reverse(
            "seminars:photograph", args=[*here, one, size]
        ),
    )


def form_of(sitting, shown, at: Addresses, typed) -> dict:
    """What the form of an answer needs; typed : a posted form that was not taken."""
    room = room_of(sitting.revision)
    answer = {}
    if typed is not None:
        # What can't be read stands in `typed` as it was sent.
        with suppress(ValidationError):
            answer = room.sent(shown, typed)
    return {"room": room, "typed": typed or {}, **room.asked(shown, answer, at)}


def armbands_of(revision) -> dict[str, int]:
    """The number each dog of a class wears in the room, by its id, the lowest first."""
    worn = {dog["id"]: dog["armband"] for dog in revision.content["dogs"]}
    return dict(sorted(worn.items(), key=lambda one: one[1]))
