"""Everything that changes a dog of the library, and what goes from it into a class and back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.timezone import localtime
from django.utils.translation import gettext as _

from quizzes import plates
from quizzes.drawing.sketch import Sketch
from quizzes.exercises import EditedElsewhere
from quizzes.kinds.placing.content import LARGEST, ClassContent, Dog
from quizzes.kinds.placing.description import DESCRIBED
from quizzes.kinds.placing.kind import KIND
from quizzes.models import LibraryDog
from trainer.study.models import Module, ModuleRevision

DRAWN = ("faults", "coat_seed", "mirror", "build")
SIDE = "side"


def priorities_of(module: Module):
    """The priorities on which a library dog of the module is placed: as published last, else as drafted."""
    revisions = module.revisions.all()
    published = revisions.exclude(state=ModuleRevision.State.DRAFT).first()
    return (published or revisions.first()).priorities.prefetch_related("phrases")


@transaction.atomic
def add_dog(module: Module, *, by, now: datetime, **fields) -> LibraryDog:
    """A new dog of the library of the module's club."""
    return LibraryDog.objects.create(
        club=module.club, module=module, edited_by=by, edited_at=now, **fields
    )


@transaction.atomic
def save_dog(
    dog: LibraryDog, *, by, now: datetime, version: int, **changes
) -> LibraryDog:
    """Keep changes to a dog. Raises EditedElsewhere if it was saved since `version` was read."""
    fresh = LibraryDog.objects.select_for_update().get(pk=dog.pk)
    if fresh.version != version:
        raise EditedElsewhere(
            _saved_by(fresh, by),
            code="edited-elsewhere",
            params={
                "who": fresh.edited_by or _("Somebody"),
                "when": localtime(fresh.edited_at).strftime("%H:%M"),
            },
        )
    for name, value in changes.items():
        setattr(fresh, name, value)
    fresh.version += 1
    fresh.edited_by, fresh.edited_at = by, now
    fresh.save()
    return fresh


def _saved_by(dog: LibraryDog, reader) -> str:
    if dog.edited_by == reader:
        return _(
            "You saved this dog at %(when)s in another window. What you typed here is below, "
            "not saved; beside it stands what is saved. Saving again puts yours in its place."
        )
    return _(
        "%(who)s saved this dog at %(when)s. What you typed is below, not saved; beside it "
        "stands what is saved. Saving again puts yours in its place."
    )


def put_away(dog: LibraryDog, *, now: datetime | None) -> None:
    """Put a dog away, or with None back into use. Classes that have it keep it."""
    LibraryDog.objects.filter(pk=dog.pk).update(archived_at=now)


def drawn_from(sketch: Sketch) -> dict:
    """What the library stores of a drawn dog."""
    return {
        "breed": sketch.breed,
        "sex": sketch.sex,
        "coat_seed": sketch.coat_seed,
        "mirror": sketch.mirror,
        "faults": dict(sketch.faults),
        "build": dict(sketch.build),
    }


def with_library_dogs(
    content: ClassContent, kept: Sequence[LibraryDog]
) -> ClassContent:
    """The class with copies of the dogs: first in place of its blank dogs, then as dogs more.

    Raises ValidationError if they are more than a class may have.
    """
    for dog in kept:
        content = _with_one(content, dog)
    return content


def _with_one(content: ClassContent, kept: LibraryDog) -> ClassContent:
    blank = next((dog for dog in content if dog.is_blank), None)
    if blank is None:
        if len(content) >= LARGEST:
            text = _("A class has at most %(n)s dogs. Take one out, or tick fewer.")
            raise ValidationError(text, code="full", params={"n": LARGEST})
        content = KIND.with_new_dog(content)
        blank = content.dogs[-1]
    return taken_over(content, blank.id, kept)


def taken_over(content: ClassContent, dog: str, kept: LibraryDog) -> ClassContent:
    """The class with what the library says of the dog; id and number stay."""
    content = _drawn_like(content, kept)
    return content.changed(dog, **_values(content, kept))


def _drawn_like(content: ClassContent, kept: LibraryDog) -> ClassContent:
    """A class in which nothing is drawn yet takes the dog's breed; its other dogs stay words."""
    if not kept.breed or content.breed in plates.BREEDS:
        return content
    words = tuple(replace(dog, drawn=False) for dog in content)
    return replace(content, breed=kept.breed, dogs=words)


def _values(content: ClassContent, kept: LibraryDog) -> dict:
    """What is copied. All drawn dogs of a class are of one breed: another one comes as words."""
    drawn = bool(kept.breed) and kept.breed == content.breed
    blank = Dog(id="")
    source = kept if drawn else blank
    pictures = dict(kept.pictures)
    first = SIDE if SIDE in pictures else next(iter(pictures), "")
    return {
        **{name: getattr(kept, name) for name in (*DESCRIBED, "levels", "credit")},
        **{name: getattr(source, name) for name in DRAWN},
        "drawn": drawn,
        "picture": pictures.pop(first, ""),
        "pictures": pictures,
        "library": kept.pk,
        "library_version": kept.version,
    }


def library_values(content: ClassContent, dog: Dog) -> dict:
    """What the library stores of a dog of a class."""
    drawn = dog.drawn and content.breed in plates.BREEDS
    pictures = {SIDE: dog.picture} if dog.picture else {}
    return {
        **{name: getattr(dog, name) for name in (*DESCRIBED, "levels", "credit")},
        **{name: getattr(dog, name) for name in DRAWN},
        "breed": content.breed if drawn else "",
        "pictures": {**pictures, **dog.pictures},
    }


@transaction.atomic
def keep_from_class(
    revision, content: ClassContent, dog: str, *, by, now: datetime
) -> tuple[ClassContent, LibraryDog]:
    """Keep a dog of a class in the library, named after the class; the class remembers which it is."""
    one = content.by_id[dog]
    name = _("%(n)s of %(title)s") % {"n": one.armband, "title": revision.title}
    kept = add_dog(
        revision.exercise.module,
        by=by,
        now=now,
        name=name[:80],
        **library_values(content, one),
    )
    came_from = {"library": kept.pk, "library_version": kept.version}
    return content.changed(dog, **came_from), kept
