"""The start page: one thing to do next, two others, the latest results, and the modules to read.

Every query is about one person, or about the classes of their clubs; none walks over attempts of others.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import islice

from django.db.models import Case, Count, F, Max, Q, Sum, Value, When
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.text import capfirst
from django.utils.timezone import localtime, now
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from quizzes.attempts import with_grades
from quizzes.kinds import kind_named
from quizzes.marking.queue import markable, marked_kinds
from quizzes.models import Assessment, Attempt, Revision
from quizzes.models.attempts import in_assessment
from quizzes.review import telling
from quizzes.review.standing import standing
from trainer.clubs.models import Club, Invitation, Role, reached_by
from trainer.study import reading
from trainer.study.models import ModuleRevision

LATEST = 3
DUE = 3
BEFORE_A_CRITIQUE = 3
"""Handed in before a critique is suggested; each one more round of as many classes brings the next."""
EASIEST_FIRST = Case(
    *(When(difficulty=level, then=at) for at, level in enumerate(Revision.Difficulty)),
    default=Value(len(Revision.Difficulty)),
)


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
    mine = Attempt.objects.owned_by(user)
    modules = list(reading.revisions_for_list(user))
    begun = list(mine.begun())
    latest = list(
        mine.finished().values_list("pk", "revision__exercise__module")[:LATEST]
    )
    taught = set(reached_by(user, Role.MENTOR))
    placed = mine.shared().done_by_exercise()
    run = clubs_run(user)
    organises_only = run and not taught and not reached_by(user, Role.TRAINEE)
    trains = not (taught or organises_only)
    due = telling.what_is_due(user, now(), modules) if trains else []
    rewarded = telling.what_is_rewarded(user, modules) if trains else []
    if organises_only:
        found = _to_organise(run[0])
    else:
        found = suggestions(user, modules, begun, latest, placed, taught, due, rewarded)
    chosen = list(islice(found, 3))
    stands = standing(user, modules, rewarded) if trains else {}
    return {
        "suggestion": chosen[0] if chosen else None,
        "others": chosen[1:],
        "due": due[1 : 1 + DUE],
        "due_in_all": len(due),
        "begun": [begun_row(attempt) | {"drop": None} for attempt in begun[1:]],
        "latest": [pk for pk, _module in latest],
        "latest_rows": lambda: with_grades(mine.rows()[:LATEST]),
        "modules": [
            row | {"stands": stands.get(row["module_id"], "")} for row in modules
        ],
        "desk": desk(user) if taught else None,
        "clubs_run": run[1:] if organises_only else run,
        "teaches": bool(taught),
        "belongs": bool(reached_by(user)),
    }


def suggestions(user, modules, begun, latest, placed, taught, due, rewarded):
    """What could be done next, the most useful first.

    modules : rows of the revisions in force that the person can read
    begun : rows of the attempts to go on with
    latest : pairs of attempt and module, of what was handed in last
    placed : for each class of a club that was begun, attempts handed in and attempts open
    taught : ids of the clubs in which the person is a mentor
    due : what the person should look at again (review.telling.Due)
    rewarded : what their placings reward, by module (review.telling.Told)
    """
    handed_in = sum(done for done, _still_open in placed.values())
    is_new = bool(modules) and not (taught or handed_in)
    assessment = _assessment(user, taught)
    asked = [_assessment_said(assessment)] if assessment else []
    # Somebody new reads before being examined; a clock that runs does not wait.
    reads_first = is_new and not (assessment and assessment["open_try"])
    if not reads_first:
        yield from asked
    yield from map(_go_on, begun[:1])
    if taught:
        yield from _drafts_to_finish(user)
        yield from _modules_to_finish(user)
        yield from _trainees_to_invite(user, taught)
    elif is_new:
        yield from _first_reading(modules[0])
        yield from asked if reads_first else ()
    else:
        yield from _to_come_back_to(due)
        yield from _aimed_class(rewarded)
    yield from _classes_to_place(user, placed, handed_in, teaches=bool(taught))
    if any(row["club_id"] in taught for row in modules):
        yield _new_class()
    if modules:
        row = _module_in_hand(modules, latest)
        if taught or handed_in:
            yield from _priorities_to_read(row, placed=handed_in)
        yield _rehearsal(row)


def begun_row(attempt) -> dict:
    """An attempt to go on with, as a row with the day it was begun in the margin.

    What was made for the person alone can be deleted.
    """
    about = kind_named(attempt["kind"]).about({"pace_seconds": None, **attempt})
    own = attempt["practice_for"]
    return {
        "margin": date_format(localtime(attempt["started_at"]), "j M"),
        "title": attempt["title"],
        "url": reverse("quizzes:attempt-answer", args=[attempt["pk"]]),
        "note": f"{attempt['breed']}. {about}",
        "drop": own and reverse("quizzes:practice-drop", args=[attempt["pk"]]),
    }


def _go_on(attempt):
    words = kind_named(attempt["kind"]).words
    return Suggestion(
        title=attempt["title"],
        note=f"{attempt['breed']}. {words.as_left}",
        action=words.go_on_short,
        url=reverse("quizzes:attempt-answer", args=[attempt["pk"]]),
        mark="compare",
    )


def _assessment(user, taught):
    """The assessment that the person has begun, or one that is open and not begun yet; None without either."""
    found = Assessment.objects.visible_to(user).exclude(module__club__in=taught)
    own = Q(all_tries__person=user)
    rows = found.annotate(
        open_try=Max("all_tries", filter=own & Q(all_tries__handed_in_at=None)),
        begun=Count("all_tries", filter=own),
    )
    to_begin = Q(pk__in=Assessment.objects.open_now(now()).values("pk"), begun=0)
    rows = rows.filter(Q(open_try__isnull=False) | to_begin)
    in_order = rows.order_by(F("open_try").desc(nulls_last=True), "pk")
    return in_order.values("pk", "title", "open_try", "module__breed__name").first()


def _assessment_said(row):
    """The clock of one that is begun goes on whatever else its person does."""
    if row["open_try"]:
        note, action = _("%(breed)s. An assessment that you have begun."), _("Go on")
        url = reverse("quizzes:try", args=[row["open_try"]])
    else:
        note, action = _("%(breed)s. An assessment that is open."), _("Look at it")
        url = reverse("quizzes:assessment", args=[row["pk"]])
    return Suggestion(
        title=row["title"],
        note=note % {"breed": row["module__breed__name"]},
        action=action,
        url=url,
        mark="compare",
    )


def _drafts_to_finish(user):
    """The draft this mentor wrote at last."""
    drafts = Revision.objects.editable_by(user).rows().order_by("-edited_at")
    for draft in drafts.filter(state=Revision.State.DRAFT, edited_by=user)[:1]:
        yield Suggestion(
            title=draft["title"],
            note=_("%(breed)s. Your draft, not published yet.")
            % {"breed": draft["breed"]},
            action=_("Go on writing"),
            url=reverse("quizzes:exercise-manage", args=[draft["exercise_id"]]),
            mark="cut",
        )


def _modules_to_finish(user):
    """The draft of a module that this mentor wrote."""
    drafts = ModuleRevision.objects.editable_by(user).filter(author=user)
    for draft in drafts.order_by("-pk").values("module_id", "title")[:1]:
        yield Suggestion(
            title=draft["title"],
            note=_("Your draft of a module, not published yet."),
            action=_("Go on writing"),
            url=reverse("desk:module", args=[draft["module_id"]]),
            mark="cut",
        )


def _trainees_to_invite(user, taught):
    """A club with classes in force, run by this mentor, that nobody trains in and no link is open for."""
    waiting = Invitation.objects.open(now()).filter(role=Role.TRAINEE)
    clubs = Club.objects.run_by(user).filter(
        pk__in=taught,
        exercises__in=Revision.objects.in_force().shared().values("exercise"),
    )
    clubs = clubs.exclude(memberships__role=Role.TRAINEE)
    clubs = clubs.exclude(invitations__in=waiting).distinct().order_by("name")
    for club in clubs[:1]:
        yield Suggestion(
            title=_("Invite trainees"),
            note=_("%(club)s has classes to place and nobody to place them yet.")
            % {"club": club},
            action=_("Make a link"),
            url=f"{club.get_absolute_url()}#invitations",
            mark="plus",
        )


def _to_organise(club):
    """What somebody does who runs clubs and neither teaches nor trains."""
    there = reverse("clubs:club-detail", args=[club["slug"]])
    people = ngettext("%(n)s person", "%(n)s people", club["people"])
    values = {"club": club["name"], "n": club["people"]}
    yield Suggestion(
        title=_("Invite people"),
        note=_("%(club)s. A link for each mentor, one link for a group of trainees.")
        % values,
        action=_("Make a link"),
        url=f"{there}#invitations",
        mark="plus",
    )
    yield Suggestion(
        title=_("People and their roles"),
        note=f"{club['name']}. {people % values}.",
        action=_("Look"),
        url=f"{there}#people",
        mark="eye",
    )
    yield Suggestion(
        title=_("Grade paper cards"),
        note=_("After a study day: a room's placings, from two tables."),
        action=_("Grade"),
        url=reverse("quizzes:paper"),
        mark="compare",
    )


def _new_class():
    return Suggestion(
        title=_("Make a class"),
        note=_("Describe a few dogs, put them in order, say why."),
        action=_("New class"),
        url=reverse("quizzes:placing-new"),
        mark="plus",
    )


def _classes_to_place(user, begun, handed_in, *, teaches):
    """The plainest and smallest in force that the person has neither begun nor made.

    A critique comes after the first classes, and then between classes.
    """
    others = Revision.objects.shared_with(user).exclude(exercise__in=list(begun))
    others = others.exclude(exercise__in=in_assessment(user))
    if teaches:
        others = others.exclude(exercise__made_by=user)
    to_write = Q(exercise__kind__in=marked_kinds())
    if handed_in < BEFORE_A_CRITIQUE:
        others = others.exclude(to_write)
    its_turn = handed_in % (BEFORE_A_CRITIQUE + 1) == BEFORE_A_CRITIQUE
    turn = Case(When(to_write, then=0 if its_turn else 2), default=1)
    for row in others.order_by(turn, EASIEST_FIRST, "size", "pk").rows()[:1]:
        kind = kind_named(row["kind"])
        dogs = kind.counted % {"n": row["size"]}
        yield Suggestion(
            title=row["title"],
            note=kind.words.suggested
            % {
                "breed": row["breed"],
                "dogs": dogs,
                "difficulty": Revision.Difficulty(row["difficulty"]).label,
            },
            action=kind.words.look,
            url=reverse("quizzes:exercise-detail", args=[row["exercise_id"]]),
            mark="compare",
        )


def _to_come_back_to(due):
    """What has been due longest: a priority is practised on a class made for the person."""
    for one in due[:1]:
        to_practise = f"{reverse('quizzes:practice-new')}?module={one.module_id}"
        yield Suggestion(
            title=one.title,
            note=_("Due again. %(went)s") % {"went": one.note},
            action=_("Place a class") if one.is_priority else _("Answer it again"),
            url=to_practise if one.is_priority else one.url,
            mark="clock",
        )


def _aimed_class(rewarded):
    """A class that turns on the priority in which the person's placings depart most from the mentor's weights."""
    for told in rewarded:
        if told.farthest:
            yield Suggestion(
                title=_("A class that turns on %(name)s")
                % {"name": told.farthest.priority.name.lower()},
                note=telling.departure_said(told.farthest),
                action=_("Make one"),
                url=f"{reverse('quizzes:practice-new')}?module={told.module_id}",
                mark="cut",
            )
            return


def _first_reading(row):
    """Where somebody begins who has handed nothing in: the first lesson, else the first priority."""
    lessons = reading.document_of(row["pk"], row["published_at"]).lessons
    for lesson in lessons[:1]:
        yield Suggestion(
            title=lesson.name,
            note=_("%(breed)s. The first lesson: begin here.")
            % {"breed": row["breed"]},
            action=_("Read it"),
            url=reverse("study:lesson-detail", args=[row["module_id"], lesson.slug]),
            mark="eye",
        )
    if not lessons:
        yield from _priorities_to_read(row, placed=0)


def _module_in_hand(modules, latest):
    """The module of the class placed last, if it can still be read; else the first."""
    by_module = {row["module_id"]: row for row in modules}
    recent = (by_module[module] for _attempt, module in latest if module in by_module)
    return next(recent, modules[0])


def _priorities_to_read(row, placed):
    """One priority: after each class that was placed the next one down the ranks, then from the top."""
    found = reading.document_of(row["pk"], row["published_at"]).priorities
    if not found:
        return
    priority = found[placed % len(found)]
    yield Suggestion(
        title=priority.name,
        note=_("%(breed)s. Priority %(number)s of %(all)s: look for, feel for, why.")
        % {
            "breed": row["breed"],
            "number": priority.number,
            "all": len(found),
        },
        action=_("Read it"),
        url=reverse("study:priority-detail", args=[row["module_id"], priority.slug]),
        mark="eye",
    )


def _rehearsal(row):
    where = ModuleRevision.Where(row["examined"]).label
    return Suggestion(
        title=_("Rehearse the examination"),
        note=_("%(breed)s. %(where)s, step by step.")
        % {"breed": row["breed"], "where": capfirst(where)},
        action=_("Begin"),
        url=reverse("study:examination", args=[row["module_id"]]),
        mark="hand",
    )


def clubs_run(user) -> list[dict]:
    """The clubs in which the person is an organiser, with how many people belong to each."""
    ran = reached_by(user, Role.ORGANISER)
    if user.is_staff or not ran:
        return []
    clubs = Club.objects.filter(pk__in=ran).order_by("name")
    people = Count("memberships__user", distinct=True)
    return list(clubs.values("name", "slug").annotate(people=people))


def desk(user) -> dict:
    """How many drafts, classes in force, placings and critiques to mark there are where the person teaches.

    The placings are added up from the running counts of the revisions.
    """
    state = Revision.State
    classes = Revision.objects.editable_by(user).exclude(
        exercise__kind__in=marked_kinds()
    )
    counts = classes.aggregate(
        drafts=Count("pk", filter=Q(state=state.DRAFT)),
        in_force=Count("pk", filter=Q(state=state.PUBLISHED)),
        placings=Sum("handed_in"),
    )
    written = ModuleRevision.objects.editable_by(user).count()
    return {
        **counts,
        "placings": counts["placings"] or 0,
        "modules": written,
        "to_mark": markable(user).filter(marks=None).count(),
    }
