"""Classes from a mentor's priorities: plain values in, the documents of a class out.

``make_class`` makes one from a seed; ``twin`` shows the same class again in another
coat; ``overrule`` changes levels and derives the rest anew, ``told_from_levels`` draws
and words dogs that were given levels by hand. Pure computing, no framework.
"""

from quizzes.generator.classes import levels_of, make_class
from quizzes.generator.difficulty import (
    STANDARD,
    TARGETS,
    Trainee,
    certainty,
    expected_share,
    pair_chances,
)
from quizzes.generator.drawing import in_words_only, needs_head_study
from quizzes.generator.keys import certainties
from quizzes.generator.overruling import overrule
from quizzes.generator.telling import told_from_levels
from quizzes.generator.twins import twin
from quizzes.generator.wishes import (
    Changes,
    MadeClass,
    ModuleFault,
    Note,
    Priority,
    Wish,
    WishProblem,
)
from quizzes.grading.weights import rank_order_centroid

__all__ = [
    "STANDARD",
    "TARGETS",
    "Changes",
    "MadeClass",
    "ModuleFault",
    "Note",
    "Priority",
    "Trainee",
    "Wish",
    "WishProblem",
    "certainties",
    "certainty",
    "expected_share",
    "in_words_only",
    "levels_of",
    "make_class",
    "needs_head_study",
    "overrule",
    "pair_chances",
    "rank_order_centroid",
    "told_from_levels",
    "twin",
]
