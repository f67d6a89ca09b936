"""The trainee's pages that all kinds of exercise share."""

import json
import random

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.db.models import Case, F, Value, When
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from quizzes import attempts
from quizzes.kinds import REGISTERED, kind_named, kind_of
from quizzes.models import Attempt, Revision
from quizzes.models.attempts import in_assessment
from quizzes.start import begun_row
from trainer.clubs.models import reached_by
from trainer.study.reading import readable_by

PER_PAGE = 25
KINDS_IN_ORDER = Case(
    *(When(exercise__kind=slug, then=at) for at, slug in enumerate(REGISTERED)),
    default=Value(len(REGISTERED)),
)
# A breed can have a module in two clubs, under the same short name.
BY_MODULE = (
    "exercise__module",
    "exercise__module_id",
    KINDS_IN_ORDER,
    "size",
    "pk",
)


def page_of(request, queryset, count=None):
    """The page of the list that the address asks for; the nearest one if there is none such.

    count : how many rows there are, where that is known already
    """
    paginator = Paginator(queryset, PER_PAGE)
    if count is not None:
        paginator.count = count
    return paginator.get_page(request.GET.get("page"))


def page_of_attempts(request, mine, count=None):
    """A page of attempts handed in, each row with its grade."""
    page = page_of(request, mine.rows(), count)
    page.object_list = attempts.with_grades(page.object_list)
    return page


@require_safe
def exercise_list(request):
    """Classes in force, by module, with how often the person has handed each in."""
    revisions = Revision.objects.shared_with(request.user)
    kinds = list(
        revisions.order_by().values_list("exercise__kind", flat=True).distinct()
    )
    wanted = request.GET.get("kind", "")
    if wanted in kinds:
        revisions = revisions.filter(exercise__kind=wanted)
    rows = revisions.rows(module=F("exercise__module"))
    page = page_of(request, rows.order_by(*BY_MODULE))
    exercises = [row["exercise_id"] for row in page]
    mine = Attempt.objects.owned_by(request.user)
    done = mine.filter(revision__exercise__in=exercises).done_by_exercise()
    for row in page:
        handed_in, row["open"] = done.get(row["exercise_id"], (0, 0))
        kind = kind_named(row["kind"])
        row["label"] = kind.label
        row["about"], row["done"] = kind.about(row), kind.done(handed_in)
    context = {
        "page": page,
        "kinds": [
            (slug, kind_named(slug).label) for slug in REGISTERED if slug in kinds
        ],
        "wanted": wanted if wanted in kinds else "",
        "can_practise": bool(exercises) or readable_by(request.user).exists(),
        "belongs": bool(reached_by(request.user)),
        "made": [begun_row(attempt) for attempt in mine.practice().begun()],
    }
    return render(request, "quizzes/exercise_list.html", context)


@require_safe
def exercise_detail(request, pk):
    """Before a class is begun: what it is, and one's own attempts at it."""
    known = Revision.objects.known_to(request.user).filter(exercise=pk)
    rows = known.rows(
        "pk",
        "note",
        "state",
        club=F("exercise__club__name"),
        mentors=F("key__panel__mentors"),
        hand_later=F("content__hand_later"),
        picture_goes=F("content__picture_goes"),
        ask_reasons=F("content__ask_reasons"),
        kept_back=F("exercise__kept_back"),
    )
    revision = rows.first()
    if revision is None:
        raise Http404
    withdrawn = revision["state"] == Revision.State.WITHDRAWN
    mine = Attempt.objects.owned_by(request.user).filter(revision__exercise=pk)
    handed_in, still_open = mine.done_by_exercise().get(pk, (0, 0))
    kind = kind_named(revision["kind"])
    page = page_of_attempts(request, mine, handed_in)
    context = {
        "revision": revision,
        "kind": kind,
        "words": kind.words,
        "plain": not any(_has_chance(row["own_grade"]) for row in page),
        "before": f"quizzes/{kind.slug}/_before.html",
        "level": Revision.Difficulty(revision["difficulty"]).label,
        "open": still_open,
        "kept_back": revision["kept_back"],
        "asked": in_assessment(request.user).filter(revision__exercise=pk).exists(),
        "withdrawn": withdrawn,
        "to_finish": withdrawn and mine.filter(state=Attempt.State.OPEN).first(),
        "page": page,
    }
    return render(request, "quizzes/exercise_detail.html", context)


def _has_chance(grade) -> bool:
    """Whether anything can be said of an answer at random."""
    return grade is not None and grade.chance is not None


@require_POST
def attempt_begin(request, pk):
    """Open a new attempt, or go on with the one that is open."""
    revision = get_object_or_404(Revision.objects.visible_to(request.user), exercise=pk)
    try:
        attempt = attempts.begin(
            revision, by=request.user, now=timezone.now(), rng=random.SystemRandom()
        )
    except attempts.InAssessment as refusal:
        messages.error(request, refusal.messages[0])
        return redirect("quizzes:exercise-detail", pk=pk)
    return redirect("quizzes:attempt-answer", pk=attempt.pk)


def open_attempt(request, pk):
    mine = Attempt.objects.answerable_by(request.user).for_player()
    return get_object_or_404(mine, pk=pk)


def in_try_elsewhere(attempt):
    """The page of the assessment in the place of an item's, once its time is up."""
    in_try = attempt.assessment_try
    if in_try is None or not in_try.is_over(timezone.now()):
        return None
    return redirect("quizzes:try", pk=in_try.pk)


@require_safe
def attempt_answer(request, pk):
    """The page on which the kind of exercise is answered."""
    attempt = open_attempt(request, pk)
    if attempt.is_handed_in:
        return redirect("quizzes:attempt-result", pk=pk)
    if elsewhere := in_try_elsewhere(attempt):
        return elsewhere
    return kind_of(attempt.revision).answer_page(request, attempt)


@require_POST
def attempt_hand_in(request, pk):
    """Hand in once: a second press finds the first one's result."""
    attempt = open_attempt(request, pk)
    kind = kind_of(attempt.revision)
    try:
        answer = json.loads(request.POST.get("answer") or "null")
        attempts.hand_in(attempt, now=timezone.now(), answer=answer)
    except (json.JSONDecodeError, RecursionError):
        errors = [
            _("Your placing did not arrive whole. Check it and hand it in again.")
        ]
        return kind.answer_page(
            request, open_attempt(request, pk), errors=errors, status=422
        )
    except ValidationError as error:
        attempt = open_attempt(request, pk)
        return kind.answer_page(request, attempt, errors=error.messages, status=422)
    return redirect("quizzes:attempt-result", pk=pk)


def not_told(request, attempt):
    """Where somebody is sent whose own assessment keeps this result from them, or who has none; else None."""
    is_own = attempt.trainee_id == request.user.pk
    if attempt.withheld and (is_own or attempt.own_grade is None):
        name = "quizzes:try" if is_own else "quizzes:assessment-try"
        return redirect(name, pk=attempt.assessment_try_id)
    if is_own and not attempt.may_tell(request.user):
        exercise = attempt.revision.exercise_id
        return redirect("quizzes:exercise-detail", pk=exercise)
    return None


@require_safe
def attempt_result(request, pk):
    """The grade explained: one's own, or a trainee's for a mentor of the club."""
    attempt = get_object_or_404(
        Attempt.objects.visible_to(request.user).for_result(), pk=pk
    )
    if not attempt.is_handed_in:
        return redirect("quizzes:attempt-answer", pk=pk)
    if untold := not_told(request, attempt):
        return untold
    return kind_of(attempt.revision).result_page(request, attempt, attempt.grades.all())
