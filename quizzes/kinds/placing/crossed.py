"""A placing beside the key as the figure of crossing lines alone: what a phone in a room shows, without a record."""

from __future__ import annotations

from functools import cached_property
from types import SimpleNamespace

from quizzes import grading
from quizzes.kinds.placing.content import ClassContent, ClassKey
from quizzes.kinds.placing.crossing import letters_for
from quizzes.kinds.placing.result import Result


class Crossed(Result):
    """As much of a result as its figure needs. Nothing is fetched for it."""

    is_made = False

    def __init__(self, revision, answer, graded):
        content = ClassContent.read(revision.content)
        attempt = SimpleNamespace(
            answer=answer, shown={"line": [(dog.id, dog.armband) for dog in content]}
        )
        super().__init__(attempt, None, revision=revision)
        self.content, self.graded = content, graded

    @cached_property
    def grade(self):
        return grading.Grade.from_dict(self.graded["result"])

    @cached_property
    def key(self) -> ClassKey:
        return ClassKey.read(self.revision.key)

    @cached_property
    def letters(self) -> dict[tuple[str, str], str]:
        """A letter for each pair that differs, those furthest apart in the key first."""
        at = {dog: place for place, dog in enumerate(self.key.order)}
        wrong = [
            (pair.upper, pair.lower)
            for pair in self.grade.pairs
            if pair.verdict == "disagreed"
        ]
        wrong.sort(key=lambda pair: -abs(at.get(pair[0], 99) - at.get(pair[1], 99)))
        return letters_for(wrong)

    @property
    def explainer(self):
        return SimpleNamespace(letters=self.letters)

    @property
    def differing(self):
        return list(self.letters)
