"""Exercises of pairs, as the demo's module offers them."""

import random

from django.utils import timezone

from quizzes.attempts import begin, hand_in
from quizzes.demo_pairs import chosen_by, content_of
from quizzes.kinds.two.content import PairsContent
from tests.factories import ExerciseFactory, RevisionFactory, UserFactory
from tests.material import drawn_module

BLADE = {"asks": "forehand:F1", "down": 2, "pairs": 24}


def pairs(club, document=BLADE, module=None, **more):
    """Pairs of the club in force."""
    module = module or drawn_module(club, UserFactory())
    content = content_of(module.revisions.in_force().get(), document)
    exercise = ExerciseFactory(module=module, kind="two")
    given = {"content": content.document(), "key": {}, "size": content.pairs} | more
    return RevisionFactory(exercise=exercise, **given)


def opened(revision, trainee, seed=1):
    return begin(revision, by=trainee, now=timezone.now(), rng=random.Random(seed))


def answered(revision, trainee, seed=1, share=0.3):
    """An attempt that is handed in, by somebody who sees that share of the largest difference."""
    attempt = opened(revision, trainee, seed)
    content = PairsContent.read(revision.content)
    answer = chosen_by(content, attempt.shown, share, random.Random(seed))
    return hand_in(attempt, now=timezone.now(), answer=answer)
