"""The bar above the pages of an assessment's items."""

from django import template
from django.utils import timezone

from quizzes.assessments.bar import bar

register = template.Library()


@register.inclusion_tag("quizzes/assessments/_bar.html", takes_context=True)
def assessment_bar(context):
    """Nothing on a page without an attempt of an assessment."""
    attempt, request = context.get("attempt"), context.get("request")
    if not getattr(attempt, "assessment_try_id", None) or request is None:
        return {"bar": None}
    return {"bar": bar(attempt, request.user, timezone.now())}
