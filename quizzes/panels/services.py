"""What changes a panel: opened, keyed, shown other dogs, closed, adopted."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable
from dataclasses import asdict

from django.core.exceptions import ValidationError
from django.core.mail import EmailMessage
from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from quizzes import exercises
from quizzes.kinds.placing.content import ClassContent, ClassKey
from quizzes.kinds.placing.kind import KIND
from quizzes.kinds.placing.problems import key_problems
from quizzes.models import Panel, PanelKey, Revision
from trainer.accounts.models import User

LEAST = 2
SEEN = {
    *("armband", "sex", "age_months", "ringside", "hands_on", "picture", "pictures"),
    *("faults", "coat_seed", "mirror", "build", "drawn"),
}
"""What a panel is shown of a dog, as fields of placing.content.Dog."""


class PanelClosed(ValidationError):
    """The panel was closed, so its keys stay as they are."""


class KeyedElsewhere(ValidationError):
    """The mentor saved this key in another window since the page was opened."""


@transaction.atomic
def open_panel(
    revision: Revision,
    *,
    mentors: Iterable[User],
    message: str,
    by: User,
    now,
    rng: random.Random,
    address: Callable[[str], str] | None = None,
) -> Panel:
    """Ask the mentors for a key to the dogs of the revision, and tell them by mail.

    Whoever opens the panel and sits on it starts from the class's key where it is
    their own.

    address : makes a whole address of a path, for the mails; none are sent without it
    Raises ValidationError where a panel is open on the class, or too few are asked.
    """
    mentors = list(mentors)
    if len(mentors) < LEAST:
        text = _("A panel takes two mentors at least. Tick those you ask.")
        raise ValidationError(text, code="few")
    panel = _new_panel(revision, message=message, by=by, now=now)
    ask(panel, revision, mentors=mentors, by=by, rng=rng, address=address)
    return panel


@transaction.atomic
def ask(panel: Panel, revision: Revision, *, mentors, by, rng, address=None) -> None:
    """Ask mentors, some more if the panel is open already, for their keys.

    Raises PanelClosed.
    """
    if not Panel.objects.select_for_update().get(pk=panel.pk).is_open:
        raise PanelClosed(_("The panel is closed."), code="closed")
    own = revision.edited_by if revision.content == panel.content else None
    for mentor in mentors:
        start = revision.key if mentor == by == own else {}
        key, is_new = PanelKey.objects.get_or_create(
            panel=panel,
            mentor=mentor,
            defaults={
                "shown": KIND.show(panel.content, rng=rng, again=False),
                "key": ClassKey.read({**start, "panel": {}}).document(),
            },
        )
        if is_new and address and mentor != by:
            _tell(key, _("%(who)s asks you to key a class: %(title)s."), by, address)


def _new_panel(revision, *, message, by, now) -> Panel:
    try:
        with transaction.atomic():
            return Panel.objects.create(
                exercise=revision.exercise,
                content=revision.content,
                message=message,
                opened_by=by,
                opened_at=now,
            )
    except IntegrityError:
        text = _("A panel is keying this class already.")
        raise ValidationError(text, code="open") from None


def _tell(key: PanelKey, why: str, by: User, address) -> None:
    """Write to a mentor once all is stored; a mail that fails is logged.

    why : takes who and title
    """
    title = key.panel.exercise.revisions.values_list("title", flat=True).first()
    values = {"who": by, "title": title, "link": address(key.get_absolute_url())}
    lines = [
        why % values,
        key.panel.message,
        _("Your key: %(link)s") % values,
        _("Nobody sees it, and you see nobody's, until the panel is closed."),
    ]
    mail = EmailMessage(
        subject=_("Placing Room: a key asked of you, %(title)s") % values,
        body="\n\n".join(filter(None, lines)) + "\n",
        to=[key.mentor.email],
    )
    # Subjects are one line, whatever a class is called.
    mail.subject = " ".join(mail.subject.split())
    transaction.on_commit(mail.send, robust=True)


def _locked(key: PanelKey) -> PanelKey:
    """The key as it is now, with its panel kept from being closed meanwhile."""
    panel = Panel.objects.select_for_update().get(pk=key.panel_id)
    if not panel.is_open:
        text = _("The panel is closed, so keys stay as they are.")
        raise PanelClosed(text, code="closed")
    fresh = PanelKey.objects.select_for_update(of=("self",)).get(pk=key.pk)
    fresh.panel = panel
    return fresh


@transaction.atomic
def save_key(
    key: PanelKey, changed: ClassKey, *, version: int, done: bool, now
) -> PanelKey:
    """Keep the mentor's key; with `done` it counts, and without it no longer does.

    Raises PanelClosed, KeyedElsewhere, and ValidationError naming what a key that is
    to be done lacks.
    """
    fresh = _locked(key)
    if fresh.version != version:
        text = _(
            "You saved this key in another window. What is below is not saved; saving "
            "again puts it in place of the other."
        )
        raise KeyedElsewhere(text, code="elsewhere")
    content = ClassContent.read(fresh.panel.content)
    problems = key_problems(content, changed, reasons=False) if done else []
    fresh.key, fresh.saved_at = changed.document(), now
    fresh.version += 1
    fresh.done_at = now if done and not problems else None
    fresh.save()
    return fresh


@transaction.atomic
def show_dogs_anew(
    panel: Panel, revision: Revision, *, by: User, rng: random.Random, address=None
) -> Panel:
    """Show the panel the dogs as the revision has them; every key has to be done anew.

    Keys keep what they say of dogs that are still there. Whoever had said that theirs is
    done gets a mail.
    """
    panel = Panel.objects.select_for_update().get(pk=panel.pk)
    if not panel.is_open:
        raise PanelClosed(_("The panel is closed."), code="closed")
    panel.content = revision.content
    panel.save(update_fields=["content"])
    why = _("%(who)s changed the dogs of %(title)s; please look at your key again.")
    for key in panel.keys.select_related("mentor"):
        if address and key.done_at and key.mentor and key.mentor != by:
            _tell(key, why, by, address)
        kept = ClassKey.read(key.key)
        for dog in {dog for dog, _n in key.shown["line"]} - KIND.items(panel.content):
            kept = kept.without(dog)
        key.key, key.done_at = kept.document(), None
        key.shown = KIND.show(panel.content, rng=rng, again=False)
        key.version += 1
        key.save()
    return panel


@transaction.atomic
def close_panel(panel: Panel, *, now) -> Panel:
    """End the keying: keys that are done can be read from now on, others never."""
    panel = Panel.objects.select_for_update().get(pk=panel.pk)
    if panel.is_open:
        panel.closed_at = now
        panel.save(update_fields=["closed_at"])
    return panel


@transaction.atomic
def adopt(panel: Panel, key: ClassKey, *, by: User) -> Revision:
    """Write a panel's key into the class's draft, which is begun if there is none.

    Dogs that the draft has no longer are left out. What is published stays as it is.
    Raises ValidationError for a panel that is still open.
    """
    if panel.is_open:
        raise ValidationError(_("Close the panel first."), code="open")
    draft = exercises.draft_of(panel.exercise, by=by)
    for dog in KIND.items(panel.content) - KIND.items(draft.content):
        key = key.without(dog)
    return exercises.save_revision(
        draft, by=by, version=draft.version, key=key.document()
    )


def dogs_changed(panel: Panel, revision: Revision) -> bool:
    """Whether the revision shows other dogs, or the same otherwise, than the panel saw."""
    return _as_seen(panel.content) != _as_seen(revision.content)


def _as_seen(content) -> dict:
    """What a panel is shown of the content, in no order."""
    read = ClassContent.read(content)
    dogs = {
        dog.id: {name: value for name, value in asdict(dog).items() if name in SEEN}
        for dog in read
    }
    return {"dogs": dogs, "places": read.places, "breed": read.breed}
