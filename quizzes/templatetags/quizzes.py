"""How grades are written in lists."""

from django import template
from django.utils.translation import gettext as _

from quizzes import words
from quizzes.kinds import kind_named

register = template.Library()
register.filter("pairs", words.pairs_agreed)
register.filter("one_in", words.one_in)
register.filter("how_often", words.how_often)


def _kind(attempt):
    """The kind of what was answered, for an attempt or a row of AttemptQuerySet.rows."""
    if isinstance(attempt, dict):
        return kind_named(attempt["kind"])
    return kind_named(attempt.revision.exercise.kind)


def _grade(attempt, name):
    return attempt[name] if isinstance(attempt, dict) else getattr(attempt, name)


@register.filter
def counted(slug, n):
    """How many things an exercise of the kind of that name has: "5 dogs", "8 faults"."""
    return kind_named(slug).counted % {"n": n}


@register.filter
def outcome(attempt):
    """What came of the attempt, in a few words."""
    return _kind(attempt).outcome(_grade(attempt, "own_grade"))


@register.filter
def later_outcome(attempt):
    """The same under the latest key that came after it; empty without one."""
    later = _grade(attempt, "later_grade")
    return _kind(attempt).outcome(later) if later else ""


@register.filter
def outcome_said(attempt):
    """What came of the attempt, as a sentence."""
    return _kind(attempt).said(_grade(attempt, "own_grade"))


@register.filter
def pace(seconds, dogs):
    """ "12 minutes, 1½ minutes a dog" for the seconds that a dog gets."""
    values = {"all": words.duration(seconds * dogs), "one": words.duration(seconds)}
    return _("%(all)s, %(one)s a dog") % values
