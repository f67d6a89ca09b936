"""Pictures of what the room is asked, for everybody in it, guests too, and for nobody else."""

from __future__ import annotations

from django.db.models import Q
from django.http import Http404
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from trainer.pictures.models import Picture
from trainer.pictures.views import sent_file
from trainer.seminars.asking import room_of
from trainer.seminars.models import Sitting

PHONE, PROJECTOR = "small", "large"


def _sitting(request, pk, number) -> Sitting:
    """A sitting that the person runs, or that the room is at, or was."""
    led = Q(pk__in=Sitting.objects.led_by(request.user).values("pk"))
    begun = Sitting.objects.filter(opened_at__isnull=False)
    attended = Q(pk__in=begun.attended_by(request.user).values("pk"))
    found = Sitting.objects.filter(led | attended, seminar=pk, number=number)
    found = found.select_related("revision__exercise")
    return get_object_or_404(found.defer("revision__key", "result"))


@require_safe
def plate(request, pk, number, what, place):
    """A drawing of what is asked; measured once the result is shown."""
    sitting = _sitting(request, pk, number)
    room = room_of(sitting.revision)
    return room.plate(request, what, place, told=sitting.is_shown)


@require_safe
def photograph(request, pk, number, public_id, size):
    """A photograph of what is asked, as long as it is cleared; not one that stands elsewhere."""
    sitting = _sitting(request, pk, number)
    if size not in (PHONE, PROJECTOR):
        raise Http404
    if str(public_id) not in room_of(sitting.revision).photographs:
        raise Http404
    club = sitting.revision.exercise.club_id
    cleared = Picture.objects.cleared().filter(club=club)
    return sent_file(get_object_or_404(cleared, public_id=public_id), size)
