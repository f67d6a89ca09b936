"""What is shown of the dogs of a class, without saying what it shows: photographs or plates.

Plates are drawn once and kept on disk.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from django.conf import settings
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.cache import patch_cache_control
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from quizzes import plates
from quizzes.kinds.placing.content import ClassContent, Dog
from quizzes.models import Attempt, Revision
from trainer.pictures.models import Picture

DRAWN = 1
"""Raise it when drawing changes, so that no kept plate of the old kind is shown."""

THEMES = ("light", "dark")


@lru_cache(maxsize=512)
def _conformation(breed: str, sex: str, faults: tuple, seed: int):
    return plates.conformation(breed, faults=dict(faults), sex=sex, seed=seed)


def conformation_of(content: ClassContent, dog: Dog):
    """The dog's conformation: everything the drawing shows follows from it."""
    faults = tuple(sorted(dog.faults.items()))
    return _conformation(content.breed, dog.sex, faults, dog.coat_seed)


def is_drawn(content: ClassContent) -> bool:
    """True if the class names a breed that can be drawn."""
    return content.breed in plates.BREEDS


def photograph_ids(content: ClassContent, club_id: int) -> set[str]:
    """The photographs of these dogs that may be shown; no query where there are none."""
    ids = content.pictures
    return Picture.objects.shown_in(club_id, ids) if ids else set()


@dataclass(frozen=True)
class Shown:
    """What is shown of a dog: a photograph in two sizes, or a plate for either look."""

    alt: str
    photo: str = ""
    large: str = ""
    credit: str = ""
    light: str = ""
    dark: str = ""


class Pictures:
    """What an attempt shows of each dog: a photograph, else a plate, else nothing."""

    def __init__(self, attempt: Attempt, content: ClassContent):
        self.attempt, self.content = attempt, content
        self.armbands = dict(attempt.shown["line"])
        club = attempt.revision.exercise.club_id
        self.photographs = photograph_ids(content, club)

    def of(self, dog: Dog, *, told=False) -> Shown | None:
        """The dog's photograph or plate.

        told : the answer is in, so the text may say what a photograph shows
        """
        if dog.picture in self.photographs:
            return self._photograph(dog, told)
        return self._plate(dog) if is_drawn(self.content) else None

    def _photograph(self, dog, told):
        alt = _("Photograph of %(n)s") % {"n": self.armbands[dog.id]}
        return Shown(
            alt=f"{alt}. {dog.ringside}" if told and dog.ringside else alt,
            photo=reverse("pictures:picture-file", args=[dog.picture, "small"]),
            large=reverse("pictures:picture-file", args=[dog.picture, "large"]),
            credit=dog.credit,
        )

    def _plate(self, dog):
        address = reverse("quizzes:placing-plate", args=[self.attempt.pk, dog.id])
        alt = _("%(n)s, standing, seen from the side")
        return Shown(
            alt=alt % {"n": self.armbands[dog.id]},
            light=f"{address}?theme=light",
            dark=f"{address}?theme=dark",
        )


def overlay_of(attempt, content, upper, lower):
    """The two outlines laid over each other; None where the dogs are not drawn."""
    return


def drawn(content: ClassContent, dog: Dog, theme: str) -> bytes:
    """The SVG of the dog's plate, from disk if it was drawn before.

    All dogs of a class share one frame, so that their sizes compare.
    """
    dogs = [conformation_of(content, other) for other in content]
    box = plates.view_box(dogs)
    form = [DRAWN, content.breed, dog.sex, sorted(dog.faults.items()), dog.coat_seed]
    name = hashlib.sha256(json.dumps([form, str(box), theme]).encode()).hexdigest()
    kept = Path(settings.VAR_DIR) / "plates" / f"{name}.svg"
    if not kept.exists():
        svg = plates.draw(conformation_of(content, dog), theme=theme, box=box)
        kept.parent.mkdir(parents=True, exist_ok=True)
        fresh = kept.with_suffix(f".{id(svg)}")
        fresh.write_text(svg, encoding="utf-8")
        fresh.replace(kept)
    return kept.read_bytes()


def _answer(request, document, dog_id) -> HttpResponse:
    content = ClassContent.read(document)
    dog = content.by_id.get(dog_id)
    theme = request.GET.get("theme", "light")
    if dog is None or theme not in THEMES or not is_drawn(content):
        raise Http404
    response = HttpResponse(drawn(content, dog, theme), content_type="image/svg+xml")
    patch_cache_control(response, private=True, max_age=24 * 3600)
    return response


@require_safe
def plate(request, pk, dog):
    """A dog of an attempt, for whoever may see the attempt."""
    attempts = Attempt.objects.visible_to(request.user).for_player()
    attempt = get_object_or_404(attempts, pk=pk)
    return _answer(request, attempt.revision.content, dog)


@require_safe
def draft_plate(request, pk, dog):
    """A dog of a mentor's class, draft or in force."""
    revisions = Revision.objects.editable_by(request.user).filter(exercise=pk)
    revision = revisions.defer("key").first()
    if revision is None:
        raise Http404
    return _answer(request, revision.content, dog)
