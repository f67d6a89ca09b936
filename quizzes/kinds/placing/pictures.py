"""What is shown of the dogs of a class, without saying what it shows: photographs or plates.

The addresses say nothing of a dog but its id, which means nothing. What a plate measures, and its faults
in words, are for when the answer is in.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.cache import patch_cache_control
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_safe

from quizzes import plates
from quizzes.drawing.dogs import (
    THEMES,
    VIEW_LABELS,
    VIEWS,
    conformation_of,
    detail_box,
    look_of,
    views_needed,
)
from quizzes.drawing.kept import kept
from quizzes.kinds.placing.content import ClassContent, Dog
from quizzes.models import Attempt, Revision
from trainer import offline
from trainer.pictures.models import Picture

ALIGNMENTS = {
    "withers": gettext_lazy("withers"),
    "point_of_shoulder": gettext_lazy("point of shoulder"),
    "point_of_buttock": gettext_lazy("point of buttock"),
}


def is_drawn(content: ClassContent) -> bool:
    """True if the class names a breed that can be drawn."""
    return content.breed in plates.BREEDS


def can_be_twinned(content: ClassContent) -> bool:
    """Whether the class can be shown again so that it looks new: all of it is drawn."""
    return is_drawn(content) and all(dog.drawn and not dog.picture for dog in content)


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
    label: str = ""


class Pictures:
    """What an attempt shows of each dog: a photograph, else a plate, else nothing."""

    def __init__(self, attempt: Attempt, content: ClassContent):
        self.attempt, self.content = attempt, content
        self.armbands = dict(attempt.shown["line"])
        club = attempt.revision.exercise.club_id
        self.photographs = photograph_ids(content, club)

    @cached_property
    def views(self) -> tuple[str, ...]:
        """The views that are needed beside the side view, the same for every dog."""
        return views_needed(self.content) if is_drawn(self.content) else ()

    def is_plate(self, dog: Dog) -> bool:
        return (
            is_drawn(self.content) and dog.drawn and dog.picture not in self.photographs
        )

    def of(self, dog: Dog, *, told=False, view="side", measured="") -> Shown | None:
        """The dog's photograph or plate.

        told : the answer is in, so the text may say what is seen
        measured : name of a measurement to lay over the plate, once the answer is in
        """
        if dog.picture in self.photographs:
            return self._photograph(dog, told)
        return self._plate(dog, told, view, measured) if self.is_plate(dog) else None

    def more(self, dog: Dog) -> list[Shown]:
        """The dog's photographs in other views, or its plate in those that this class needs."""
        if not self.is_plate(dog):
            return [
                self._photograph(dog, False, picture, view)
                for view, picture in dog.pictures.items()
                if picture in self.photographs and picture != dog.picture
            ]
        return [self.of(dog, view=view) for view in self.views]

    def overlay(
        self, first: Dog, second: Dog, *, align="withers", view="side"
    ) -> Shown | None:
        """The two outlines laid over each other; None where the dogs are not drawn."""
        if not (self.is_plate(first) and self.is_plate(second)):
            return None
        address = self.overlay_address(first, second)
        alt = _("Two outlines: %(first)s in ink, %(second)s dashed, over each other.")
        values = {"first": self.armbands[first.id], "second": self.armbands[second.id]}
        return _in_both_looks(address, alt % values, view=view, align=align)

    def _photograph(self, dog, told, picture="", view=""):
        picture = picture or dog.picture
        alt = _("Photograph of %(n)s") % {"n": self.armbands[dog.id]}
        if view:
            alt = f"{alt}, {VIEW_LABELS[view].lower()}"
        return Shown(
            alt=f"{alt}. {dog.ringside}" if told and dog.ringside else alt,
            photo=self.photograph_address(picture, "small"),
            large=self.photograph_address(picture, "large"),
            credit=dog.credit,
            label=VIEW_LABELS.get(view, ""),
        )

    def photograph_address(self, picture: str, size: str) -> str:
        return reverse("pictures:picture-file", args=[picture, size])

    def plate_address(self, dog: Dog) -> str:
        return reverse("quizzes:placing-plate", args=[self.attempt.pk, dog.id])

    def overlay_address(self, first: Dog, second: Dog) -> str:
        args = [self.attempt.pk, first.id, second.id]
        return reverse("quizzes:placing-overlay", args=args)

    def _plate(self, dog, told, view, measured):
        address = self.plate_address(dog)
        drawn = conformation_of(self.content.breed, dog)
        text = (plates.describe if told else plates.neutral_text)(drawn, view)
        alt = f"{self.armbands[dog.id]}. {text}"
        return _in_both_looks(address, alt, view=view, measured=measured)


