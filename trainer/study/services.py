"""Taking in a study module and publishing it."""

from contextlib import contextmanager

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


class BadDocument(ValidationError):
    """A module document that can't be taken in; says which part and what is wrong."""


@contextmanager
def part(name):
    """Refusals inside name this part of the document; the innermost part wins."""
    try:
        yield
    except BadDocument:
        raise
    except KeyError as error:
        missing = {"part": name, "what": error.args[0]}
        text = _("%(part)s lacks \u201c%(what)s\u201d, or names one that is not there.")
        raise BadDocument(text, code="lacks", params=missing) from error
    except (TypeError, AttributeError, ValueError) as error:
        text = _("%(part)s has another form than a module document's.")
        raise BadDocument(text, code="form", params={"part": name}) from error
    except ValidationError as error:
        texts = "; ".join(_said(error))
        raise BadDocument(f"{name}: {texts}", code="invalid") from error


def _said(error: ValidationError) -> list[str]:
    if not hasattr(error, "error_dict"):
        return error.messages
    return [
        f"{field}: {' '.join(texts)}" for field, texts in error.message_dict.items()
    ]


@transaction.atomic
def import_module(club, data, *, author, now) -> ModuleRevision:
    """Store a module document (DEVELOPERS.md) as the club's next revision in force.

    All of it or nothing. Raises BadDocument that names the part and what is wrong with it.
    """
    with part(_("The document")):
        return _import(club, data, author=author, now=now)


def _import(club, data, *, author, now):
    with part(_("The breed")):
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
    """The breed of that short name; its text is the first one's that was taken in."""
    breed = Breed.objects.filter(slug=data["slug"]).first()
    if breed is None:
        breed = Breed(
            **{name: data[name] for name in ("slug", "name", "summary", "made_for")}
        )
        breed.full_clean()
        breed.save()
    return breed


def _add_priorities(revision, rows):
    """Store the priorities in their order with a phrase for each level; return them by slug."""
    stored = {}
    for number, row in enumerate(rows, start=1):
        with part(_("Priority %(n)s") % {"n": number}):
            priority = _priority(revision, number, row)
        stored[priority.slug] = priority
    if sum(priority.weight for priority in stored.values()) != 100:
        raise BadDocument(
            _("The weights of the priorities must add up to 100."), code="weights"
        )
    return stored


def _priority(revision, number, row):
    if len(row["phrases"]) != LEVELS:
        raise ValidationError(
            _("it needs a phrase for each of the five levels."), code="phrases"
        )
    named = ("slug", "name", "weight", "look_for", "feel_for", "why_it_matters")
    priority = Priority(
        revision=revision,
        number=number,
        plate_faults=row.get("plate", []),
        **{field: row[field] for field in named},
    )
    priority.full_clean()
    priority.save()
    for level, text in enumerate(row["phrases"]):
        phrase = Phrase(priority=priority, level=level, text=text)
        phrase.full_clean()
        phrase.save()
    return priority


def _add_parts(revision, model, rows, priorities):
    """Store steps or faults in their order, tied to their priorities by slug."""
    for number, row in enumerate(rows, start=1):
        called = model._meta.verbose_name.capitalize()
        with part(f"{called} {number}"):
            slug = row.get("priority")
            fields = {name: value for name, value in row.items() if name != "priority"}
            priority = priorities[slug] if slug else None
            stored = model(
                revision=revision, number=number, priority=priority, **fields
            )
            stored.full_clean()
            stored.save()


@transaction.atomic
def publish_module(revision, *, now) -> ModuleRevision:
    """Put the draft in force; the revision before it is kept as superseded."""
    others = ModuleRevision.objects.filter(module=revision.module).in_force()
    others.update(state=ModuleRevision.State.SUPERSEDED)
    revision.state, revision.published_at = ModuleRevision.State.PUBLISHED, now
    revision.save()
    return revision
