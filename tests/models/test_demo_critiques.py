"""The demo's critiques: written within what is asked for, and marked in every state that there is."""

from collections import Counter
from datetime import UTC, datetime

import pytest
from django.core import mail

from quizzes.demo import load_demo
from quizzes.demo_critiques import documents
from quizzes.kinds.critique.content import count_words
from quizzes.models import Attempt, Mark, Revision

NOW = datetime(2026, 3, 10, 14, 30, tzinfo=UTC)


@pytest.mark.parametrize("document", documents(), ids=lambda one: one["title"])
def test_texts_keep_to_the_words_asked_for(document):
    texts = [document["critique"], *(row["text"] for row in document["written"])]
    for text in texts:
        assert document["least"] <= count_words(text) <= document["most"]


@pytest.mark.once
def test_every_state_of_marking_is_there(db, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        load_demo(now=NOW)
    revisions = Revision.objects.in_force().filter(exercise__kind="critique")
    written = Attempt.objects.filter(revision__in=revisions)
    assert revisions.count() == 3
    assert all(one.handed_in_at < NOW for one in written)
    states = Counter(
        tuple(
            (mark.part, mark.state, bool(mark.returned_at)) for mark in one.marks.all()
        )
        for one in written
    )
    first, second = ("first", "final", False), ("second", "final", False)
    assert states == {
        (): 4,
        (("first", "final", True),): 2,
        (("first", "draft", False),): 1,
        (first, ("second", "draft", False)): 1,
        (first, second): 1,
        (first, second, ("agreed", "final", True)): 1,
    }
    assert sum(revision.graded for revision in revisions) == 3
    assert all(mark.returned_at < NOW for mark in Mark.objects.returned())
    assert mail.outbox == []
