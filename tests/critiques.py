"""Small critiques, as the documents a revision stores."""

from django.utils import timezone

from quizzes.attempts import hand_in
from quizzes.kinds.critique.content import CritiqueContent, CritiqueKey
from quizzes.kinds.placing.content import Dog
from quizzes.marking.rubric import Rubric, RubricRow
from tests.factories import (
    AttemptFactory,
    ExerciseFactory,
    ModuleFactory,
    RevisionFactory,
)

TEXT = "A balanced dog with a good croup. Movement is sound, the coat soft."
"""Thirteen words, one of them a term of `critique`'s module."""


def content(**more):
    dog = Dog(id="a", armband=11, age_months=30, ringside="A dog.", hands_on="Firm.")
    given = {"least": 5, "most": 40, "checklist": ("Head", "Coat", "A fault")} | more
    return CritiqueContent(dog=given.pop("dog", dog), **given).document()


def key(*most, critique="The mentor says it in one line.", points=("The croup",)):
    """A key with a rubric of rows that can get so many points; 20 and 10 unless said."""
    rows = (RubricRow(f"Row {n}", each) for n, each in enumerate(most or (20, 10), 1))
    return CritiqueKey(critique, points, Rubric(tuple(rows))).document()


def critique(club, **more):
    """A critique of the club in force; `content`, `key` and other fields as given."""
    module = more.pop("module", None) or ModuleFactory(club=club)
    given = {"content": content(), "key": key(), "size": 1} | more
    exercise = given.pop("exercise", None) or ExerciseFactory(
        module=module, kind="critique"
    )
    return RevisionFactory(exercise=exercise, **given)


def written(revision, trainee, text=TEXT, covered=(0,)):
    """An attempt that is handed in, with that text."""
    line = [[dog["id"], dog["armband"]] for dog in revision.content["dogs"]]
    attempt = AttemptFactory(revision=revision, trainee=trainee, shown={"line": line})
    answer = {"text": text, "covered": list(covered)}
    return hand_in(attempt, now=timezone.now(), answer=answer)
