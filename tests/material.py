"""The demo's study module in a test's club, with priorities that are drawn."""

from django.utils import timezone

from quizzes.demo import read
from trainer.study.services import import_module


def drawn_module(club, author):
    """A module of a breed that can be drawn, in force."""
    revision = import_module(
        club, read("module.json"), author=author, now=timezone.now()
    )
    return revision.module
