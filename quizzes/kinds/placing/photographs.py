"""Saving a class with its photographs: all of it, or nothing."""

from __future__ import annotations

from django.db import transaction
from django.db.models import TextField
from django.db.models.functions import Cast

from quizzes import exercises
from quizzes.kinds.placing.content import ClassContent
from quizzes.models import LibraryDog, Revision
from trainer.pictures import services
from trainer.pictures.models import Picture
from trainer.study.models import Lesson


@transaction.atomic
def save_with_photographs(draft, content: ClassContent, sent, *, by, now, **changes):
    """Save the draft, keep the photographs its dogs now have, erase those nothing shows; return the draft.

    Raises ValidationError as exercises.save_revision and pictures.services.keep do.
    """
    had = ClassContent.read(draft.content).pictures
    kept = exercises.save_revision(draft, by=by, content=content.document(), **changes)
    wanted = [one for one in sent if str(one.public_id) in content.pictures]
    services.keep(wanted, club=draft.exercise.club, by=by, now=now)
    erase_unused(had - content.pictures, draft.exercise.club_id)
    return kept


def erase_unused(pictures, club_id: int) -> None:
    """Erase those of the photographs (public ids) that no revision of the club shows."""
    for picture in pictures:
        _erase_if_unused(picture, club_id)


def _erase_if_unused(public_id: str, club_id: int) -> None:
    """Earlier revisions, copies of the class, dogs of the library and lessons may show it still.

    One that somebody has described belongs to the club's photographs and is kept there.
    """
    showing = (
        (Revision.objects.filter(exercise__club=club_id), "content"),
        (LibraryDog.objects.filter(club=club_id), "pictures"),
        (Lesson.objects.filter(revision__module__club=club_id), "sections"),
    )
    for rows, document in showing:
        texts = rows.annotate(text=Cast(document, TextField()))
        if texts.filter(text__contains=public_id).exists():
            return
    found = Picture.objects.in_use().filter(club=club_id, public_id=public_id)
    for picture in found.filter(title="", alt="", landmarks={}):
        services.erase(picture)
