"""What changes a club's photographs: kept, described, cleared, altered, withdrawn, erased."""

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
from trainer.pictures.telling import tell_mentors

SIZES = ("large", "small", "for_print")


class Changed(ValidationError):
    """Somebody else replaced the files, or withdrew the picture, since the page was made."""


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
    rights = photograph.rights
    return Picture.objects.create(
        public_id=sent.public_id,
        club=club,
        uploaded_by=by,
        uploaded_at=now,
        **_files(photograph),
        width=photograph.width,
        height=photograph.height,
        bytes=photograph.bytes,
        sha256=photograph.sha256,
        credit=sent.credit or rights.credit,
        rights_holder=rights.holder,
        said=rights.said(),
        made=rights.made,
        licence=Licence.PERMISSION if sent.agreed else "",
        **(_consent(by, now) if sent.agreed else {}),
    )


def _files(photograph: Photograph) -> dict[str, ContentFile | str]:
    """A file for each size there is, under names that the storage replaces."""
    bodies = {size: getattr(photograph, size) for size in SIZES}
    return {
        size: ContentFile(body, size) if body else "" for size, body in bodies.items()
    }


def _consent(by, now) -> dict:
    return {"consent_by": by, "consent_at": now, "consent_words": str(CONSENT)}


@transaction.atomic
def describe(picture: Picture, *, by, now, agreed: bool, **details) -> Picture:
    """Store what is known of the photograph; `agreed` puts consent on record.

    Consent that is on record stays as it was given, while it holds. Raises Changed if the
    photograph was withdrawn.
    """
    picture = _in_use(picture)
    if agreed and (picture.consent_at is None or picture.consent_is_over):
        details |= _consent(by, now)
    for name, value in details.items():
        setattr(picture, name, value)
    picture.save(update_fields=[*details])
    return picture


@transaction.atomic
def place_landmarks(picture: Picture, landmarks: dict, *, edition: int) -> None:
    """Store landmarks that were placed on that edition of the picture. Raises Changed."""
    picture = _in_use(picture, edition)
    picture.landmarks = landmarks
    picture.save(update_fields=["landmarks"])


@transaction.atomic
def replace_files(
    picture: Picture, photograph: Photograph, landmarks: dict, *, edition: int
) -> None:
    """Put another set of files in the place of that edition's, which are erased. Raises Changed."""
    picture = _in_use(picture, edition)
    _erase_files(picture)
    for size, file in _files(photograph).items():
        setattr(picture, size, file)
    picture.width, picture.height = photograph.width, photograph.height
    picture.bytes, picture.landmarks = photograph.bytes, landmarks
    picture.edition += 1
    picture.save()


def _in_use(picture: Picture, edition: int | None = None) -> Picture:
    """The picture, locked, if it is in use and in that edition (any, if none is named)."""
    found = Picture.objects.in_use().select_for_update(of=("self",))
    found = found.filter(pk=picture.pk).first()
    if found is None:
        raise Changed(_("The photograph was withdrawn meanwhile."), code="withdrawn")
    if edition not in (None, found.edition):
        message = _(
            "Somebody changed the photograph meanwhile. Look at it as it is now and do "
            "it again if it is still needed."
        )
        raise Changed(message, code="changed")
    return found


@transaction.atomic
def withdraw(picture: Picture, *, now, by=None) -> None:
    """Take the photograph out of use everywhere and erase it; the record of it stays.

    The club's mentors are told by mail, but for the one who does it.
    """
    picture = Picture.objects.select_for_update(of=("self",)).get(pk=picture.pk)
    if picture.withdrawn_at:
        return
    cleared = picture.is_cleared
    _erase_files(picture)
    for size in SIZES:
        setattr(picture, size, "")
    picture.bytes, picture.withdrawn_at, picture.landmarks = 0, now, {}
    picture.save(update_fields=[*SIZES, "bytes", "withdrawn_at", "landmarks"])
    if cleared:
        # A mail server that is down must not keep a photograph in use. No partial: a robust
        # hook that fails is logged by its name, and a partial has none.
        transaction.on_commit(lambda: tell_mentors(picture, by), robust=True)


@transaction.atomic
def erase(picture: Picture) -> None:
    """Remove a photograph that nothing uses any more, with its record."""
    _erase_files(picture)
    picture.delete()


def _erase_files(picture):
    """Once the change is certain; a file that is there no more is no error."""
    for file in picture.files:
        transaction.on_commit(partial(file.storage.delete, file.name))
