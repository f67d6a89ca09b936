"""What other apps' pages say about clubs."""

from allauth.mfa.utils import is_mfa_enabled
from django import template
from django.utils.translation import gettext as _

from trainer.clubs.models import Role

register = template.Library()


@register.simple_tag
def how_a_module_comes_in():
    """What a mentor has to do so that a club has a module to read."""
    return _(
        "Next the club needs a study module: a mentor writes it under Workshop, or takes one in from a file."
    )


@register.inclusion_tag("clubs/_second_step.html")
def second_step_advice(user):
    """Why whoever teaches in a club or runs one should sign in with a second step."""
    if is_mfa_enabled(user):
        return {}
    roles = set(user.memberships.values_list("role", flat=True))
    return {"teaches": Role.MENTOR in roles, "runs": Role.ORGANISER in roles}
