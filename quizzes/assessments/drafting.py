"""What a mentor does to an assessment: written as a draft, opened, closed; copied to be changed once it was open."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max
from django.utils.translation import gettext as _

from quizzes.assessments.tries import LAST_DAY
from quizzes.exercises import EditedElsewhere
from quizzes.models import Assessment, AssessmentItem, Exercise, Revision

State = Assessment.State
MOST_ITEMS = 30
SETTINGS = (
    "title",
    "note",
    "minutes",
    "pass_per_cent",
    "tries",
    "release",
    "opens_at",
    "closes_at",
)


class NotADraft(ValidationError):
    """The assessment has been opened, so it stays as it is."""


@transaction.atomic
def new(module, *, by, **settings) -> Assessment:
    made = Assessment(module=module, made_by=by, **settings)
    made.validate_constraints()
    made.save()
    return made


def _draft(assessment) -> Assessment:
    """The draft, held until the end of the transaction. Raises NotADraft."""
    held = Assessment.objects.select_for_update(of=("self",))
    fresh = held.select_related("module").get(pk=assessment.pk)
    if not fresh.is_draft:
        text = _("It has been opened, so it stays as it is. Copy it to change it.")
        raise NotADraft(text, code="opened")
    return fresh


@transaction.atomic
def save(assessment, *, version: int, **settings) -> Assessment:
    """Keep what a mentor set. Raises EditedElsewhere if it was saved since `version` was read, and NotADraft."""
    fresh = _draft(assessment)
    if fresh.version != version:
        text = _(
            "It was saved in another window since you opened it. What you typed is below, not "
            "saved; saving again puts yours in its place."
        )
        raise EditedElsewhere(text, code="edited-elsewhere")
    for name, value in settings.items():
        setattr(fresh, name, value)
    fresh.version += 1
    fresh.validate_constraints()
    fresh.save()
    return fresh


@transaction.atomic
def add(assessment, *, exercise=None, wish=None, counts=1) -> AssessmentItem:
    """One more item, at the end. Raises ValidationError for an exercise that is there already, or too many items."""
    fresh = _draft(assessment)
    items = fresh.items.all()
    if items.count() >= MOST_ITEMS:
        text = _("An assessment has at most %(n)s items.") % {"n": MOST_ITEMS}
        raise ValidationError(text, code="too-many")
    last = items.aggregate(last=Max("number"))["last"] or 0
    item = AssessmentItem(
        assessment=fresh, number=last + 1, exercise=exercise, wish=wish, counts=counts
    )
    item.validate_constraints()
    item.save()
    return item


@transaction.atomic
def remove(item) -> None:
    _draft(item.assessment)
    item.delete()


@transaction.atomic
def move(item, by: int) -> None:
    """Let the item change places with the one before or after it."""
    _draft(item.assessment)
    items = list(AssessmentItem.objects.filter(assessment=item.assessment_id))
    at = next(n for n, one in enumerate(items) if one.pk == item.pk)
    to = min(max(at + by, 0), len(items) - 1)
    items.insert(to, items.pop(at))
    for number, one in enumerate(items, start=1):
        one.number = number
    AssessmentItem.objects.bulk_update(items, ["number"])


@transaction.atomic
def weigh(item, counts: int) -> None:
    """Let the item count that much beside the others."""
    _draft(item.assessment)
    item.counts = counts
    item.clean_fields(exclude=["exercise", "wish", "assessment"])
    item.save(update_fields=["counts"])


def lacking(assessment) -> list[str]:
    """What keeps the assessment from being opened, in sentences."""
    items = list(assessment.items.select_related("exercise"))
    if not items:
        return [_("It has no items yet.")]
    in_force = Revision.objects.in_force().filter(
        exercise__in=[one.exercise_id for one in items if one.exercise_id]
    )
    shown = set(in_force.values_list("exercise", flat=True))
    found = [
        _("Item %(n)s is withdrawn: take it out, or publish the exercise again.")
        % {"n": n}
        for n, one in enumerate(items, start=1)
        if one.exercise_id and one.exercise_id not in shown
    ]
    is_read = assessment.module.revisions.in_force().exists()
    if not is_read and any(one.wish for one in items):
        found.append(_("The module is not in force, so no class can be made from it."))
    return found


@transaction.atomic
def open_it(assessment) -> None:
    """Let trainees see it, and begin it within its dates. Raises ValidationError naming what is missing."""
    fresh = _draft(assessment)
    missing = lacking(fresh)
    if missing:
        raise ValidationError(missing, code="lacking")
    _set(fresh, State.OPEN)


@transaction.atomic
def back_to_draft(assessment) -> None:
    """Take it back to change it, as long as nobody has begun. Raises ValidationError once somebody has."""
    fresh = Assessment.objects.select_for_update().get(pk=assessment.pk)
    if fresh.all_tries.exists():
        text = _("Somebody has begun it. Close it, and copy it to change it.")
        raise ValidationError(text, code="begun")
    _set(fresh, State.DRAFT)


@transaction.atomic
def close(assessment, *, now) -> None:
    """Nobody begins it any more. Who has begun keeps their time; where there is no limit, a day."""
    fresh = Assessment.objects.select_for_update().get(pk=assessment.pk)
    if fresh.state != State.OPEN:
        return
    _set(fresh, State.CLOSED)
    endless = fresh.all_tries.open().filter(deadline=None)
    endless.update(deadline=now + LAST_DAY)


@transaction.atomic
def open_again(assessment) -> None:
    fresh = Assessment.objects.select_for_update().get(pk=assessment.pk)
    if fresh.state == State.CLOSED:
        _set(fresh, State.OPEN)


def _set(assessment, state) -> None:
    assessment.state, assessment.version = state, assessment.version + 1
    assessment.save(update_fields=["state", "version", "edited_at"])


@transaction.atomic
def discard(assessment) -> None:
    """Delete a draft. Raises NotADraft."""
    _draft(assessment).delete()


@transaction.atomic
def copied(assessment, *, by) -> Assessment:
    """The same as a new draft, without its dates; what people got beyond the others stays with the old one."""
    settings = {name: getattr(assessment, name) for name in SETTINGS}
    title = _("%(title)s, copied") % {"title": assessment.title}
    settings |= {"title": title[:120], "opens_at": None, "closes_at": None}
    made = new(assessment.module, by=by, **settings)
    AssessmentItem.objects.bulk_create(
        AssessmentItem(
            assessment=made,
            number=one.number,
            exercise_id=one.exercise_id,
            wish=one.wish,
            counts=one.counts,
        )
        for one in assessment.items.all()
    )
    return made


def keep_back(exercise: Exercise, kept_back: bool) -> None:
    """Ask the exercise in assessments only, or offer it for practice again."""
    Exercise.objects.filter(pk=exercise.pk).update(kept_back=kept_back)
