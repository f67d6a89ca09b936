"""What a sitting comes to: every hand graded, sums kept with the sitting, answers taken into people's records."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict
from datetime import datetime
from statistics import fmean

from quizzes.from_room import Given, take_over
from quizzes.grading.change import FEWEST, paired_change
from quizzes.kinds.base import Graded
from trainer.seminars.asking import room_of
from trainer.seminars.models import Hand, Sitting

CHUNK = 200


def graded_now(sitting: Sitting) -> dict:
    """Grade all hands in, late ones too, and return the document of the room's result."""
    room = room_of(sitting.revision)
    hands = list(sitting.hands.handed_in().select_related("attendee"))
    for hand in hands:
        graded = room.grade(hand.answer)
        # Its result is a document already: a copy of every part of it takes longer than grading.
        hand.share, hand.grade = graded.share, dict(vars(graded))
    Hand.objects.bulk_update(hands, ["share", "grade"], batch_size=CHUNK)
    counted = [hand for hand in hands if not hand.is_late]
    shares = [hand.share for hand in counted if hand.share is not None]
    return {
        "counted": len(counted),
        "late": len(hands) - len(counted),
        "share": fmean(shares) if shares else None,
        **room.gathered([hand.answer for hand in counted]),
    }


def change_since(sitting: Sitting, *, knew: bool) -> dict | None:
    """Before and after the discussion, of those who placed the class twice; None for a first placing.

    knew : whether the key had been shown before they placed it again
    """
    if not sitting.repeats_id:
        return None
    first = dict(
        Hand.objects.filter(sitting=sitting.repeats_id)
        .counted()
        .exclude(share=None)
        .values_list("attendee", "share")
    )
    second = sitting.hands.counted().exclude(share=None)
    both = [
        (first[who], share)
        for who, share in second.values_list("attendee", "share")
        if who in first
    ]
    found = paired_change([one for one, _ in both], [two for _, two in both])
    if found is None:
        return None
    return {**asdict(found), "knew": knew, "told": found.n >= FEWEST}


def keep_in_records(sitting: Sitting, hands: Iterable[Hand], *, now: datetime) -> int:
    """Take answers of people with an account into their records, once each; return how many were new."""
    if not room_of(sitting.revision).is_kept:
        return 0
    given = [
        Given(
            person_id=hand.attendee.person_id,
            submission=hand.submission,
            shown=hand.shown,
            answer=hand.answer,
            began=sitting.opened_at or hand.handed_in_at,
            handed_in=hand.handed_in_at,
            graded=Graded(**hand.grade),
        )
        for hand in hands
    ]
    return take_over(sitting.revision, given, now=now) if given else 0


def of_people(sitting: Sitting):
    """Hands in time of people with an account; guests' are kept with the seminar until they have one."""
    counted = sitting.hands.counted().exclude(grade=None)
    return counted.filter(
        attendee__person__isnull=False, attendee__person__is_guest=False
    ).select_related("attendee")


def keep_for(person, *, now: datetime) -> int:
    """Everything that somebody answered as a guest, into the record of the account it has become."""
    shown = (
        Sitting.objects.filter(
            state=Sitting.State.SHOWN, hands__attendee__person=person
        )
        .select_related("revision__exercise")
        .distinct()
    )
    return sum(
        keep_in_records(one, of_people(one).filter(attendee__person=person), now=now)
        for one in shown
    )
