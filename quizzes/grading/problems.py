"""Refusals of a key or an answer, as sentences that say what to mend."""

from __future__ import annotations


class Problem(ValueError):
    """A refusal; a site can translate ``template`` and fill in ``values``."""

    def __init__(self, template: str, **values: object) -> None:
        super().__init__(template % values if values else template)
        self.template = template
        self.values = values


class KeyProblem(Problem):
    """A key that cannot be graded against."""


class AnswerProblem(Problem):
    """An answer that cannot be graded."""
