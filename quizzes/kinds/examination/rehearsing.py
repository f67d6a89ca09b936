"""From memory, begun from a module's examination: a mentor's exercise if there is one, else one made for the person."""

from __future__ import annotations

import random

from allauth.decorators import rate_limit
from django.db import transaction
from django.http import Http404
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from quizzes import attempts
from quizzes.kinds.examination.content import FEWEST_TO_ORDER
from quizzes.kinds.examination.taking import taken
from quizzes.models import Attempt, Exercise, Revision
from quizzes.models.attempts import in_assessment
from quizzes.practice.services import opened
from trainer.study import reading

KIND = "examination"


@require_POST
@rate_limit(action="another_class")
def from_memory(request, pk):
    """Begin, or go on with, the module's examination from memory."""
    document = reading.document(request.user, pk)
    if document is None or len(document.steps) < FEWEST_TO_ORDER:
        raise Http404
    attempt = begun_for(
        request.user, document, now=timezone.now(), rng=random.SystemRandom()
    )
    return redirect("quizzes:attempt-answer", pk=attempt.pk)


@transaction.atomic
def begun_for(user, document, *, now, rng) -> Attempt:
    """The person's open attempt; else one at the mentor's exercise they did least often; else at one of their own."""
    of_module = {
        "revision__exercise__kind": KIND,
        "revision__exercise__module": document.module.pk,
    }
    mine = Attempt.objects.owned_by(user).filter(**of_module)
    begun = mine.filter(state=Attempt.State.OPEN).order_by("-started_at").first()
    if begun:
        return begun
    shared = Revision.objects.shared_with(user).filter(
        exercise__kind=KIND, exercise__module=document.module.pk
    )
    shared = shared.exclude(exercise__in=in_assessment(user))
    done = mine.done_by_exercise()
    revision = min(
        shared.defer("key"),
        key=lambda one: (done.get(one.exercise_id, [0])[0], one.pk),
        default=None,
    )
    if revision:
        return attempts.begin(revision, by=user, now=now, rng=rng)
    return made_for(user, document, now=now, rng=rng)


def made_for(user, document, *, now, rng) -> Attempt:
    """An exercise for this person alone, from the module as it is in force."""
    content, key = taken(document.revision, rng)
    exercise = Exercise(
        module=document.module, kind=KIND, made_by=user, practice_for=user
    )
    return opened(
        exercise,
        by=user,
        now=now,
        rng=rng,
        module_revision=document.revision,
        title=_("The examination from memory"),
        content=content.document(),
        key=key.document(),
        size=len(content.steps),
    )
