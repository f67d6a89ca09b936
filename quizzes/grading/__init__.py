"""Grading a placing against a key: plain values in, plain values out.

``grade`` compares one ``Answer`` with a ``Key``; ``grade_many`` does the same for many
answers as arrays; ``quizzes.grading.sheet`` reads and writes tables of them.
"""

from quizzes.grading.batch import (
    AnswerArrays,
    GradeArrays,
    encode,
    grade,
    grade_many,
    order_matrix,
)
from quizzes.grading.chance import OneIn, one_in
from quizzes.grading.cuts import (
    largest_fitting,
    mean_random_score,
    room_in_cuts,
    worst_loss,
)
from quizzes.grading.model import RULINGS, Answer, Grade, Key, Pair, Rulings
from quizzes.grading.problems import AnswerProblem, KeyProblem, Problem

__all__ = [
    "RULINGS",
    "Answer",
    "AnswerArrays",
    "AnswerProblem",
    "Grade",
    "GradeArrays",
    "Key",
    "KeyProblem",
    "OneIn",
    "Pair",
    "Problem",
    "Rulings",
    "encode",
    "grade",
    "grade_many",
    "largest_fitting",
    "mean_random_score",
    "one_in",
    "order_matrix",
    "room_in_cuts",
    "worst_loss",
]
