"""Live dogs: a class known by armband numbers alone, keyed by the mentor before or after it is placed."""

from __future__ import annotations

import re
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from quizzes.exercises import taught
from quizzes.kinds import kind_named
from quizzes.kinds.placing.content import (
    LARGEST,
    SMALLEST,
    ClassContent,
    ClassKey,
    Dog,
)
from quizzes.kinds.placing.in_room import read_card
from quizzes.kinds.placing.kind import new_dog_id
from quizzes.models import Exercise, Revision
from trainer.seminars.asking import armbands_of
from trainer.seminars.models import Seminar, Sitting
from trainer.study.models import Module

State = Revision.State
NUMBERS = re.compile(r"\d+")
HIGHEST = 9999


def read_numbers(text: str) -> list[int]:
    """Armband numbers however they are set apart. Raises ValidationError."""
    found = [int(one) for one in NUMBERS.findall(text)]
    if len(set(found)) != len(found):
        raise ValidationError(_("A number is there twice."), code="twice")
    if not SMALLEST <= len(found) <= LARGEST:
        text = _("Give the numbers of %(least)s to %(most)s dogs, like 4 7 12.")
        values = {"least": SMALLEST, "most": LARGEST}
        raise ValidationError(text, code="how-many", params=values)
    if not all(0 < one <= HIGHEST for one in found):
        raise ValidationError(_("Numbers go from 1 to 9999."), code="number")
    return found


def module_for(seminar: Seminar) -> Module:
    """The study module that a live class of the seminar belongs to. Raises ValidationError without one."""
    found = seminar.modules.in_force().first()
    found = found or Module.objects.filter(club=seminar.club).in_force().first()
    if not found:
        text = _(
            "Choose a study module for the seminar first; the class belongs to it."
        )
        raise ValidationError(text, code="no-module")
    return found


@transaction.atomic
def new_class(seminar: Seminar, numbers: list[int], *, title: str, by) -> Revision:
    """A class of live dogs: a draft, since it has no key yet, and kept out of the lists of classes to practise on."""
    module = module_for(seminar)
    exercise = Exercise.objects.create(
        club=seminar.club, module=module, kind="placing", made_by=by, kept_back=True
    )
    dogs = tuple(Dog(id=new_dog_id(), armband=one, drawn=False) for one in numbers)
    content = ClassContent(dogs=dogs)
    return Revision.objects.create(
        exercise=exercise,
        module_revision=taught(module),
        title=title,
        content=content.document(),
        size=len(dogs),
        edited_by=by,
    )


def is_live(revision: Revision) -> bool:
    """Whether the mentor may still key it here: a class of live dogs that was not shown yet."""
    return revision.state == State.DRAFT and revision.exercise.kept_back


@transaction.atomic
def set_key(sitting: Sitting, placing: str, rulings: str, *, note: str, by) -> Revision:
    """Key a live class, 4-2-3-1 with rulings beside it; again as often as wanted until it is shown.

    Reasons and cuts given on the key's own page stay with their pairs. Raises ValidationError.
    """
    held = Revision.objects.select_for_update(of=("self",)).select_related("exercise")
    fresh = held.get(pk=sitting.revision_id)
    if not is_live(fresh):
        text = _("The key of this class stands already, and stays as it is.")
        raise ValidationError(text, code="keyed")
    answer = read_card(armbands_of(fresh), placing, rulings)
    missing = kind_named("placing").missing(
        {**fresh.content, "ask_reasons": False},
        {"line": list(armbands_of(fresh).items())},
        answer,
    )
    if missing:
        raise ValidationError(missing, code="missing")
    key = ClassKey.read(fresh.key).reordered(answer["order"]).document()
    fresh.key = {**key, "rulings": answer["rulings"], "note": note.strip()}
    fresh.version, fresh.edited_by = fresh.version + 1, by
    fresh.save(update_fields=["key", "version", "edited_by", "edited_at"])
    return fresh


def has_key(revision: Revision) -> bool:
    if revision.exercise.kind != "placing":
        return True
    return bool(revision.key.get("order"))


def publish(revision: Revision, *, now: datetime) -> None:
    """Once its key is shown, a live class is never edited again."""
    if revision.state == State.DRAFT:
        revision.state, revision.published_at = State.PUBLISHED, now
        revision.save(update_fields=["state", "published_at"])
