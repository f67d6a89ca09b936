"""What an attendee can practise next: from what they answered in the room and the key has otherwise."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime
from statistics import fmean

from django.db import transaction

from quizzes.review import services as reviews
from quizzes.review.practised import by_priority
from trainer.seminars.asking import is_placing
from trainer.seminars.models import Attendee, Hand, Sitting


@dataclass(frozen=True)
class Missed:
    """A priority on which the person and the key parted, or a sheet that was not all right."""

    module_id: int
    breed: str
    title: str
    slug: str
    share: float

    @property
    def in_ten(self) -> int:
        return round(10 * self.share)


def hands_of(place: Attendee) -> list[Hand]:
    """What the person handed in where the result is shown, in the order of the room."""
    found = Hand.objects.filter(attendee=place, sitting__state=Sitting.State.SHOWN)
    related = "sitting__revision__exercise__module__breed"
    priorities = "sitting__revision__module_revision__priorities"
    found = found.handed_in().exclude(grade=None).select_related(related)
    return list(found.prefetch_related(priorities).order_by("sitting__number"))


def shares(hand: Hand) -> dict[str, tuple[str, float]]:
    """By subject as reviews have it: its name, and the share that was as the key has it."""
    revision = hand.sitting.revision
    if not is_placing(revision):
        share = hand.share
        key = f"exercise:{revision.exercise_id}"
        return {} if share is None else {key: (revision.title, share)}
    priorities = list(revision.module_revision.priorities.all())
    names = {one.slug: one.name for one in priorities}
    found = by_priority(revision, hand.grade["result"], priorities)
    return {
        f"priority:{slug}": (names[slug], share)
        for slug, share in found.items()
        if slug in names
    }


def missed(hands: list[Hand]) -> list[Missed]:
    """What was not all as the key has it, over all the room was asked; the least so first."""
    reached: dict[tuple, list[float]] = defaultdict(list)
    for hand in hands:
        module = hand.sitting.revision.exercise.module
        for subject, (name, share) in shares(hand).items():
            reached[module.pk, str(module.breed), name, subject].append(share)
    found = [
        Missed(module, breed, name, _slug(subject), fmean(each))
        for (module, breed, name, subject), each in reached.items()
        if fmean(each) < 1
    ]
    return sorted(found, key=lambda one: one.share)


def _slug(subject: str) -> str:
    kind, _, name = subject.partition(":")
    return name if kind == "priority" else ""


@transaction.atomic
def put_on_review(place: Attendee, *, now: datetime) -> int:
    """Let the person's reviews know what the room has shown, each answer once; return how many were new."""
    waiting = [hand for hand in hands_of(place) if hand.noted_at is None]
    # Who presses twice waits here, and finds nothing left to do.
    held = Hand.objects.select_for_update(of=("self",)).filter(
        pk__in=[hand.pk for hand in waiting], noted_at=None
    )
    left = set(held.values_list("pk", flat=True))
    for hand in waiting:
        if hand.pk in left:
            _seen(place.person, hand, now)
    Hand.objects.filter(pk__in=left).update(noted_at=now)
    return len(left)


def _seen(person, hand: Hand, now: datetime) -> None:
    module = hand.sitting.revision.exercise.module_id
    for subject, (_name, share) in shares(hand).items():
        reviews.seen(person, module, subject, share, now=now)
