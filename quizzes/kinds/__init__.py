"""The kinds of exercise: each a folder here, and one line in the registration below."""

from __future__ import annotations

from functools import cache
from importlib import import_module

REGISTERED = (
    "placing",
    "critique",
    "severity",
    "examination",
    "question",
    "ruling",
    "eye",
    "two",
    "grade",
)


@cache
def kind_named(slug: str):
    """The kind of that name (see base.Kind). Raises KeyError for a kind that is not registered."""
    if slug not in REGISTERED:
        raise KeyError(slug)
    return import_module(f"quizzes.kinds.{slug}").KIND


def kind_of(revision):
    """The kind of the exercise that the revision is a state of."""
    return kind_named(revision.exercise.kind)
