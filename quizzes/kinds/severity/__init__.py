"""Sorting faults by how grave they are, as the study module has them; see quizzes/kinds/sheets/."""

from quizzes.kinds.severity.kind import KIND

__all__ = ["KIND"]
