"""The person's record: everything handed in, and pictures of progress with their tables."""

from __future__ import annotations

from django.db.models import F
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from quizzes.attempts import with_grades
from quizzes.kinds import kind_named
from quizzes.models import Attempt
from quizzes.record.figure import draw
from quizzes.record.filters import Parts, ProgressFilter, RecordFilter
from quizzes.record.progress import Series, series_of
from quizzes.record.spent import how_counted, in_all, pages_read, spent_on, table_of
from quizzes.views import page_of
from trainer.clubs.models import reached_by

BREED = "revision__exercise__module__breed__name"


@require_safe
def record(request):
    """Everything the person has handed in, newest first."""
    mine = Attempt.objects.owned_by(request.user)
    parts = Parts(mine)
    looked_for = RecordFilter(request.GET, parts=parts, now=timezone.now())
    count = None if looked_for.is_narrowed else parts.n
    rows = looked_for.found(mine).rows()
    page = page_of(request, rows.annotate(breed=F(BREED)), count)
    page.object_list = [
        {**row, "about": _about(row)} for row in with_grades(page.object_list)
    ]
    context = {
        "page": page,
        "parts": parts,
        "looked_for": looked_for,
        "belongs": bool(reached_by(request.user)),
    }
    return render(request, "quizzes/record/record.html", context)


@require_safe
def progress(request):
    """Shares agreed with the mentor over time, for one module; and the time spent, for all."""
    mine = Attempt.objects.owned_by(request.user)
    parts = Parts(mine)
    looked_for = ProgressFilter(request.GET, parts=parts, now=timezone.now())
    series = series_of(looked_for.found(mine)) if parts else []
    done = spent_on(mine) if parts else {}
    read = {row["module_id"]: row for row in pages_read(request.user)}
    context = {
        "parts": parts,
        "looked_for": looked_for,
        "figures": [shown(one, looked_for.page) for one in series],
        "spent": table_of(parts.modules, done, read),
        "in_all": in_all(done, read),
        "how_counted": how_counted(),
    }
    return render(request, "quizzes/record/progress.html", context)


def shown(series: Series, page: int) -> dict:
    """One series for the page: words, figure, and the same data as tables."""
    page = min(max(page, 1), series.pages)
    points, groups = series.shown(page)
    return {
        "series": series,
        "label": series.label(points),
        "figure": draw(points, groups),
        "points": points[::-1],
        "groups": groups,
        "first": points[0],
        "last": points[-1],
        "page": page,
        "earlier": page + 1 if page < series.pages else None,
        "later": page - 1 if page > 1 else None,
    }


def _about(row) -> str:
    """The kind of exercise and the breed, under its title in the list."""
    return f"{kind_named(row['kind']).label}. {row['breed']}"
