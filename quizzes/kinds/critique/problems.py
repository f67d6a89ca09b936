"""What keeps a critique from being published, and where a mentor mends it."""

from __future__ import annotations

from django.utils.translation import gettext as _

from quizzes.kinds.base import Problem
from quizzes.kinds.critique.content import CritiqueContent, CritiqueKey

TASK, KEY = "quizzes:critique-task", "quizzes:critique-key"


def critique_problems(content: CritiqueContent, key: CritiqueKey) -> list[Problem]:
    """Everything to mend, what is asked first, then the mentor's own part."""
    return [*_task_problems(content), *_key_problems(key)]


def _task_problems(content):
    dog = f"dog-{content.dog.id}"
    if content.dog.armband is None:
        yield Problem(TASK, dog, _("The dog has no armband number."))
    if not content.dog.ringside.strip():
        yield Problem(TASK, dog, _("Say what the eye sees of the dog."))
    if content.least > content.most:
        text = _("The fewest words asked for are more than the most.")
        yield Problem(TASK, "id_least", text)
    if not content.checklist:
        text = _("Say what a critique covers, a line each.")
        yield Problem(TASK, "id_checklist", text)


def _key_problems(key):
    if not key.critique.strip():
        text = _("Write your own critique of the dog; it is shown after handing in.")
        yield Problem(KEY, "id_critique", text)
    if not len(key.rubric):
        text = _("Say what marks are given for: at least one row.")
        yield Problem(KEY, "rubric", text)
