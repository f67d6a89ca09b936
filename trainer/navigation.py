"""The words at the top of every page."""

from django.urls import reverse
from django.utils.functional import SimpleLazyObject
from django.utils.translation import gettext as _

from trainer.clubs.models import Membership, Role

LEADERS = {Role.MENTOR, Role.ORGANISER}


def entries(user, path: str) -> list[dict]:
    """The entries for this person; the one that holds the page shown is current."""
    if not user.is_authenticated:
        return []
    held = Membership.objects.filter(user=user).order_by()
    roles = set(held.values_list("role", flat=True))
    found = [
        (_("Modules"), reverse("study:module-list")),
        (_("Classes"), reverse("quizzes:exercise-list")),
        (_("My record"), reverse("quizzes:record")),
    ]
    if Role.MENTOR in roles or user.is_staff:
        found.append((_("Classes and keys"), reverse("quizzes:workshop")))
        found.append((_("Drawing"), reverse("quizzes:workbench")))
        found.append((_("Paper cards"), reverse("quizzes:paper")))
    found.append((_("Clubs"), reverse("clubs:club-list")))
    # One address may begin with another: the longest says where the page belongs.
    here = max(
        (url for _label, url in found if path.startswith(url)), key=len, default=""
    )
    return [
        {"label": label, "url": url, "current": url == here} for label, url in found
    ]


def navigation(request):
    """Template context: `nav`, computed when the page shows it, and the look that was chosen."""
    user = getattr(request, "user", None)
    if user is None:
        return {}
    theme = user.theme if user.is_authenticated else request.COOKIES.get("theme", "")
    return {
        "nav": SimpleLazyObject(lambda: entries(user, request.path)),
        "theme": theme if theme in ("light", "dark") else "",
    }
