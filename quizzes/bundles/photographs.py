"""The photographs of a bundle that comes in: which the club has, and the others encoded anew and kept."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping
from datetime import datetime
from io import BytesIO
from typing import Protocol

from django.utils.translation import gettext as _

from quizzes.bundles.checking import Checked, made
from quizzes.bundles.refusals import BadBundle
from trainer.clubs.models import Club
from trainer.pictures import services as pictures
from trainer.pictures.intake import Photograph, Refused, take_in
from trainer.pictures.models import Licence, Picture


class Taking(Protocol):
    """What is known of a bundle that is being taken in."""

    bundle: Checked
    club: Club
    by: object
    now: datetime
    encoded: Mapping[str, Photograph]
    agreed: bool
    is_trial: bool
    notes: list[str]


def encoded(bundle: Checked) -> dict[str, Photograph]:
    """The photographs decoded and encoded anew, by their id. Raises BadBundle.

    It takes long where there are many, so it comes before the transaction that would keep others waiting.
    """
    found = {}
    for one, data in bundle.photographs.items():
        try:
            found[one] = take_in(BytesIO(data), f"{one}.jpg")
        except Refused as error:
            text = _("The photograph %(id)s: ") % {"id": one} + error.messages[0]
            raise BadBundle(text, code="photograph") from error
    return found


class Photographs:
    """The photographs of a bundle under the ids they have here.

    Known is what has the same id in the club, or came from the very same file. What was withdrawn here
    stays away.
    """

    def __init__(self, taking: Taking):
        self.new: dict[str, str] = {}
        self.known: dict[str, str] = {}
        self.taking = taking
        self.media = taking.bundle.document["media"]
        ours = list(_ours(taking.club, self.media))
        for medium in self.media:
            self._find(medium, ours)

    def name(self, picture: str) -> str:
        """The id here of a photograph of the bundle; "" for one that was withdrawn here."""
        return self.known.get(picture) or self.new.get(picture, "")

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
            self.new[medium["id"]] = str(uuid.uuid4())

    def keep(self) -> None:
        """Keep those that are new; last of all, since what is rolled back takes no file with it."""
        media = [one for one in self.media if one["id"] in self.new]
        sent = [
            pictures.Sent(
                uuid.UUID(self.new[one["id"]]),
                self.taking.encoded[one["id"]],
                credit=one.get("creditLine", ""),
                agreed=self.taking.agreed,
            )
            for one in media
        ]
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
