"""Assessments with a class to place and sheets, and tries at them."""

import random
from datetime import timedelta

from django.utils import timezone

from quizzes.assessments import drafting, tries
from quizzes.models import Assessment, Attempt
from tests.factories import ModuleFactory
from tests.placing import placing_class
from tests.sheets import sheet

WISH = {"size": 4, "sex": "dog", "difficulty": "plain"}


def assessment(club, *exercises, mentor=None, opened=True, module=None, **settings):
    """An open assessment of a class and a sheet, twenty minutes, one try, released by a mentor, unless said."""
    module = module or ModuleFactory(club=club)
    given = {"title": "Spring assessment", "minutes": 20, "pass_per_cent": 60}
    made = drafting.new(module, by=mentor, **(given | settings))
    if not exercises:
        exercises = (
            placing_class(club, module=module).exercise,
            sheet(club, module=module).exercise,
        )
    for one in exercises:
        drafting.add(made, exercise=one)
    if opened:
        drafting.open_it(made)
        made.refresh_from_db()
    return made


def begun(found, person, *, now=None, ago=0):
    """A try at it; begun some minutes ago."""
    now = (now or timezone.now()) - timedelta(minutes=ago)
    return tries.begin(found, by=person, now=now, rng=random.Random(1))


def at(a_try, number) -> Attempt:
    """The attempt at that item, from 1."""
    attempts = Attempt.objects.filter(assessment_try=a_try)
    ordered = attempts.order_by("assessment_item__number").select_related(
        "revision__exercise"
    )
    return ordered[number - 1]


AT_ONCE = Assessment.Release.AT_ONCE
