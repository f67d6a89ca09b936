"""Who may mark what, and what waits to be marked."""

from __future__ import annotations

from functools import cache

from django.db.models import Count, Exists, OuterRef, Q

from quizzes.kinds import REGISTERED, kind_named
from quizzes.models import Attempt, Exercise, Mark
from trainer.clubs.models import Membership, Role


@cache
def marked_kinds() -> list[str]:
    """The kinds of exercise whose answers a mentor marks."""
    return [slug for slug in REGISTERED if kind_named(slug).is_marked]


def markable(user):
    """What was handed in to be marked where the person teaches; never their own."""
    return Attempt.objects.filter(
        state=Attempt.State.HANDED_IN,
        preview=False,
        revision__exercise__in=Exercise.objects.editable_by(user),
        revision__exercise__kind__in=marked_kinds(),
    ).exclude(trainee=user)


def _marks(**what) -> Exists:
    return Exists(Mark.objects.filter(attempt=OuterRef("pk"), **what))


def _free(part) -> Exists:
    """A draft of nobody, or of somebody who teaches there no more: another mentor may take it."""
    teaches = Membership.objects.filter(
        club=OuterRef("attempt__revision__exercise__club"),
        user=OuterRef("marker"),
        role=Role.MENTOR,
    )
    gone = Q(marker=None) | Q(~Exists(teaches), marker__is_staff=False)
    drafts = Mark.objects.filter(part=part, state=Mark.State.DRAFT)
    return Exists(drafts.filter(gone, attempt=OuterRef("pk")))


def _waiting(user) -> Q:
    first = Mark.Part.FIRST
    return Q(~_marks(part=first) | _free(first))


def _mine(user) -> Q:
    return Q(_marks(marker=user), ~_marks(returned_at__isnull=False))


def _second(user) -> Q:
    return Q(_free(Mark.Part.SECOND), ~_marks(part=Mark.Part.FIRST, marker=user))


def _returned(user) -> Q:
    return Q(_marks(returned_at__isnull=False))


LISTS = {
    "waiting": _waiting,
    "mine": _mine,
    "second": _second,
    "returned": _returned,
}


def counts(user) -> dict[str, int]:
    """How many pieces stand in each list, in one query."""
    return markable(user).aggregate(
        **{name: Count("pk", filter=asked(user)) for name, asked in LISTS.items()}
    )


def listed(user, name: str):
    """The pieces of one list; what has waited longest first, what was returned last first."""
    found = markable(user).filter(LISTS[name](user))
    order = ["-handed_in_at", "-pk"] if name == "returned" else ["handed_in_at", "pk"]
    return (
        found.order_by(*order)
        .select_related("trainee", "revision__exercise__module__breed")
        .defer("shown", "answer", "revision__content", "revision__key")
        .prefetch_related("marks__marker")
    )
