"""Everything that changes a draft of a module. A published revision is never touched."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F, ProtectedError
from django.utils.text import slugify
from django.utils.timezone import localtime
from django.utils.translation import gettext as _

from quizzes.grading.weights import percent_by_rank
from trainer.study.models import (
    Breed,
    Module,
    ModuleRevision,
    Phrase,
    Priority,
    Removed,
    RevisionPart,
)
from trainer.study.parts import PARTS, Part, module_document, part_of, row_document
from trainer.study.services import publish_module, store_draft

State = ModuleRevision.State
STEP_ASIDE = 10_000
"""Added to numbers while rows change places, so that no two share one."""


class EditedElsewhere(ValidationError):
    """Somebody saved this row since it was opened; `theirs` is the row as it stands now."""

    def __init__(self, row, by):
        who = row.edited_by or _("Somebody")
        when = localtime(row.edited_at).strftime("%H:%M") if row.edited_at else ""
        if row.edited_by == by:
            text = _("You saved this at %(when)s in another window.")
        else:
            text = _("%(who)s saved this at %(when)s, while you were writing.")
        super().__init__(
            text, code="edited-elsewhere", params={"who": who, "when": when}
        )
        self.theirs = row


def free_slug(taken, name: str, *, longest: int = 50) -> str:
    """A short name made of the name, not among those taken."""
    base = slugify(name)[: longest - 4] or "part"
    found, count = base, 1
    while found in taken:
        count += 1
        found = f"{base}-{count}"
    return found


STILL_WRITING = timedelta(minutes=10)
"""After a save somebody is taken to be writing still."""


def also_writing(row, user, *, now: datetime) -> str:
    """Who else saved the row a moment ago, in words; empty if nobody did."""
    by = row.edited_by
    if by is None or by == user or now - row.edited_at > STILL_WRITING:
        return ""
    text = _("%(who)s saved this at %(when)s and may still be writing.")
    return text % {"who": by, "when": localtime(row.edited_at).strftime("%H:%M")}


FIRST_CHOICES = {
    "steps": {"sense": "both"},
    "faults": {"severity": "minor", "ruling": "place_lower"},
}
"""What a new row says before anybody has chosen."""


def breed_named(name: str) -> Breed:
    """The breed of that name, whatever the case; a new one where there is none."""
    found = Breed.objects.filter(name__iexact=name).first()
    if found:
        return found
    slugs = Breed.objects.values_list("slug", flat=True)
    return Breed.objects.create(name=name, slug=free_slug(slugs, name))


@transaction.atomic
def new_module(
    club, *, breed_name: str, title: str, by, now: datetime
) -> ModuleRevision:
    """An empty module of the club; its first revision is a draft."""
    return ModuleRevision.objects.create(
        module=_module_of(club, breed_named(breed_name)),
        number=1,
        title=title,
        author=by,
        edited_by=by,
        edited_at=now,
    )


@transaction.atomic
def module_from(
    club, document: Mapping, *, breed_name: str, title: str, by, now: datetime
) -> ModuleRevision:
    """A new module of the club that begins with all a document says.

    Raises BadDocument that names the part and what is wrong with it.
    """
    module = _module_of(club, breed_named(breed_name))
    draft = store_draft(module, document, author=by, title=title)
    draft.edited_by, draft.edited_at = by, now
    draft.save(update_fields=["edited_by", "edited_at"])
    return draft


def _module_of(club, breed: Breed) -> Module:
    taken = Module.objects.filter(club=club).values_list("slug", flat=True)
    return Module.objects.create(
        club=club, breed=breed, slug=free_slug(set(taken), breed.slug)
    )


@transaction.atomic
def draft_of(module: Module, *, by, now: datetime) -> ModuleRevision:
    """The module's draft; a copy of its latest revision where there is none."""
    Module.objects.select_for_update().get(pk=module.pk)
    latest = module.revisions.first()
    if latest.state == State.DRAFT:
        return latest
    draft = store_draft(module, module_document(latest), author=latest.author)
    draft.edited_by, draft.edited_at = by, now
    draft.save(update_fields=["edited_by", "edited_at"])
    return draft


def writable(revision_id: int) -> ModuleRevision:
    """The draft, held until the end of the transaction."""
    revision = ModuleRevision.objects.select_for_update().get(pk=revision_id)
    if revision.state != State.DRAFT:
        text = _("This revision is published and stays as it is.")
        raise ValidationError(text, code="published")
    return revision


def touch(revision: ModuleRevision, *, by, now: datetime) -> None:
    """Note who changed the draft; what was offered for review is offered no more."""
    ModuleRevision.objects.filter(pk=revision.pk).update(
        edited_by=by, edited_at=now, offered_by=None, offered_at=None
    )


