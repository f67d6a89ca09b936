"""Answers that are not whole when the time is up: graded as far as the kind goes, or not at all."""

from __future__ import annotations

from quizzes.kinds.base import Document, Graded


def goes_as_far(kind) -> bool:
    """Whether the kind grades an answer that is not whole."""
    return hasattr(kind, "grade_unfinished")


def graded_as_it_stands(
    kind, content: Document, key: Document, shown: Document, answer: Document
) -> Graded | None:
    """The grade of an answer as it stands, whole or not; None where nothing can be graded."""
    if not kind.missing(content, shown, answer):
        return kind.grade(content, key, answer)
    if goes_as_far(kind) and answer:
        return kind.grade_unfinished(content, key, shown, answer)
    return None
