"""What a mentor does to an exercise: new, a next revision, published, graded again."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from quizzes.attempts import add_grade
from quizzes.kinds import kind_named, kind_of
from quizzes.models import Attempt, Exercise, Revision
from trainer.study.models import ModuleRevision


class EditedElsewhere(ValidationError):
    """Somebody saved this draft since it was opened."""


class NothingTaught(ValidationError):
    """The module has no revision in force, so no class can be begun from it."""


def taught(module):
    """The module's revision in force. Raises NothingTaught if it was withdrawn, or never published."""
    revision = module.revisions.in_force().first()
    if revision is None:
        text = _(
            "%(module)s has no revision in force. Publish one before you make a class from it."
        )
        raise NothingTaught(text, code="withdrawn", params={"module": module})
    return revision


@transaction.atomic
def new_exercise(module, *, kind, by, fields, size, places) -> Revision:
    """An exercise of the module's club with an empty draft."""
    exercise = Exercise.objects.create(
        club=module.club, module=module, kind=kind, made_by=by
    )
    content = kind_named(kind).new_content(size, places)
    return Revision.objects.create(
        exercise=exercise,
        module_revision=taught(module),
        content=content,
        size=size,
        edited_by=by,
        **fields,
    )


@transaction.atomic
def draft_of(exercise, *, by) -> Revision:
    """The exercise's draft; a copy of its last revision where there is none."""
    draft = exercise.revisions.filter(state=Revision.State.DRAFT).first()
    if draft:
        return draft
    last = exercise.revisions.first()
    # A class goes on with what its module said last when that was withdrawn.
    in_force = exercise.module.revisions.in_force().first()
    return Revision.objects.create(
        exercise=exercise,
        module_revision=in_force or last.module_revision,
        number=last.number + 1,
        title=last.title,
        note=last.note,
        difficulty=last.difficulty,
        pace_seconds=last.pace_seconds,
        content=last.content,
        key=last.key,
        size=last.size,
        # The page that is sent showed the last revision, with its version.
        version=last.version,
        edited_by=by,
    )


def _writable(draft) -> Revision:
    """The draft, held until the end of the transaction. Raises ValidationError if it is none any more."""
    held = Revision.objects.select_for_update(of=("self",))
    fresh = held.select_related("exercise__club").get(pk=draft.pk)
    if fresh.state != Revision.State.DRAFT:
        raise ValidationError(
            _("This revision is published and stays as it is."), code="published"
        )
    return fresh


@transaction.atomic
def save_revision(draft, *, by, version, **changes) -> Revision:
    """Keep changes to a draft; what was offered for review is offered no more.

    Raises EditedElsewhere if it was saved since `version` was read, and ValidationError
    if it is no draft any more. Previews of the draft end, since it is not what they show.
    """
    fresh = _writable(draft)
    if fresh.version != version:
        raise EditedElsewhere(
            _saved_by(fresh, by),
            code="edited-elsewhere",
            params={
                "who": fresh.edited_by,
                "when": timezone.localtime(fresh.edited_at).strftime("%H:%M"),
            },
        )
    for name, value in changes.items():
        setattr(fresh, name, value)
    fresh.size = kind_of(fresh).size(fresh.content)
    fresh.version += 1
    fresh.edited_by = by
    fresh.offered_by = fresh.offered_at = None
    fresh.save()
    Attempt.objects.filter(revision=fresh, preview=True).delete()
    return fresh


def _saved_by(revision, reader) -> str:
    if revision.edited_by == reader:
        return _(
            "You saved this class at %(when)s in another window. What you typed here is below, "
            "not saved; beside it stands what is saved. Saving again puts yours in its place."
        )
    return _(
        "%(who)s saved this class at %(when)s. What you typed is below, not saved; beside it "
        "stands what is saved. Saving again puts yours in its place."
    )


@transaction.atomic
def discard(draft) -> None:
    """Delete the draft; with the only revision its exercise goes too.

    Raises ValidationError if it is no draft any more.
    """
    fresh = _writable(draft)
    exercise = fresh.exercise
    Attempt.objects.filter(revision=fresh, preview=True).delete()
    fresh.delete()
    if not exercise.revisions.exists():
        exercise.delete()
    kind_of(fresh).forget_pictures(fresh.content, exercise.club)


def _refuse_unfinished(draft) -> None:
    problems = kind_of(draft).problems(draft.content, draft.key)
    if problems:
        raise ValidationError([problem.text for problem in problems], code="unfinished")


@transaction.atomic
def offer(draft, *, by, now) -> None:
    """Offer the draft to the other mentors of the club for review.

    Raises ValidationError naming what must be mended first.
    """
    fresh = _writable(draft)
    _refuse_unfinished(fresh)
    fresh.offered_by, fresh.offered_at = by, now
    fresh.save(update_fields=["offered_by", "offered_at"])


@transaction.atomic
def take_back(draft) -> None:
    """The draft is offered for review no more."""
    mine = Revision.objects.filter(pk=_writable(draft).pk)
    mine.update(offered_by=None, offered_at=None)


def who_may_publish(draft, user) -> bool:
    """Whether this mentor may put the draft in force.

    Where the club asks for a second mentor, it takes another one than who offered it.
    """
    if not draft.exercise.club.second_mentor:
        return True
    return bool(draft.offered_at) and draft.offered_by_id != user.pk


@transaction.atomic
def publish(draft, *, now, regrade: bool, by=None) -> Revision:
    """Put the draft in force; the revision before it is kept as superseded.

    regrade : grade earlier attempts under the new key too; their first grade stays
    by : the mentor who publishes; None where the site itself does, as in the demo
    Raises ValidationError naming what must be mended first, or that a second mentor is asked for.
    """
    draft = (
        Revision.objects.select_for_update(of=("self",))
        .select_related("exercise__club", "module_revision")
        .get(pk=draft.pk)
    )
    _refuse_unfinished(draft)
    if draft.state != Revision.State.DRAFT:
        return draft
    if draft.module_revision.state == ModuleRevision.State.DRAFT:
        text = _("Publish the module first: what this class is judged by is a draft.")
        raise ValidationError(text, code="module")
    if by and not who_may_publish(draft, by):
        text = _("In this club another mentor than the one who offers it publishes it.")
        raise ValidationError(text, code="second-mentor")
    revisions = Revision.objects.filter(exercise=draft.exercise_id)
    revisions.in_force().update(state=Revision.State.SUPERSEDED)
    draft.state, draft.published_at = Revision.State.PUBLISHED, now
    draft.save(update_fields=["state", "published_at"])
    Attempt.objects.filter(revision=draft, preview=True).delete()
    if regrade:
        grade_again(draft, now=now)
    return draft


@transaction.atomic
def withdraw(revision) -> None:
    """Take a revision out of force: nobody begins it any more; what was begun or graded stays."""
    in_force = Revision.objects.in_force().filter(pk=revision.pk)
    in_force.update(state=Revision.State.WITHDRAWN)


def grade_again(revision, *, now) -> int:
    """Grade earlier attempts at the same dogs under this revision's key; return how many."""
    kind = kind_of(revision)
    items = kind.items(revision.content)
    if not items:
        return 0
    earlier = (
        Attempt.objects.filter(
            revision__exercise=revision.exercise_id,
            state=Attempt.State.HANDED_IN,
            preview=False,
        )
        .exclude(grades__revision=revision)
        .select_related("revision")
    )
    same = [a for a in earlier.iterator() if kind.items(a.revision.content) == items]
    for attempt in same:
        add_grade(attempt, revision, now=now)
    return len(same)
