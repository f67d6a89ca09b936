"""A small record: things handed in, for tests of the pages and files about them."""

import random
from datetime import UTC, datetime, timedelta

from quizzes.attempts import begin, hand_in
from tests.placing import answer

WHEN = datetime(2026, 3, 1, 20, 0, 0, 123456, tzinfo=UTC)


def placed(revision, by, order="abcd", *, at=WHEN, minutes=6, **rulings):
    """An attempt that is handed in after so many minutes, at that time."""
    begun = at - timedelta(minutes=minutes)
    attempt = begin(revision, by=by, now=begun, rng=random.Random(1))
    return hand_in(attempt, now=at, answer=answer(order, **rulings))
