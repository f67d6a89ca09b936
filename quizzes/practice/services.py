"""Making a class for one person to practise on, and the same class again, mirrored."""

from __future__ import annotations

import random
import re
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from quizzes import attempts, generator
from quizzes.generator import Wish
from quizzes.kinds.placing.content import ClassContent
from quizzes.kinds.placing.kind import KIND
from quizzes.kinds.placing.pictures import can_be_twinned
from quizzes.models import Attempt, Exercise, Revision
from quizzes.practice import aimed, material, suiting
from trainer.study.reading import Document

MOST_UNFINISHED = 50
SUITS = "suits"
"""The difficulty that follows from the person's latest results."""


def unfinished(user):
    """The person's open attempts at classes made for them, the latest first, as plain rows."""
    return Attempt.objects.owned_by(user).practice().begun()


def latest_results(user, module_id: int) -> list[tuple[str, float, int]]:
    """Difficulty, pairs agreed and pairs counted of the classes the person placed last."""
    handed_in = Attempt.objects.owned_by(user).for_list()
    of_module = handed_in.filter(
        revision__exercise__module=module_id, revision__exercise__kind=KIND.slug
    )
    grades = (
        (attempt.revision.difficulty, attempt.own_grade)
        for attempt in of_module[: suiting.LAST]
    )
    return [
        (difficulty, grade.pairs_agreed, grade.pairs_counted)
        for difficulty, grade in grades
        if grade and grade.pairs_counted
    ]


@transaction.atomic
def another_class(
    document: Document,
    *,
    by,
    size: int,
    difficulty: str,
    sex: str,
    now: datetime,
    rng: random.Random,
) -> Attempt:
    """A class made for this person from the module in force, and their attempt at it.

    difficulty : as the generator has it, or SUITS
    Raises ValidationError if no such class can be made, or too many are unfinished.
    """
    _refuse_too_many(by)
    aimed_by = None
    if difficulty == SUITS:
        difficulty = suiting.suited(latest_results(by, document.module.pk))
        aimed_by = aimed.aimed_at
    revision = made_class(
        document,
        by=by,
        size=size,
        difficulty=difficulty,
        sex=sex,
        now=now,
        rng=rng,
        aim=aimed_by,
    )
    return attempts.begin(revision, by=by, now=now, rng=rng)


def made_class(
    document: Document, *, by, size, difficulty, sex, now, rng, aim=None
) -> Revision:
    """A class made for this person from the module in force, in force for them alone.

    aim : chooses among classes of one wish (aimed.aimed_at)
    Raises ValidationError if no such class can be made.
    """
    name = material.class_name(sex)
    wish = Wish(
        size=size,
        difficulty=difficulty,
        sex=sex,
        class_name=name,
        breed=material.drawn_breed(document),
        seed=rng.getrandbits(48),
    )
    if aim:
        wish = aim(by, document, wish, rng)
    made = material.make(document, wish)
    exercise = Exercise(
        module=document.module, made_by=by, practice_for=by, from_weights=True
    )
    return in_force(
        exercise,
        by=by,
        now=now,
        module_revision=document.revision,
        title=_made_title(by, material.titled(name, size)),
        difficulty=difficulty,
        **material.stored(made.content, made.key),
    )


@transaction.atomic
def twin_of(
    attempt: Attempt, *, by, now: datetime, rng: random.Random
) -> Attempt | None:
    """The class of an attempt again, mirrored, in other coats and under other numbers.

    None if the class can't be twinned. Raises ValidationError as another_class does.
    """
    revision = attempt.revision
    content = ClassContent.read(revision.content)
    if not can_be_twinned(content):
        return None
    _refuse_too_many(by)
    rows = revision.module_revision.priorities.prefetch_related("phrases", "steps")
    told = [row for row in rows if all(row.slug in dog.levels for dog in content)]
    twin_content, twin_key = generator.twin(
        content.document(),
        revision.key,
        rng.getrandbits(48),
        material.priorities_of(told),
    )
    source = revision.exercise
    exercise = Exercise(
        module=source.module,
        made_by=by,
        practice_for=by,
        from_weights=source.from_weights,
        twin_of=revision,
    )
    return opened(
        exercise,
        by=by,
        now=now,
        rng=rng,
        module_revision=revision.module_revision,
        title=_made_title(by, _mirrored(revision)),
        difficulty=revision.difficulty,
        **material.stored(twin_content, twin_key),
    )


def _made_title(by, words: str) -> str:
    """ "Made class 3: Open bitches, six", one more than the person's last."""
    made = Revision.objects.filter(exercise__practice_for=by, exercise__kind=KIND.slug)
    last = made.order_by("-exercise")
    title = last.values_list("title", flat=True).first() or ""
    number = next(iter(re.findall(r"\d+", title)), 0)
    values = {"n": int(number) + 1, "title": words}
    longest = Revision._meta.get_field("title").max_length
    return (_("Made class %(n)s: %(title)s") % values)[:longest]


def _mirrored(revision) -> str:
    """What stands in the title of a class, without a number it was made under."""
    source = revision.exercise
    title = revision.title
    if source.practice_for_id:
        title = title.partition(": ")[2] or title
    return title if source.twin_of_id else _("%(title)s, mirrored") % {"title": title}


@transaction.atomic
def drop(attempt: Attempt) -> None:
    """Delete what the person has begun of a class made for them; the class too, unless it was handed in."""
    exercise = attempt.revision.exercise
    others = Attempt.objects.filter(revision__exercise=exercise)
    if others.exclude(pk=attempt.pk).exists():
        attempt.delete()
    else:
        exercise.delete()


def _refuse_too_many(by) -> None:
    if unfinished(by).count() >= MOST_UNFINISHED:
        text = _("You have begun %(n)s classes. Hand in one of them first.")
        values = {"n": MOST_UNFINISHED}
        raise ValidationError(text, code="unfinished", params=values)


def opened(exercise: Exercise, *, by, now, rng, **fields) -> Attempt:
    """The exercise stored with one revision in force, and the person's attempt at it."""
    revision = in_force(exercise, by=by, now=now, **fields)
    return attempts.begin(revision, by=by, now=now, rng=rng)


def in_force(exercise: Exercise, *, by, now, **fields) -> Revision:
    """The exercise stored with one revision, which is in force."""
    exercise.club_id = exercise.module.club_id
    exercise.save()
    return Revision.objects.create(
        exercise=exercise,
        state=Revision.State.PUBLISHED,
        published_at=now,
        edited_by=by,
        **fields,
    )