@transaction.atomic
def save_about(draft: ModuleRevision, *, by, now: datetime, version: int, **changes):
    """Title, introduction, standard and the like. Raises EditedElsewhere."""
    fresh = writable(draft.pk)
    return _changed(fresh, fresh, changes, by=by, now=now, version=version)


@transaction.atomic
def save_row(
    row: RevisionPart,
    *,
    by,
    now: datetime,
    version: int,
    phrases: Mapping[int, str] | None = None,
    **changes,
) -> RevisionPart:
    """Keep changes to a row of a draft.

    phrases : of a priority, by level; an empty one is taken away
    Raises EditedElsewhere if it was saved since `version` was read.
    """
    revision = writable(row.revision_id)
    fresh = type(row).objects.select_related("edited_by").filter(pk=row.pk).first()
    if fresh is None:
        text = _("It was taken out meanwhile. Copy your words before you leave.")
        raise ValidationError(text, code="gone")
    fresh = _changed(revision, fresh, changes, by=by, now=now, version=version)
    if phrases is not None:
        _set_phrases(fresh, phrases)
    return fresh


def _changed(revision, fresh, changes, *, by, now, version):
    if fresh.version != version:
        raise EditedElsewhere(fresh, by)
    for name, value in changes.items():
        setattr(fresh, name, value)
    fresh.version += 1
    fresh.edited_by, fresh.edited_at = by, now
    fresh.save()
    touch(revision, by=by, now=now)
    return fresh


def _set_phrases(priority: Priority, phrases: Mapping[int, str]) -> None:
    for level, text in phrases.items():
        mine = Phrase.objects.filter(priority=priority, level=level)
        if not text:
            mine.delete()
        elif not mine.update(text=text):
            Phrase.objects.create(priority=priority, level=level, text=text)


@transaction.atomic
def add_row(
    draft: ModuleRevision,
    part: Part,
    *,
    by,
    now: datetime,
    phrases: Mapping[int, str] | None = None,
    **fields,
) -> RevisionPart:
    """A new row at the end of its part."""
    revision = writable(draft.pk)
    fields = {**FIRST_CHOICES.get(part.slug, {}), **fields}
    row = part.model(revision=revision, edited_by=by, edited_at=now, **fields)
    row.number = part.of(revision).next_number()
    if "slug" in part.fields:
        taken = set(part.of(revision).values_list("slug", flat=True))
        row.slug = free_slug(taken, row.name)
    if isinstance(row, Priority):
        row.weight = 1
    row.save()
    if phrases is not None:
        _set_phrases(row, phrases)
    touch(revision, by=by, now=now)
    return row


@transaction.atomic
def move_row(row: RevisionPart, to: int, *, by, now: datetime) -> int:
    """Give a row of a draft another number; those between close up. Returns its number."""
    revision = writable(row.revision_id)
    rows = list(part_of(row).of(revision).order_by("number"))
    at = next((n for n, one in enumerate(rows) if one.pk == row.pk), None)
    if at is None:
        text = _("It was taken out meanwhile.")
        raise ValidationError(text, code="gone")
    moved = rows.pop(at)
    to = min(max(to, 1), len(rows) + 1)
    rows.insert(to - 1, moved)
    _renumber(rows)
    touch(revision, by=by, now=now)
    return to


def _renumber(rows: Sequence[RevisionPart]) -> None:
    """Numbers from 1 in this order, without two that are the same at any moment."""
    if not rows:
        return
    model = type(rows[0])
    changed = []
    for number, row in enumerate(rows, start=1):
        if row.number != number:
            row.number = number
            changed.append(row)
    mine = model.objects.filter(pk__in=[row.pk for row in changed])
    mine.update(number=F("number") + STEP_ASIDE)
    model.objects.bulk_update(changed, ["number"])


@transaction.atomic
def remove_row(row: RevisionPart, *, by, now: datetime) -> Removed:
    """Take a row out of its draft; it can be put back."""
    revision = writable(row.revision_id)
    part = part_of(row)
    removed = Removed.objects.create(
        revision=revision,
        part=part.slug,
        name=str(row)[:120],
        document={**row_document(row), "tied": _tied_to(row)},
        removed_by=by,
        removed_at=now,
    )
    row.delete()
    _renumber(list(part.of(revision).order_by("number")))
    touch(revision, by=by, now=now)
    return removed


def _tied_to(row: RevisionPart) -> dict[str, list[int]]:
    """The rows that name a priority, which lose it when it is taken out."""
    if not isinstance(row, Priority):
        return {}
    return {
        part.slug: list(
            part.model.objects.filter(priority=row).values_list("pk", flat=True)
        )
        for part in PARTS.values()
        if part.tied
    }


