"""When something is due again, by a published model of forgetting; rated from what was done."""

from __future__ import annotations

from datetime import datetime
from functools import cache

DAYS_AT_MOST = 365

# Shares of an answer as the key has it, and what that counts as. By judgement: the targets of
# difficulty are nine, eight and seven pairs in ten, so seven in ten on a close class is no failure.
AGAIN, HARD, GOOD = 0.5, 0.7, 0.95


@cache
def _scheduler():
    from fsrs import Scheduler

    # Days, not minutes: nobody places a class twice in ten minutes. Without chance, so that the
    # same answers give the same days.
    return Scheduler(
        learning_steps=(),
        relearning_steps=(),
        maximum_interval=DAYS_AT_MOST,
        enable_fuzzing=False,
    )


def rated(share: float):
    """What a share from 0 to 1 counts as for the scheduler."""
    from fsrs import Rating

    if share < AGAIN:
        return Rating.Again
    if share < HARD:
        return Rating.Hard
    return Rating.Good if share < GOOD else Rating.Easy


def seen_again(
    card: dict | None, share: float, *, now: datetime
) -> tuple[dict, datetime]:
    """The card after an answer, and when it is due next.

    card : as this function gave it back before; None the first time
    share : of the answer as the key has it, 0 to 1
    """
    from fsrs import Card

    before = Card.from_dict(card) if card else Card(card_id=0, due=now)
    after, _log = _scheduler().review_card(before, rated(share), review_datetime=now)
    return after.to_dict(), after.due
