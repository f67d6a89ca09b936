"""Figures as seminars say them."""

from django import template

from trainer.seminars.certificate_paper import number_said

register = template.Library()


@register.filter
def said_hours(hours) -> str:
    """Hours to the quarter without noughts behind: 1.5, not 1.50."""
    return number_said(hours)
