"""What becomes of a sketch: a dog of a class, or a drawing that the club keeps."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from quizzes import exercises, plates
from quizzes.drawing.sketch import Sketch
from quizzes.kinds.placing.content import LARGEST, SMALLEST, ClassContent, Dog
from quizzes.kinds.placing.kind import KIND
from quizzes.kinds.placing.photographs import save_with_photographs
from quizzes.models import Build, Drawing, Revision
from trainer.study.models import Module

ONE_MORE = "more"


@transaction.atomic
def new_class_with(
    sketch: Sketch, module: Module, *, by, now: datetime
) -> tuple[Revision, str]:
    """A new draft of the module whose first dog is the sketch; returns it and the dog's id."""
    draft = exercises.new_exercise(
        module,
        kind=KIND.slug,
        by=by,
        fields={"title": _("Drawn class")},
        size=SMALLEST,
        places=None,
    )
    first = ClassContent.read(draft.content).dogs[0].id
    return save_as_dog(sketch, draft, first, by=by, now=now)


@transaction.atomic
def save_as_dog(
    sketch: Sketch, draft: Revision, place: str, *, by, now: datetime
) -> tuple[Revision, str]:
    """Draw a dog of a draft as the sketch is; its words, levels and number stay.

    place : id of the dog, or ONE_MORE for another one
    Raises ValidationError if the class is drawn as another breed, is full, or has no such dog.
    """
    content = _of_breed(ClassContent.read(draft.content), sketch.breed)
    if place == ONE_MORE:
        if len(content) >= LARGEST:
            text = _("A class has at most %(n)s dogs. Choose one to replace.")
            raise ValidationError(text, code="full", params={"n": LARGEST})
        content = KIND.with_new_dog(content)
        place = content.dogs[-1].id
    if place not in content.by_id:
        raise ValidationError(_("The class has no such dog any more."), code="no-dog")
    dogs = tuple(_drawn_as(dog, sketch) if dog.id == place else dog for dog in content)
    save_with_photographs(
        draft,
        replace(content, dogs=dogs),
        [],
        by=by,
        now=now,
        version=draft.version,
    )
    return draft, place


def _of_breed(content: ClassContent, breed: str) -> ClassContent:
    """The class as one of drawn dogs of the breed; dogs that were words so far stay words."""
    if content.breed == breed:
        return content
    if content.breed in plates.BREEDS and any(dog.drawn for dog in content):
        text = _(
            "This class is drawn as %(breed)s. Choose that breed, or another class."
        )
        name = plates.BREEDS[content.breed].name
        raise ValidationError(text, code="breed", params={"breed": name})
    words = tuple(replace(dog, drawn=False) for dog in content)
    return replace(content, breed=breed, dogs=words)


def _drawn_as(dog: Dog, sketch: Sketch) -> Dog:
    return replace(
        dog,
        sex=sketch.sex,
        coat_seed=sketch.coat_seed,
        mirror=sketch.mirror,
        faults=dict(sketch.faults),
        build=dict(sketch.build),
        drawn=True,
        picture="",
        credit="",
    )


def keep_drawing(
    sketch: Sketch, *, club, module, priority: str, name: str, view: str, by
) -> Drawing:
    """Keep the sketch in the club, beside a priority of the module if one is named."""
    return Drawing.objects.create(
        club=club,
        module=module,
        priority=priority,
        name=name,
        view=view,
        document=sketch.document(),
        made_by=by,
    )


@transaction.atomic
def keep_breed(sketch: Sketch, *, club, module, name: str, by) -> Build:
    """Keep the build of the sketch as a breed of the club; a name that it has already is drawn anew.

    module : whose classes are drawn so from now on, in place of what they were drawn as; None for none yet
    """
    others = Build.objects.exclude(club=club, name__iexact=name)
    if module:
        others.filter(module=module).update(module=None)
    fields = {
        "name": name,
        "base": sketch.breed,
        "values": dict(sketch.build),
        "module": module,
        "made_by": by,
    }
    build, _new = Build.objects.update_or_create(
        club=club, name__iexact=name, defaults=fields
    )
    return build
