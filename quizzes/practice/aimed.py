"""A class that turns on what a person rewards otherwise than the mentor, where enough is known of it."""

from __future__ import annotations

import random
from dataclasses import replace

from quizzes.generator import Wish, WishProblem, levels_of
from quizzes.models import Rewarded
from quizzes.practice import material
from quizzes.review import aiming
from quizzes.review.rewarding import beside, farthest
from trainer.study.reading import Document

CANDIDATES = 8


def aimed_at(user, document: Document, wish: Wish, rng: random.Random) -> Wish:
    """The wish with the seed of the class that teaches this person most; unchanged while too little is known."""
    row = Rewarded.objects.owned_by(user).filter(module=document.module).first()
    rows = beside(row, document.priorities)
    if farthest(rows) is None:
        return wish
    wishes = [
        wish,
        *(replace(wish, seed=rng.getrandbits(48)) for _ in range(CANDIDATES - 1)),
    ]
    priorities = material.priorities_of(document.priorities)
    try:
        levels = [levels_of(priorities, one).levels for one in wishes]
    except WishProblem:
        return wish  # making the class says what is wrong
    mentor, own = [one.mentor for one in rows], [one.own.share for one in rows]
    return wishes[aiming.best(levels, mentor, own)]
