"""A sheet of estimates that was handed in: row by row, then the person's eye over time."""

from __future__ import annotations

from django.shortcuts import render

from quizzes.kinds.eye.errors import errors_of
from quizzes.kinds.eye.figure import series_of
from quizzes.kinds.sheets.result import result_context


def result_page(request, attempt, grades):
    context = result_context(request, attempt, grades)
    names = [one["row"].measure for one in context["rows"] if one["row"].measure]
    errors = errors_of(attempt, request.user) if names else {}
    context["series"] = series_of(errors, names)
    return render(request, "quizzes/eye/result.html", context)
