"""What becomes of attempts, marks and keys when somebody's account is deleted.

The running tallies stay as they are; they never named anybody. An answer stays only as far as its kind can take
the person out of it (`anonymous`); everything else of theirs goes.
"""

from __future__ import annotations

import uuid
from datetime import datetime

from django.db.models import F, OuterRef, Subquery
from django.utils.timezone import localtime
from django.utils.translation import gettext as _

from quizzes.kinds import kind_of
from quizzes.models import Attempt, Exercise, Grade, Mark, PanelKey
from trainer.accounts.erasing import Part

CHUNK = 200
CHANGED = ("answer", "submission", "handed_in_at")


def goes(user) -> list[str]:
    return [
        _(
            "Your record: every attempt, with what you wrote in it, critiques and reasons above "
            "all; classes that were made for you alone; marks you were given; what was reckoned "
            "of them to suggest what to practise."
        )
    ]


def stays(user) -> list[str]:
    found = [
        _(
            "How often each answer was given to an exercise, as plain counts, and orders of dogs "
            "and the like without your name, your words or the day. Nobody can tell that they were yours."
        )
    ]
    if Exercise.objects.shared().filter(made_by=user).exists():
        found.append(_("Classes and keys that you made for a club, without your name."))
    if Mark.objects.final().filter(marker=user).exists():
        found.append(
            _("Marks that you gave to others, without your name: they are theirs.")
        )
    return found


def erase(user, now: datetime) -> None:
    """Take the person out of what stays, and delete the rest; their practice classes go with their row."""
    mine = Attempt.objects.filter(trainee=user)
    worth = mine.owned_by(user).finished().shared().order_by("pk")
    kept, changed = set(), []
    documents = ("revision__content", "revision__key")
    worth = worth.select_related("revision__exercise").defer(*documents)
    for attempt in worth.iterator(CHUNK):
        answer = without_person(attempt)
        if answer is not None:
            kept.add(attempt.pk)
            changed.append(_anonymous(attempt, answer))
    mine.exclude(pk__in=kept).delete()
    Attempt.objects.bulk_update(changed, CHANGED, batch_size=CHUNK)
    when = F("handed_in_at")
    mine.update(
        trainee=None,
        started_at=when,
        saved_at=when,
        extra_seconds=0,
        # The try goes with the person.
        assessment_try=None,
        assessment_item=None,
    )
    month = Attempt.objects.filter(pk=OuterRef("attempt")).values("handed_in_at")
    Grade.objects.filter(attempt__in=kept).update(graded_at=Subquery(month))
    _as_mentor(user)


def without_person(attempt) -> dict | None:
    """The answer without anything the person wrote; None if nothing of it may stay."""
    anonymous = getattr(kind_of(attempt.revision), "anonymous", None)
    return anonymous(attempt.answer) if anonymous else None


def _anonymous(attempt, answer: dict) -> Attempt:
    """The attempt of nobody, at no particular day: the month is all that is kept of when."""
    month = localtime(attempt.handed_in_at).replace(
        day=1, hour=0, minute=0, second=0, microsecond=0
    )
    attempt.answer, attempt.submission = answer, uuid.uuid4()
    attempt.handed_in_at = month
    return attempt


def _as_mentor(user) -> None:
    """Words of marks that were not finished, and keys nobody was to see yet."""
    drafts = Mark.objects.filter(marker=user, state=Mark.State.DRAFT)
    drafts.update(points=[], comments=[], overall="", marker=None)
    PanelKey.objects.filter(mentor=user, done_at__isnull=True).delete()


PART = Part(goes=goes, stays=stays, erase=erase)
