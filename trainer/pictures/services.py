"""What changes which photographs a club has: kept, withdrawn, erased."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.db import transaction
from django.db.models import Count, Sum
from django.utils.translation import gettext as _

from trainer.clubs.models import Club
from trainer.pictures.intake import Photograph
from trainer.pictures.models import CONSENT, Licence, Picture


class NoRoom(ValidationError):
    """The club has as many photographs, or as many bytes of them, as it may have."""


@dataclass(frozen=True)
class Sent:
    """A photograph somebody sent, under the id it will have.

    agreed : the sender said that right and consent are there (models.CONSENT)
    """

    public_id: uuid.UUID
    photograph: Photograph
    credit: str = ""
    agreed: bool = False


@transaction.atomic
def keep(sent: Sequence[Sent], *, club, by, now) -> list[Picture]:
    """Keep all the photographs for the club, or raise NoRoom and keep none."""
    # The club's row is the lock, so that two uploads cannot both take the last room.
    club = Club.objects.select_for_update().get(pk=club.pk)
    _check_room(club, sent)
    return [_kept(one, club, by, now) for one in sent]


def _check_room(club, sent):
    kept = club.pictures.in_use().aggregate(n=Count("pk"), bytes=Sum("bytes"))
    if kept["n"] + len(sent) > settings.PICTURES_PER_CLUB:
        message = _(
            "The club may keep %(most)s photographs and has %(has)s. Take some away that "
            "are no longer needed."
        )
        values = {"most": settings.PICTURES_PER_CLUB, "has": kept["n"]}
        raise NoRoom(message % values, code="too-many")
    bytes_wanted = (kept["bytes"] or 0) + sum(one.photograph.bytes for one in sent)
    if bytes_wanted > settings.PICTURE_BYTES_PER_CLUB:
        message = _(
            "The club's room for photographs, %(most)s MB, is full. Take some away that "
            "are no longer needed."
        )
        most = settings.PICTURE_BYTES_PER_CLUB // 1024**2
        raise NoRoom(message % {"most": most}, code="no-room")


def _kept(sent: Sent, club, by, now) -> Picture:
    photograph = sent.photograph
    consent = {"consent_by": by, "consent_at": now, "consent_words": str(CONSENT)}
    return Picture.objects.create(
        public_id=sent.public_id,
        club=club,
        uploaded_by=by,
        uploaded_at=now,
        large=ContentFile(photograph.large, "large"),
        small=ContentFile(photograph.small, "small"),
        width=photograph.width,
        height=photograph.height,
        bytes=photograph.bytes,
        sha256=photograph.sha256,
        credit=sent.credit or photograph.rights.credit,
        rights_holder=photograph.rights.holder,
        licence=Licence.PERMISSION if sent.agreed else "",
        **(consent if sent.agreed else {}),
    )


@transaction.atomic
def withdraw(picture: Picture, *, now) -> None:
    """Take the photograph out of use everywhere and erase it; the record of it stays."""
    picture = Picture.objects.select_for_update(of=("self",)).get(pk=picture.pk)
    if picture.withdrawn_at:
        return
    _erase_files(picture)
    picture.large = picture.small = ""
    picture.bytes, picture.withdrawn_at = 0, now
    picture.save(update_fields=["large", "small", "bytes", "withdrawn_at"])


@transaction.atomic
def erase(picture: Picture) -> None:
    """Remove a photograph that nothing uses any more, with its record."""
    _erase_files(picture)
    picture.delete()


def _erase_files(picture):
    """Once the change is certain; a file that is there no more is no error."""
    for file in (picture.large, picture.small):
        if file:
            transaction.on_commit(partial(file.storage.delete, file.name))