@transaction.atomic
def put_back(removed: Removed, *, by, now: datetime) -> RevisionPart:
    """Put a row that was taken out back, at the end of its part."""
    revision = writable(removed.revision_id)
    part = PARTS[removed.part]
    document = dict(removed.document)
    tied = document.pop("tied", {})
    row = _recreated(revision, part, document)
    for slug, pks in tied.items():
        PARTS[slug].of(revision).filter(pk__in=pks, priority=None).update(priority=row)
    removed.delete()
    touch(revision, by=by, now=now)
    return row


def _recreated(revision, part: Part, document: dict) -> RevisionPart:
    """The row as it was, finished or not."""
    priorities = {one.slug: one for one in revision.priorities.all()}
    fields = {name: document[name] for name in part.fields}
    row = part.model(
        revision=revision, number=part.of(revision).next_number(), **fields
    )
    if part.tied:
        row.priority = priorities.get(document["priority"])
    if "slug" in part.fields:
        taken = set(part.of(revision).values_list("slug", flat=True))
        row.slug = free_slug(taken, row.slug)
    if isinstance(row, Priority):
        row.plate_faults = document["plate"]
    row.save()
    if isinstance(row, Priority):
        _set_phrases(row, dict(enumerate(document["phrases"])))
    return row


@transaction.atomic
def set_weights(
    draft: ModuleRevision, weights: Mapping[int, int], *, by, now: datetime
) -> None:
    """Weights of the draft's priorities, by their pk."""
    revision = writable(draft.pk)
    rows = [one for one in revision.priorities.all() if one.pk in weights]
    for row in rows:
        row.weight = weights[row.pk]
    Priority.objects.bulk_update(rows, ["weight"])
    touch(revision, by=by, now=now)


@transaction.atomic
def weigh_by_rank(draft: ModuleRevision, *, by, now: datetime) -> None:
    """Weights that follow from the order alone (quizzes.grading.weights)."""
    rows = list(draft.priorities.order_by("number").values_list("pk", flat=True))
    if rows:
        weights = dict(zip(rows, percent_by_rank(len(rows)), strict=True))
        set_weights(draft, weights, by=by, now=now)


@transaction.atomic
def offer(draft: ModuleRevision, *, by, now: datetime) -> ModuleRevision:
    """Offer the draft to the other mentors of the club for review."""
    fresh = writable(draft.pk)
    fresh.offered_by, fresh.offered_at = by, now
    fresh.save(update_fields=["offered_by", "offered_at"])
    return fresh


@transaction.atomic
def take_back(draft: ModuleRevision) -> None:
    """The draft is offered for review no more."""
    ModuleRevision.objects.filter(pk=writable(draft.pk).pk).update(
        offered_by=None, offered_at=None
    )


def who_may_publish(draft: ModuleRevision, user) -> bool:
    """Whether this mentor may put the draft in force.

    Where the club asks for a second mentor, it takes another one than who offered it.
    """
    if not draft.module.club.second_mentor:
        return True
    return bool(draft.offered_at) and draft.offered_by_id != user.pk


@transaction.atomic
def publish(draft: ModuleRevision, *, by, now: datetime, lacking) -> ModuleRevision:
    """Put the draft in force.

    lacking : finds what the draft lacks
    Raises ValidationError if something is missing, or a second mentor has not looked at it.
    """
    fresh = writable(draft.pk)
    if lacking(fresh):
        text = _("Something is still missing.")
        raise ValidationError(text, code="lacking")
    if not who_may_publish(fresh, by):
        text = _("In this club another mentor than the one who offers it publishes it.")
        raise ValidationError(text, code="second-mentor")
    fresh.removed.all().delete()
    return publish_module(fresh, now=now)


@transaction.atomic
def withdraw(revision: ModuleRevision) -> None:
    """Take a revision out of force; nobody but mentors sees the module until another one is published."""
    ModuleRevision.objects.filter(pk=revision.pk, state=State.PUBLISHED).update(
        state=State.WITHDRAWN
    )


@transaction.atomic
def discard(draft: ModuleRevision) -> None:
    """Throw a draft away; a module that never had another revision goes with it."""
    fresh = writable(draft.pk)
    module = fresh.module
    try:
        fresh.delete()
    except ProtectedError:
        text = _(
            "Classes came in with this draft. Discard their drafts in the workshop first."
        )
        raise ValidationError(text, code="protected") from None
    if module.revisions.exists():
        return
    try:
        module.delete()
    except ProtectedError:
        text = _("Drawings belong to this module. Take them away on the workbench.")
        raise ValidationError(text, code="protected") from None
