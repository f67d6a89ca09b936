"""Small words of the room's pages."""

from django import template

from quizzes.kinds.placing.places import ordinal
from quizzes.words import halves

register = template.Library()
register.filter("as_place", ordinal)
register.filter("said_halves", halves)


@register.filter
def floor_minutes(seconds):
    return seconds // 60


@register.filter
def rest_seconds(seconds):
    return seconds % 60


@register.filter
def on_hyphens(text):
    """The numbers of a placing as judges write it."""
    return [part for part in text.split("-") if part]
