"""How grades are written in lists."""

from django import template
from django.utils.translation import gettext as _

from quizzes.words import duration, halves

register = template.Library()


@register.filter
def pairs(grade):
    """ "8 of 10"; a dash in words where no pair counts."""
    if grade is None or not grade.pairs_counted:
        return _("none to compare")
    values = {"agreed": halves(grade.pairs_agreed), "counted": grade.pairs_counted}
    return _("%(agreed)s of %(counted)s") % values


@register.filter
def one_in(chance):
    """ "1 in 9" for a probability; "8 in 10" where most random orders do as well."""
    if not chance:
        return ""
    if chance > 0.5:
        return _("%(n)s in 10") % {"n": round(chance * 10)}
    return _("1 in %(n)s") % {"n": f"{round(1 / chance):,}"}


@register.filter
def pace(seconds, dogs):
    """ "12 minutes, 1½ minutes a dog" for the seconds that a dog gets."""
    values = {"all": duration(seconds * dogs), "one": duration(seconds)}
    return _("%(all)s, %(one)s a dog") % values
