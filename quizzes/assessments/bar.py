"""What stands above the page of an item: where one is in the assessment, how much time is left, and the way back."""

from __future__ import annotations

from django.utils.timezone import localtime

from quizzes.models import AssessmentItem, AssessmentTry


def clock_of(a_try, now) -> dict | None:
    """The time that is left by the server's clock, in seconds and for the page's words; None without a limit."""
    left = a_try.seconds_left(now)
    if left is None:
        return None
    return {
        "left": left,
        "allowed": int((a_try.deadline - a_try.started_at).total_seconds()),
        "minutes": left // 60,
        "seconds": left % 60,
        "until": localtime(a_try.deadline),
        "over": a_try.is_over(now),
        "grace_until": localtime(a_try.grace_until),
    }


def bar(attempt, user, now) -> dict | None:
    """The bar of an attempt's page; None for an attempt of no assessment, of another person, or of one that is over."""
    in_try = getattr(attempt, "assessment_try_id", None)
    if not in_try or attempt.trainee_id != user.pk:
        return None
    mine = AssessmentTry.objects.owned_by(user).open().select_related("assessment")
    a_try = mine.filter(pk=in_try).first()
    if a_try is None:
        return None
    items = list(
        AssessmentItem.objects.filter(assessment=a_try.assessment_id).values_list(
            "pk", flat=True
        )
    )
    return {
        "try": a_try,
        "number": items.index(attempt.assessment_item_id) + 1,
        "of": len(items),
        "clock": clock_of(a_try, now),
    }
