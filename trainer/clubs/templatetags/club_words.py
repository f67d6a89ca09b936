"""What other apps' pages say about clubs."""

from allauth.mfa.utils import is_mfa_enabled
from django import template
from django.urls import Resolver404, resolve
from django.utils import timezone
from django.utils.translation import gettext as _

from trainer.clubs.models import Invitation, Role

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


@register.simple_tag
def invitation_to_accept(request):
    """The open invitation that signing up or in leads back to; None if there is none."""
    way = request.POST.get("next") or request.GET.get("next") or ""
    try:
        found = resolve(way)
    except Resolver404:
        return None
    if found.view_name != "clubs:invitation-accept":
        return None
    invitation = Invitation.objects.with_code(found.kwargs["code"]).first()
    is_open = invitation and invitation.is_open(timezone.now())
    return invitation if is_open else None