def _in_both_looks(address: str, alt: str, *, view: str, **query) -> Shown:
    given = {name: value for name, value in query.items() if value}
    if view != "side":
        given["view"] = view
    light, dark = (
        f"{address}?{urlencode({**given, 'theme': theme})}" for theme in THEMES
    )
    return Shown(alt=alt, light=light, dark=dark, label=VIEW_LABELS[view])


def drawn(content: ClassContent, dog: Dog, *, theme, view="side", measured="") -> bytes:
    """The SVG of the dog's plate, or of the part that is measured.

    All dogs of a class share one frame, so that their sizes compare.
    """
    dogs = [conformation_of(content.breed, other) for other in content]
    box = detail_box(dogs, measured) if measured else plates.view_box(dogs, view)
    form = ["plate", look_of(content.breed, dog), box, view, theme, measured]
    measures = [measured] if measured else []
    return kept(
        form,
        lambda: plates.draw(
            conformation_of(content.breed, dog), view, theme, box=box, measures=measures
        ),
    )


def drawn_over(content: ClassContent, first: Dog, second: Dog, **how) -> bytes:
    """The SVG of two outlines over each other: align, theme and view as plates.overlay has them."""
    pair = [conformation_of(content.breed, dog) for dog in (first, second)]
    looks = [look_of(content.breed, dog) for dog in (first, second)]
    form = ["overlay", *looks, sorted(how.items())]
    return kept(form, lambda: plates.overlay(*pair, **how))


def _asked(request, name, known):
    """A word of the query that the address knows; the first of them if it is not there."""
    value = request.GET.get(name, next(iter(known)))
    if value not in known:
        raise Http404
    return value


def _dog(content: ClassContent, dog_id: str) -> Dog:
    dog = content.by_id.get(dog_id)
    if dog is None or not dog.drawn or not is_drawn(content):
        raise Http404
    return dog


def svg(drawing: bytes) -> HttpResponse:
    """The answer with a drawing in it, which the person's browser may keep for a day."""
    response = HttpResponse(drawing, content_type="image/svg+xml")
    patch_cache_control(response, private=True, max_age=24 * 3600)
    return response


def plate_of(request, content, dog_id, *, told) -> HttpResponse:
    """The dog's plate as the address asks for it; measured only where it may be `told`."""
    dog = _dog(content, dog_id)
    names = plates.measure(conformation_of(content.breed, dog)) if told else ()
    measured = _asked(request, "measured", ("", *names))
    view, theme = _asked(request, "view", VIEWS), _asked(request, "theme", THEMES)
    return svg(drawn(content, dog, theme=theme, view=view, measured=measured))


def _visible_attempt(request, pk) -> Attempt:
    attempts = Attempt.objects.visible_to(request.user).for_player()
    return get_object_or_404(attempts, pk=pk)


@require_safe
def plate(request, pk, dog):
    """A dog of an attempt, for whoever may see the attempt; measured once it is handed in."""
    attempt = _visible_attempt(request, pk)
    content = ClassContent.read(attempt.revision.content)
    told = attempt.may_tell(request.user)
    plate = plate_of(request, content, dog, told=told)
    return plate if attempt.is_handed_in else offline.keep_picture(plate)


@require_safe
def overlay(request, pk, first, second):
    """Two dogs of an attempt laid over each other, for whoever may see the attempt."""
    content = ClassContent.read(_visible_attempt(request, pk).revision.content)
    return overlay_of(request, content, first, second)


def overlay_of(request, content, first, second) -> HttpResponse:
    """Two dogs of a class laid over each other as the address asks for it."""
    how = {
        "align": _asked(request, "align", ALIGNMENTS),
        "theme": _asked(request, "theme", THEMES),
        "view": _asked(request, "view", VIEWS),
    }
    return svg(drawn_over(content, _dog(content, first), _dog(content, second), **how))


@require_safe
def draft_plate(request, pk, dog):
    """A dog of a mentor's class, draft or in force."""
    revisions = Revision.objects.editable_by(request.user).filter(exercise=pk)
    revision = revisions.defer("key").first()
    if revision is None:
        raise Http404
    return plate_of(request, ClassContent.read(revision.content), dog, told=True)
