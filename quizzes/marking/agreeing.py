"""Two markers beside each other: row by row, and how far they agree beyond chance."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from quizzes.grading.agreement import weighted_kappa
from quizzes.marking.rubric import Rubric
from quizzes.marking.standing import Part, Standing
from quizzes.models import Mark


@dataclass(frozen=True)
class Agreement:
    """How two markers agree over all rows that both have marked under one rubric.

    pieces, rows : how many critiques, and rows of them; equal : rows with the same points
    apart : how many points they differ by in a row, on average
    linear, quadratic : weighted kappa; None where it is not defined
    """

    pieces: int
    rows: int
    equal: int
    apart: float
    linear: float | None
    quadratic: float | None


def agreement(
    pairs: list[tuple[int, int]], *, pieces: int, rubric: Rubric
) -> Agreement:
    """Weighted kappa of pairs of points, on the scale from 0 to the most any row can get.

    A point counts the same in every row, so rows with many points and rows with few stand
    in one table; see grading.agreement.weighted_kappa (Cohen 1968).
    """
    steps = max(row.most for row in rubric) + 1
    first, second = [one for one, _other in pairs], [other for _one, other in pairs]
    linear, quadratic = (
        weighted_kappa(first, second, steps=steps, weights=weights)
        for weights in ("linear", "quadratic")
    )
    return Agreement(
        pieces=pieces,
        rows=len(pairs),
        equal=sum(one == other for one, other in pairs),
        apart=sum(abs(one - other) for one, other in pairs) / len(pairs),
        linear=linear,
        quadratic=quadratic,
    )


def agreement_of(at: Standing) -> Agreement:
    """The agreement of the two markers of this piece over all that both have marked.

    Only what both have finished counts, so nothing of a mark that is still blind shows in it.
    Where a marker's account is erased, only this piece can be told to be theirs.
    """
    own = [(at.first.points, at.second.points)]
    markers = [at.first.marker_id, at.second.marker_id]
    both = own if None in markers else _marked_by_both(at, *markers)
    pairs = [pair for one, other in both for pair in zip(one, other, strict=True)]
    return agreement(pairs, pieces=len(both), rubric=at.rubric)


def _marked_by_both(at: Standing, one: int, other: int) -> list[tuple[list, list]]:
    """The points of both for each critique of this revision that both have finished."""
    rows = Mark.objects.final().filter(
        attempt__revision=at.attempt.revision_id,
        part__in=[Part.FIRST, Part.SECOND],
        marker__in=[one, other],
    )
    found: dict[int, dict[int, list]] = defaultdict(dict)
    for attempt, marker, points in rows.values_list("attempt", "marker", "points"):
        found[attempt][marker] = points
    return [(each[one], each[other]) for each in found.values() if len(each) == 2]


def side_by_side(at: Standing) -> list[dict]:
    """Each row of the rubric with what both gave and said."""
    one, other = at.first, at.second
    return [
        {
            "row": row,
            "marks": [
                (mark.marker, mark.points[n], mark.comments[n]) for mark in (one, other)
            ],
            "apart": abs(one.points[n] - other.points[n]),
        }
        for n, row in enumerate(at.rubric)
    ]
