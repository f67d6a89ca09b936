"""Pictures in what is asked: photographs of the club that may be shown, and drawn dogs.

An address says which row and which place in it, in ids that mean nothing; never what is drawn.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Annotated, Self

from django.http import Http404
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from quizzes.drawing import lessons
from quizzes.drawing.dogs import THEMES
from quizzes.kinds import shapes
from quizzes.kinds.placing.pictures import svg
from quizzes.kinds.sheets.rows import Asked, Document, Sheet
from quizzes.models import Attempt
from trainer import offline
from trainer.pictures.models import Picture

WHOLE = "whole"
"""The place of a picture that belongs to all of a row."""
NO_PICTURE: Mapping = {"image": {}, "alt": "", "caption": ""}


@dataclass(frozen=True)
class Pictured(Document):
    """Something with a picture, which is chosen as lessons choose theirs.

    image : {"photo": public id} or {"plate": document, "view": view}; empty without one
    alt : what it shows, for those who can't see it
    """

    image: Annotated[Mapping, shapes.named("image")] = field(default_factory=dict)
    alt: Annotated[str, shapes.LINE] = ""
    caption: Annotated[str, shapes.LINE] = ""

    @property
    def holder(self) -> dict:
        return {"image": self.image, "alt": self.alt, "caption": self.caption}

    def with_photographs(self, name: Callable[[str], str]) -> Self:
        """The same with its photograph under another id; "" takes it away."""
        if "photo" not in self.image:
            return self
        photo = name(self.image["photo"])
        return replace(self, image={"photo": photo} if photo else {})

    def plates(self) -> Iterator[Mapping]:
        """The dog that is drawn in it, if one is."""
        if "plate" in self.image:
            yield self.image["plate"]


@dataclass(frozen=True)
class PicturedRow(Pictured, Asked):
    """A row with a picture; kinds may have more places for pictures in it."""

    def holders(self) -> dict[str, dict]:
        """Image, alt and caption by place, those that are empty too."""
        return {WHOLE: self.holder}

    def with_pictures(self, chosen: Mapping[str, Mapping]) -> PicturedRow:
        """The row with other pictures, by place."""
        return replace(self, **chosen.get(WHOLE, {}))

    def picture_lacks(self) -> list[str]:
        """What its pictures need before publishing, in sentences."""
        found = self.holders().values()
        if any(one["image"] and not one["alt"].strip() for one in found):
            return [_("Say in words what its picture shows.")]
        return []


class PicturesMixin:
    """What a kind does whose rows have pictures (PicturedRow): where they are shown, by row and place."""

    styles = ("css/sheet-pictures.css",)

    def look(self, attempt: Attempt) -> dict:
        revision = attempt.revision
        return shown_in(
            self.sheet(revision.content),
            revision.exercise.club_id,
            lambda row, place: reverse(
                "quizzes:sheet-plate", args=[attempt.pk, row, place]
            ),
        )

    def draft_look(self, revision) -> dict:
        def address(row: str, place: str) -> str:
            args = [revision.exercise_id, row, place]
            # The version makes a changed drawing a new address, which no cache has kept.
            return f"{reverse('quizzes:sheet-draft-plate', args=args)}?v={revision.version}"

        sheet = self.sheet(revision.content)
        return shown_in(sheet, revision.exercise.club_id, address)

    def room_look(self, revision, at, *, told: bool) -> dict:
        sheet = self.sheet(revision.content)
        return shown_in(sheet, revision.exercise.club_id, at.plate, at.photograph)

    def room_plate(self, request, sheet: Sheet, row: str, place: str, *, told: bool):
        return svg(plate_of(request, sheet.by_id.get(row), place))

    def large_picture(self, look):
        return (look or {}).get(WHOLE)


def shown_in(
    sheet: Sheet,
    club_id: int,
    address: Callable[[str, str], str],
    photograph: Callable[[str, str], str] | None = None,
) -> dict:
    """What is shown in each row, by its id and then by place.

    A photograph that was withdrawn, or whose consent is over, is said to be gone.
    photograph : its address by id and size; None for the usual
    """
    holders = {row.id: _filled(row) for row in sheet}
    photographs = _photographs(holders.values(), club_id)
    return {
        pk: {
            place: _shown(one, photographs, address(pk, place), photograph)
            for place, one in places.items()
        }
        for pk, places in holders.items()
    }


def _filled(row: PicturedRow) -> dict[str, dict]:
    return {place: one for place, one in row.holders().items() if one["image"]}


def _photographs(
    rows: Iterable[Mapping[str, dict]], club_id: int
) -> dict[str, Picture]:
    images = [one["image"] for places in rows for one in places.values()]
    ids = {image["photo"] for image in images if "photo" in image}
    if not ids:
        return {}
    found = Picture.objects.cleared().filter(club=club_id, public_id__in=ids)
    return {str(one.public_id): one for one in found}


def _shown(holder: Mapping, photographs: Mapping, address: str, named) -> dict:
    told = {"alt": holder["alt"], "caption": holder["caption"]}
    image = holder["image"]
    if "plate" in image:
        joined = "&" if "?" in address else "?"
        looks = {theme: f"{address}{joined}theme={theme}" for theme in THEMES}
        return {**told, **looks}
    photograph = photographs.get(image.get("photo", ""))
    if photograph is None:
        return {**told, "withdrawn": True}
    return {
        **told,
        "src": named(image["photo"], "large") if named else photograph.address("large"),
        "width": photograph.width,
        "height": photograph.height,
        "credit": photograph.credit,
    }


def plate_of(request, row: Asked | None, place: str) -> bytes:
    """The drawn dog in a place of a row. Raises Http404 where none is drawn."""
    theme = request.GET.get("theme", "light")
    holders = row.holders() if isinstance(row, PicturedRow) else {}
    image = holders.get(place, NO_PICTURE)["image"]
    if theme not in THEMES or "plate" not in image:
        raise Http404
    return lessons.plate_of(image, theme)


@require_safe
def attempt_plate(request, pk, row, place):
    """A drawn dog of an attempt, for whoever may see the attempt."""
    from quizzes.kinds import kind_of

    mine = Attempt.objects.visible_to(request.user).for_player()
    revision = get_object_or_404(mine, pk=pk).revision
    kind = kind_of(revision)
    if not isinstance(kind, PicturesMixin):
        raise Http404
    asked = kind.sheet(revision.content).by_id.get(row)
    return offline.keep_picture(svg(plate_of(request, asked, place)))
