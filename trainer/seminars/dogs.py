"""The dogs of a class as the room sees them: large on the stage, by a tap on a phone."""

from __future__ import annotations

from django.db.models import Q
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_safe

from quizzes.kinds.placing.content import ClassContent
from quizzes.kinds.placing.pictures import Pictures, photograph_ids, plate_of
from trainer.seminars.models import Sitting


class InRoom(Pictures):
    """What a sitting shows of each dog; the address says which sitting and which dog, in ids that mean nothing."""

    def __init__(self, sitting: Sitting, content: ClassContent):
        self.sitting, self.content = sitting, content
        self.armbands = {dog.id: dog.armband for dog in content}
        self.photographs = photograph_ids(content, sitting.revision.exercise.club_id)

    def plate_address(self, dog):
        args = [self.sitting.seminar_id, self.sitting.number, dog.id]
        return reverse("seminars:plate", args=args)


def dogs_of(sitting: Sitting) -> list[dict]:
    """Each dog by its number: picture and words, as an open attempt has them."""
    content = ClassContent.read(sitting.revision.content)
    pictures = InRoom(sitting, content)
    return [
        {
            "armband": dog.armband,
            "picture": pictures.of(dog),
            "ringside": dog.ringside,
            "hands_on": dog.hands_on,
        }
        for dog in sorted(content, key=lambda one: one.armband)
    ]


def can_be_looked_at(dogs: list[dict]) -> bool:
    """Whether there is more to see than numbers; live dogs are looked at in the ring."""
    return any(one["picture"] or one["ringside"] for one in dogs)


@require_safe
def plate(request, pk, number, dog):
    """A drawn dog of a class that the room is at, or was, for everybody in the room."""
    led = Q(pk__in=Sitting.objects.led_by(request.user).values("pk"))
    begun = Sitting.objects.filter(opened_at__isnull=False)
    attended = Q(pk__in=begun.attended_by(request.user).values("pk"))
    found = Sitting.objects.filter(led | attended, seminar=pk, number=number)
    sitting = get_object_or_404(
        found.select_related("revision").defer("revision__key", "result")
    )
    content = ClassContent.read(sitting.revision.content)
    return plate_of(request, content, dog, told=False)
