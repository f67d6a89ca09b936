"""What is shown of the images in a lesson: photographs that may be shown, and drawn dogs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from django.urls import reverse

from trainer.pictures.models import Picture
from trainer.study import drawn
from trainer.study.models import Lesson
from trainer.study.sections import COMPARE, PICTURE, images

OVER = "over"


class Illustrations:
    """The images of a lesson, its photographs looked up at once.

    What was withdrawn is shown as withdrawn.
    """

    def __init__(self, lesson: Lesson, sections: Iterable[Mapping], club_id: int):
        self.lesson = lesson
        ids = {
            image["photo"]
            for section in sections
            for image in images(section)
            if "photo" in image
        }
        found = Picture.objects.cleared().filter(club=club_id, public_id__in=ids)
        self.photographs = {str(one.public_id): one for one in found} if ids else {}

    def of(self, section: Mapping) -> list[dict | None]:
        """One for each image of the section, in order; None where none is chosen."""
        if section["kind"] == PICTURE:
            return [self._shown(section, section["image"], 0)]
        if section["kind"] == COMPARE:
            sides = enumerate(section["sides"])
            return [self._shown(section, side["image"], n) for n, side in sides]
        return []

    def bytes_of(self, image: Mapping) -> tuple[str, bytes] | None:
        """An image as a file for paper: how its name ends, and what is in it. None if there is none any more."""
        if "plate" in image:
            svg = drawn.printed([image])
            return ("svg", svg) if svg else None
        photograph = self.photographs.get(image.get("photo", ""))
        if photograph is None:
            return None
        with photograph.large.open("rb") as file:
            return "jpg", file.read()

    def credit_of(self, image: Mapping) -> str:
        photograph = self.photographs.get(image.get("photo", ""))
        return photograph.credit if photograph else ""

    def overlay_bytes(self, section: Mapping) -> bytes | None:
        """The two drawn outlines of a comparison over each other, for paper."""
        if self.overlay(section) is None:
            return None
        return drawn.printed([side["image"] for side in section["sides"]])

    def overlay(self, section: Mapping) -> dict | None:
        """The two drawn outlines of a comparison over each other, if the mentor wants that."""
        if section["kind"] != COMPARE or not section["overlay"]:
            return None
        if not all("plate" in side["image"] for side in section["sides"]):
            return None
        return self._plate(section, OVER)

    def _shown(self, section: Mapping, image: Mapping, side: int) -> dict | None:
        if "plate" in image:
            return self._plate(section, str(side))
        if "photo" not in image:
            return None
        photograph = self.photographs.get(image["photo"])
        if photograph is None:
            return {"withdrawn": True}
        return {
            "src": photograph.address("large"),
            "width": photograph.width,
            "height": photograph.height,
            "credit": photograph.credit,
        }

    def _plate(self, section: Mapping, side: str) -> dict:
        args = [self.lesson.revision_id, self.lesson.slug, section["id"], side]
        # The version makes a changed section a new address, which no cache has kept.
        address = f"{reverse('quizzes:lesson-plate', args=args)}?v={section['version']}"
        return {"light": f"{address}&theme=light", "dark": f"{address}&theme=dark"}
