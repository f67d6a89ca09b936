"""Taking in a study module and publishing it."""

from contextlib import contextmanager

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from trainer.study.models import Breed, ModuleRevision
from trainer.study.parts import PARTS, store_row


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


def store_draft(module, data, *, author, title="") -> ModuleRevision:
    """Store a module document as the module's next revision, a draft, finished or not.

    title : instead of the document's
    Raises BadDocument that names the part and what is wrong with it.
    """
    with part(_("The document")):
        return _stored(module, data, author, title or data["title"])


def _stored(module, data, author, title):
    last = module.revisions.first()
    standard, examination = data["standard"], data["examination"]
    revision = ModuleRevision(
        module=module,
        number=last.number + 1 if last else 1,
        title=title,
        author=author,
        introduction=data["introduction"],
        standard_title=standard["title"],
        standard_date=standard.get("date", ""),
        standard_note=standard["note"],
        standard_link=standard["link"],
        examined=examination["where"],
        examination_note=examination["introduction"],
    )
    revision.full_clean()
    revision.save()
    rows = {
        "priorities": data["priorities"],
        "steps": examination["steps"],
        "faults": data["faults"],
        "lessons": data.get("lessons", []),
        "terms": data.get("terms", []),
    }
    priorities: dict = {}
    for slug, documents in rows.items():
        _store_rows(revision, PARTS[slug], documents, priorities)
    return revision


def _store_rows(revision, kind, documents, priorities):
    """Store rows in their order, tied to their priorities by slug."""
    for number, document in enumerate(documents, start=1):
        with part(f"{str(kind.one).capitalize()} {number}"):
            row = store_row(
                revision, kind, document, number=number, priorities=priorities
            )
        if kind.slug == "priorities":
            priorities[row.slug] = row


def breed_for(data):
    """The breed of that short name; its text is the first one's that was taken in."""
    breed = Breed.objects.filter(slug=data["slug"]).first()
    if breed is None:
        breed = Breed(
            **{name: data[name] for name in ("slug", "name", "summary", "made_for")}
        )
        breed.full_clean()
        breed.save()
    return breed


@transaction.atomic
def publish_module(revision, *, now) -> ModuleRevision:
    """Put the draft in force; the revision before it is kept as superseded."""
    others = ModuleRevision.objects.filter(module=revision.module).in_force()
    others.update(state=ModuleRevision.State.SUPERSEDED)
    revision.state, revision.published_at = ModuleRevision.State.PUBLISHED, now
    revision.save()
    return revision
