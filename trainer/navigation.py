"""The words at the top of every page."""

from functools import cache

from django.urls import get_script_prefix, reverse
from django.utils.functional import SimpleLazyObject
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from trainer.clubs.models import Membership, Role
from trainer.offline import reader_key


def entries(user, path: str) -> list[dict]:
    """The entries for this person; the one that holds the page shown is current."""
    if not user.is_authenticated or user.is_guest:
        return []
    roles = roles_of(user)
    found = _entries(
        Role.MENTOR in roles,
        bool(roles & {Role.MENTOR, Role.ORGANISER}),
        get_language(),
        get_script_prefix(),
    )
    return _marked(found, path)


def workshop_entries(user, path: str) -> list[dict]:
    """The parts of the workshop, on its pages and for those who teach."""
    roofs = (reverse("quizzes:workshop"), reverse("pictures:picture-list"))
    inside = path.startswith(roofs)
    if not (inside and user.is_authenticated and Role.MENTOR in roles_of(user)):
        return []
    return _marked(_workshop(get_language(), get_script_prefix()), path)


def _marked(found, path: str) -> list[dict]:
    # One address may begin with another: the longest says where the page belongs.
    here = max(
        (url for _label, url in found if path.startswith(url)), key=len, default=""
    )
    return [
        {"label": label, "url": url, "current": url == here} for label, url in found
    ]


def roles_of(user) -> set:
    """The roles that the person holds anywhere; site staff reach what every role does."""
    if user.is_staff:
        return set(Role)
    held = getattr(user, "roles_held", None)
    if held is None:
        held = Membership.objects.roles_by_club(user)
    return {role for roles in held.values() for role in roles}


@cache
def _entries(
    teaches: bool, leads: bool, _language: str, _prefix: str
) -> list[tuple[str, str]]:
    found = [
        (_("Modules"), reverse("study:module-list")),
        (_("Classes"), reverse("quizzes:exercise-list")),
        (_("Seminars"), reverse("seminars:seminar-list")),
        (_("My record"), reverse("quizzes:record")),
    ]
    if teaches:
        found.append((_("Workshop"), reverse("quizzes:workshop")))
    elif leads:
        found.append((_("Paper cards"), reverse("quizzes:paper")))
    found.append((_("Clubs"), reverse("clubs:club-list")))
    return found


@cache
def _workshop(_language: str, _prefix: str) -> list[tuple[str, str]]:
    return [
        (_("Your modules"), reverse("desk:module-list")),
        (_("Classes and keys"), reverse("quizzes:workshop")),
        (_("Assessments"), reverse("quizzes:assessments-manage")),
        (_("Dogs"), reverse("quizzes:library")),
        (_("Marking"), reverse("quizzes:marking")),
        (_("Drawing"), reverse("quizzes:workbench")),
        (_("Photographs"), reverse("pictures:picture-list")),
        (_("Paper cards"), reverse("quizzes:paper")),
    ]


def navigation(request):
    """Template context: `nav`, computed when the page shows it, the look that was chosen, and
    whose pages the device may keep."""
    user = getattr(request, "user", None)
    if user is None:
        return {}
    theme = user.theme if user.is_authenticated else request.COOKIES.get("theme", "")
    return {
        "nav": SimpleLazyObject(lambda: entries(user, request.path)),
        "workshop_nav": SimpleLazyObject(lambda: workshop_entries(user, request.path)),
        "theme": theme if theme in ("light", "dark") else "",
        "reader": reader_key(user),
    }
