"""The grades, the points of an answer, and how far two people agree on the scale of merit.

The grades are those of the FCI show regulations, said in our own words.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from django.db.models import TextChoices
from django.utils.translation import gettext_lazy as _

from quizzes.grading.agreement import weighted_kappa
from quizzes.grading.items import FULL, HALF, NONE, Points, guessing


class Grade(TextChoices):
    """From the best down; the last two are no steps of the scale."""

    EXCELLENT = "excellent", _("Excellent")
    VERY_GOOD = "very-good", _("Very good")
    GOOD = "good", _("Good")
    SUFFICIENT = "sufficient", _("Sufficient")
    DISQUALIFIED = "disqualified", _("Disqualified")
    CANNOT_BE_JUDGED = "cannot-be-judged", _("Cannot be judged")


MERIT = (Grade.EXCELLENT, Grade.VERY_GOOD, Grade.GOOD, Grade.SUFFICIENT)
"""The scale of merit; a dog that is disqualified or can't be judged stands beside it, not below."""
FEWEST_FOR_KAPPA = 6

GISTS = {
    Grade.EXCELLENT: _(
        "Very near the ideal, of high class, in full condition and steady; its small faults are forgiven. "
        "Never for a dog whose exaggeration harms its health."
    ),
    Grade.VERY_GOOD: _(
        "Typical, well proportioned, in good condition, with a few lesser faults; a dog with class."
    ),
    Grade.GOOD: _(
        "Has the main points of its breed; what is good outweighs what is faulty."
    ),
    Grade.SUFFICIENT: _(
        "Enough of its breed, without what makes it typical, or in poor condition."
    ),
    Grade.DISQUALIFIED: _(
        "Wrong in type; aggressive or shrinking; jaw, testicles, colour or coat that the standard rules out; a "
        "feature that threatens its health. The report says why."
    ),
    Grade.CANNOT_BE_JUDGED: _(
        "Leaves without a grade: lame, will not move or jumps throughout, will not be examined, or signs of "
        "something done to deceive. The report says why."
    ),
}


def points(right: str, said: str) -> Fraction:
    """1 for the same grade, ½ for its neighbour on the scale of merit, else 0."""
    if right == said:
        return FULL
    return HALF if abs(steps_apart(right, said) or 0) == 1 else NONE


def steps_apart(right: str, said: str) -> int | None:
    """By how many steps of merit an answer is lower than the key; None where one is not on the scale."""
    if right not in MERIT or said not in MERIT:
        return None
    return MERIT.index(said) - MERIT.index(right)


def at_random(right: str) -> Points:
    """The points of guessing among all grades."""
    reached = [points(right, grade) for grade in Grade.values]
    each = Fraction(1, len(reached))
    return guessing(each * reached.count(FULL), each * reached.count(HALF))


def on_the_scale(pairs: Iterable[tuple[str, str]]) -> list[tuple[int, int]]:
    """The pairs of grades that are both on the scale of merit, as steps from the top."""
    return [
        (MERIT.index(right), MERIT.index(said))
        for right, said in pairs
        if right in MERIT and said in MERIT
    ]


def kappa(pairs: Iterable[tuple[str, str]]) -> float | None:
    """Cohen's kappa with linear weights over the scale of merit; None where chance leaves no room.

    References
    ----------
    Cohen, J. (1968). Weighted kappa: nominal scale agreement with provision for scaled disagreement or partial
    credit. Psychological Bulletin 70(4), 213-220.
    """
    marked = on_the_scale(pairs)
    first, second = [one for one, _two in marked], [two for _one, two in marked]
    return weighted_kappa(first, second, steps=len(MERIT), weights="linear")
