"""The photographs of a bundle that comes in: which the club has, and the others encoded anew and kept."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping
from datetime import datetime
from io import BytesIO
from typing import Protocol

from django.utils.translation import gettext as _

from quizzes.bundles.checking import Checked, made
from trainer.clubs.models import Club
from trainer.pictures import services as pictures
from trainer.pictures.intake import take_in
from trainer.pictures.models import Licence, Picture


class Taking(Protocol):
    """What is known of a bundle that is being taken in."""

    bundle: Checked
    club: Club
    by: object
    now: datetime
    agreed: bool
    is_trial: bool
    notes: list[str]


class Photographs:
    """The photographs of a bundle under the ids they have here.

    Known is what has the same id in the club, or came from the very same file. What was withdrawn here
    stays away.
    """

    def __init__(self, taking: Taking):
        self.new: list[str] = []
        self.known: dict[str, str] = {}
        self.taking = taking
        media = taking.bundle.document["media"]
        ours = list(_ours(taking.club, media))
        for medium in media:
            self._find(medium, ours)
        self._keep([one for one in media if one["id"] in self.new])

    def name(self, picture: str) -> str:
        """The id here of a photograph of the bundle; "" for one that was withdrawn here."""
        return self.known.get(picture) or self.named.get(picture, "")

    def _find(self, medium: Mapping, ours: Iterable[Picture]) -> None:
        found = [
            one
            for one in ours
            if str(one.public_id) == medium["id"] or one.sha256 == medium["sha256"]
        ]
        in_use = [one for one in found if one.withdrawn_at is None]
        if in_use:
            self.known[medium["id"]] = str(in_use[0].public_id)
        elif found:
            text = _("A photograph was withdrawn here and is left out: %(id)s.")
            self.taking.notes.append(text % {"id": medium["id"]})
        else:
            self.new.append(medium["id"])

    def _keep(self, media: list[Mapping]) -> None:
        """Decode and encode anew what came; a trial keeps nothing of it."""
        files = self.taking.bundle.photographs
        self.named = {one["id"]: str(uuid.uuid4()) for one in media}
        sent = [
            pictures.Sent(
                uuid.UUID(self.named[one["id"]]),
                take_in(BytesIO(files[one["id"]]), one["path"]),
                credit=one.get("creditLine", ""),
                agreed=self.taking.agreed,
            )
            for one in media
        ]
        if self.taking.is_trial:
            return
        kept = pictures.keep(
            sent, club=self.taking.club, by=self.taking.by, now=self.taking.now
        )
        for picture, medium in zip(kept, media, strict=True):
            self._describe(picture, medium)

    def _describe(self, picture: Picture, medium: Mapping) -> None:
        licence = medium["licence"]
        is_known = licence in Licence.values
        pictures.describe(
            picture,
            by=self.taking.by,
            now=self.taking.now,
            agreed=self.taking.agreed,
            title=medium.get("title", ""),
            alt=medium.get("altFull", ""),
            rights_holder=medium.get("copyright", ""),
            made=made(medium.get("digitalSourceType", "")),
            landmarks=medium.get("landmarks", {}),
            licence=licence if is_known else Licence.PERMISSION,
        )


def _ours(club: Club, media: Iterable[Mapping]) -> Iterable[Picture]:
    ids = [one["id"] for one in media]
    hashes = [one["sha256"] for one in media]
    mine = Picture.objects.filter(club=club)
    return mine.filter(public_id__in=ids) | mine.filter(sha256__in=hashes)
