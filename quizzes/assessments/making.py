"""What a person is asked when their try begins: the revision in force of each exercise, or a class made for them."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from quizzes.kinds import kind_of
from quizzes.models import Attempt, Revision
from quizzes.practice.services import made_class
from trainer.study import reading


def asked(item, *, of, now, rng) -> Revision:
    """The revision that the item asks this person; fixed from now on. Raises ValidationError."""
    if item.exercise_id:
        return published(item)
    document = reading.document(of, item.assessment.module_id)
    if document is None:
        text = _("The study module is not in force, so no class can be made from it.")
        raise ValidationError(text, code="no-module")
    return made_class(document, by=of, now=now, rng=rng, **item.wish)


def published(item) -> Revision:
    """The revision in force; the last one that was, if it has been withdrawn since."""
    revisions = Revision.objects.filter(exercise=item.exercise_id)
    last = revisions.exclude(state=Revision.State.DRAFT).order_by("-number")
    return last.select_related("exercise").first()


def attempt_at(item, revision, *, in_try, now, rng) -> Attempt:
    """The attempt that answers the item in this try."""
    earlier = Attempt.objects.filter(
        revision__exercise=revision.exercise_id, trainee=in_try.person, preview=False
    ).count()
    shown = kind_of(revision).show(revision.content, rng=rng, again=earlier > 0)
    return Attempt.objects.create(
        revision=revision,
        trainee=in_try.person,
        number=earlier + 1,
        shown=shown,
        started_at=now,
        assessment_try=in_try,
        assessment_item=item,
        withheld=True,
    )
