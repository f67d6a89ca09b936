"""What is asked, how it was answered and graded, and what classes are made from."""

from quizzes.models.assessed import (
    Allowance,
    Assessment,
    AssessmentItem,
    AssessmentTry,
    LateAnswer,
)
from quizzes.models.attempts import Attempt, Grade, Tally
from quizzes.models.drawn import Build, Drawing, LibraryDog
from quizzes.models.exercises import Exercise, Revision, protect_unless_practice
from quizzes.models.judged import Mark, Panel, PanelKey
from quizzes.models.reviewed import Review, Rewarded

__all__ = [
    "Allowance",
    "Assessment",
    "AssessmentItem",
    "AssessmentTry",
    "Attempt",
    "Build",
    "Drawing",
    "Exercise",
    "Grade",
    "LateAnswer",
    "LibraryDog",
    "Mark",
    "Panel",
    "PanelKey",
    "Review",
    "Revision",
    "Rewarded",
    "Tally",
    "protect_unless_practice",
]
