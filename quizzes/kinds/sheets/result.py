"""A sheet that was handed in: what the key says, row by row."""

from __future__ import annotations

from django.shortcuts import render

from quizzes.kinds import kind_of
from quizzes.words import halves


def rows_explained(kind, attempt, grade) -> list[dict]:
    """Each row with the answer, the key and the points, in the order of the attempt."""
    points, look = grade.result["points"], kind.look(attempt)
    revision, shown = attempt.revision, attempt.shown
    return explained_rows(kind, revision, shown, attempt.answer, points, look)


def explained_rows(kind, revision, shown, answer, points, look) -> list[dict]:
    """The same of any answer, with the points it got and what is shown of each row."""
    sheet, key = kind.sheet(revision.content), kind.key(revision.key)
    rows, given = sheet.by_id, answer["items"]
    return [
        {
            **kind.ask(sheet, rows[pk], shown, given.get(pk)),
            "number": n,
            "row": rows[pk],
            "named": kind.named(rows[pk]),
            "known": kind.known_of(key, rows[pk]),
            "value": given.get(pk),
            "look": look.get(pk),
            "said": kind.said_of(rows[pk], given[pk]) if pk in given else "",
            "key_said": kind.key_said(rows[pk], kind.known_of(key, rows[pk])),
            "points": points.get(pk, 0),
            **kind.explain(
                sheet, rows[pk], kind.known_of(key, rows[pk]), given.get(pk)
            ),
        }
        for n, pk in enumerate(shown["order"], start=1)
        if pk in rows
    ]


def result_page(request, attempt, grades):
    """The headline in words, then each row with what the key says and why."""
    context = result_context(request, attempt, grades)
    return render(request, "quizzes/sheets/result.html", context)


def result_context(request, attempt, grades) -> dict:
    """What that page shows, for kinds that show more."""
    kind = kind_of(attempt.revision)
    by_revision = {grade.revision_id: grade for grade in grades}
    grade = by_revision[attempt.revision_id]
    rows = rows_explained(kind, attempt, grade)
    revision = attempt.revision
    sheet, key = kind.sheet(revision.content), kind.key(revision.key)
    return {
        "attempt": attempt,
        "revision": revision,
        "kind": kind,
        "grade": grade,
        "later": max(
            (g for g in grades if g.revision_id > attempt.revision_id),
            key=lambda g: g.revision_id,
            default=None,
        ),
        "agreed": halves(grade.pairs_agreed),
        "rows": rows,
        "warned": kind.warned(sheet, key, attempt.answer),
        "also": kind.also_said(sheet, key, attempt.answer),
        "figures": kind.figures(sheet, key, attempt.answer),
        "explained": f"quizzes/{kind.slug}/_explained.html",
        "is_own": attempt.trainee_id == request.user.pk,
    }
