"""The start page: one thing to do next, two others, the latest results, and the modules to read.

Every query is about one person, or about the classes of their clubs; none walks over attempts of others.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import islice

from django.db.models import Count, Q, Sum
from django.urls import reverse
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from quizzes.models import Attempt, Revision
from trainer.clubs.models import Club
from trainer.study import reading

LATEST = 3


@dataclass(frozen=True)
class Suggestion:
    """Something to do: what, more about it, the words on its button, where, and a mark for the margin."""

    title: str
    note: str
    action: str
    url: str
    mark: str


def start_page(user) -> dict:
    """The context of the start page of a person who is signed in."""
    modules = list(reading.revisions_for_list(user))
    latest = list(Attempt.objects.owned_by(user).for_list()[:LATEST])
    taught = set(Club.objects.taught_by(user).values_list("pk", flat=True))
    chosen = list(islice(suggestions(user, modules, latest, taught), 3))
    return {
        "suggestion": chosen[0] if chosen else None,
        "others": chosen[1:],
        "latest": latest,
        "modules": modules,
        "desk": desk(user) if taught else None,
        "belongs": bool(chosen) or Club.objects.joined_by(user).exists(),
    }


def suggestions(user, modules, latest, taught):
    """What could be done next, the most useful first.

    modules : the revisions in force that the person can read
    latest : the attempts handed in last
    taught : ids of the clubs in which the person is a mentor
    """
    handed_in = _handed_in_by_exercise(user)
    yield from _attempts_to_go_on_with(user)
    if taught:
        yield from _drafts_to_finish(user)
    yield from _classes_to_place(user, begun=handed_in)
    if any(revision.module.club_id in taught for revision in modules):
        yield _new_class()
    if modules:
        revision = _module_in_hand(modules, latest)
        yield from _priorities_to_read(revision, placed=sum(handed_in.values()))
        yield _rehearsal(revision)


def _handed_in_by_exercise(user) -> dict[int, int]:
    """How often the person handed in each class of a club they have begun, by its id."""
    handed_in = Count("pk", filter=Q(state=Attempt.State.HANDED_IN))
    shared = Attempt.objects.owned_by(user).filter(
        revision__exercise__practice_for=None
    )
    begun = shared.values_list("revision__exercise")
    return dict(begun.annotate(n=handed_in).order_by())


def _attempts_to_go_on_with(user):
    begun = Attempt.objects.owned_by(user).filter(state=Attempt.State.OPEN)
    for attempt in begun.for_player().defer("revision__content", "revision__key")[:1]:
        yield Suggestion(
            title=attempt.revision.title,
            note=_("%(breed)s. You have begun it; your placing is as you left it.")
            % {"breed": attempt.revision.exercise.module.breed},
            action=_("Go on placing"),
            url=attempt.get_absolute_url(),
            mark="compare",
        )


def _drafts_to_finish(user):
    """The draft this mentor wrote at last."""
    drafts = Revision.objects.editable_by(user).for_list().order_by("-edited_at")
    for draft in drafts.filter(state=Revision.State.DRAFT, edited_by=user)[:1]:
        yield Suggestion(
            title=draft.title,
            note=_("%(breed)s. Your draft, not published yet.")
            % {"breed": draft.exercise.module.breed},
            action=_("Go on writing"),
            url=reverse("quizzes:exercise-manage", args=[draft.exercise_id]),
            mark="cut",
        )


def _new_class():
    return Suggestion(
        title=_("Make a class"),
        note=_("Describe a few dogs, put them in order, say why."),
        action=_("New class"),
        url=reverse("quizzes:placing-new"),
        mark="plus",
    )


def _classes_to_place(user, begun):
    """The smallest class in force that the person has neither begun nor made."""
    revisions = Revision.objects.visible_to(user).shared().for_list()
    untouched = revisions.exclude(exercise__in=list(begun))
    others = untouched.exclude(exercise__made_by=user)
    for revision in others.order_by("size", "pk")[:1]:
        dogs = ngettext("%(n)s dog", "%(n)s dogs", revision.size) % {"n": revision.size}
        yield Suggestion(
            title=revision.title,
            note=_("%(breed)s. A class to place: %(dogs)s, %(difficulty)s.")
            % {
                "breed": revision.exercise.module.breed,
                "dogs": dogs,
                "difficulty": revision.get_difficulty_display(),
            },
            action=_("Look at the class"),
            url=revision.exercise.get_absolute_url(),
            mark="compare",
        )


def _module_in_hand(modules, latest):
    """The module of the class placed last, if it can still be read; else the first."""
    by_module = {revision.module_id: revision for revision in modules}
    recent = (attempt.revision.exercise.module_id for attempt in latest)
    return next((by_module[pk] for pk in recent if pk in by_module), modules[0])


def _priorities_to_read(revision, placed):
    """One priority: after each class that was placed the next one down the ranks, then from the top."""
    found = reading.document_of(revision.pk, revision.published_at).priorities
    if not found:
        return
    priority = found[placed % len(found)]
    yield Suggestion(
        title=priority.name,
        note=_("%(breed)s. Priority %(number)s of %(all)s: look for, feel for, why.")
        % {
            "breed": revision.module.breed,
            "number": priority.number,
            "all": len(found),
        },
        action=_("Read it"),
        url=reverse("study:priority-detail", args=[revision.module_id, priority.slug]),
        mark="eye",
    )


def _rehearsal(revision):
    where = revision.get_examined_display()
    return Suggestion(
        title=_("Rehearse the examination"),
        note=_("%(breed)s. %(where)s, step by step.")
        % {"breed": revision.module.breed, "where": capfirst(where)},
        action=_("Begin"),
        url=reverse("study:examination", args=[revision.module_id]),
        mark="hand",
    )


def desk(user) -> dict:
    """How many drafts, classes in force and placings there are where the person teaches.

    The placings are added up from the running counts of the revisions.
    """
    state = Revision.State
    counts = Revision.objects.editable_by(user).aggregate(
        drafts=Count("pk", filter=Q(state=state.DRAFT)),
        in_force=Count("pk", filter=Q(state=state.PUBLISHED)),
        placings=Sum("handed_in"),
    )
    return {**counts, "placings": counts["placings"] or 0}
