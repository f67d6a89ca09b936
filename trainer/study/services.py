"""Taking in a study module and publishing it."""

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from trainer.study.models import (
    LEVELS,
    Breed,
    Fault,
    Module,
    ModuleRevision,
    Phrase,
    Priority,
    Step,
)


@transaction.atomic
def import_module(club, data, *, author, now) -> ModuleRevision:
    """Store a module document (DEVELOPERS.md) as the club's next revision in force.

    Everything is checked before anything is stored. Raises ValidationError that names
    the part and what is wrong with it.
    """
    try:
        return _import(club, data, author=author, now=now)
    except (KeyError, TypeError, AttributeError) as error:
        raise ValidationError(
            _("The module document lacks %(part)s or has it in another form."),
            code="document",
            params={"part": error},
        ) from error


def _import(club, data, *, author, now):
    breed = _breed(data["breed"])
    module, _made = Module.objects.get_or_create(
        club=club, slug=breed.slug, defaults={"breed": breed}
    )
    last = module.revisions.first()
    standard, examination = data["standard"], data["examination"]
    revision = ModuleRevision(
        module=module,
        number=last.number + 1 if last else 1,
        title=data["title"],
        author=author,
        introduction=data["introduction"],
        standard_title=standard["title"],
        standard_note=standard["note"],
        standard_link=standard["link"],
        examined=examination["where"],
        examination_note=examination["introduction"],
    )
    revision.full_clean()
    revision.save()
    priorities = _add_priorities(revision, data["priorities"])
    _add_parts(revision, Step, examination["steps"], priorities)
    _add_parts(revision, Fault, data["faults"], priorities)
    return publish_module(revision, now=now)


def _breed(data):
    breed = Breed.objects.filter(slug=data["slug"]).first() or Breed(slug=data["slug"])
    breed.name, breed.summary = data["name"], data["summary"]
    breed.made_for = data["made_for"]
    breed.full_clean()
    breed.save()
    return breed


def _add_priorities(revision, rows):
    """Store the priorities in their order with a phrase for each level; return them by slug."""
    stored = {}
    for number, row in enumerate(rows, start=1):
        phrases = row["phrases"]
        if len(phrases) != LEVELS:
            raise ValidationError(
                _("Priority %(name)s needs a phrase for each of the five levels."),
                code="phrases",
                params={"name": row["name"]},
            )
        priority = Priority(
            revision=revision,
            number=number,
            plate_faults=row.get("plate", []),
            **{
                field: row[field]
                for field in (
                    "slug",
                    "name",
                    "weight",
                    "look_for",
                    "feel_for",
                    "why_it_matters",
                )
            },
        )
        priority.full_clean()
        priority.save()
        Phrase.objects.bulk_create(
            Phrase(priority=priority, level=level, text=text)
            for level, text in enumerate(phrases)
        )
        stored[priority.slug] = priority
    if sum(priority.weight for priority in stored.values()) != 100:
        raise ValidationError(
            _("The weights of the priorities must add up to 100."), code="weights"
        )
    return stored


def _add_parts(revision, model, rows, priorities):
    """Store steps or faults in their order, tied to their priorities by slug."""
    for number, row in enumerate(rows, start=1):
        slug = row.get("priority")
        fields = {name: value for name, value in row.items() if name != "priority"}
        part = model(
            revision=revision,
            number=number,
            priority=priorities[slug] if slug else None,
            **fields,
        )
        part.full_clean()
        part.save()


@transaction.atomic
def publish_module(revision, *, now) -> ModuleRevision:
    """Put the draft in force; the revision before it is kept as superseded."""
    others = ModuleRevision.objects.filter(module=revision.module).in_force()
    others.update(state=ModuleRevision.State.SUPERSEDED)
    revision.state, revision.published_at = ModuleRevision.State.PUBLISHED, now
    revision.save()
    return revision
