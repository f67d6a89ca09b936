"""A dog that is graded, and what the key says of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from django.utils.translation import gettext as _

from quizzes.kinds.placing.content import Dog
from quizzes.kinds.sheets.rows import Asked, Known, new_row_id

MOST_REASONS = 3
FOR, AGAINST = "for", "against"


@dataclass(frozen=True)
class GradedDog(Dog, Asked):
    """A dog of a class, as a row: all that draws, shows or describes one works on it."""

    id: str = field(default_factory=new_row_id)


@dataclass(frozen=True)
class KnownGrade(Known):
    """The grade, and up to three priorities that decide it: "for:slug" or "against:slug"."""

    grade: str = ""
    reasons: tuple[str, ...] = ()


def options(priorities: Iterable[Mapping]) -> list[tuple[str, list[tuple[str, str]]]]:
    """The reasons that can be chosen, in two groups; priorities have slug and name."""
    sides = (
        (FOR, _("Speaks for it"), _("For: %(name)s")),
        (AGAINST, _("Speaks against it"), _("Against: %(name)s")),
    )
    return [
        (label, [(f"{side}:{one['slug']}", text % one) for one in priorities])
        for side, label, text in sides
    ]


def known_reasons(priorities: Iterable[Mapping]) -> frozenset[str]:
    return frozenset(
        value for _side, rows in options(priorities) for value, _name in rows
    )


def said(reason: str, names: Mapping[str, str]) -> str:
    """A reason in words."""
    side, _colon, slug = reason.partition(":")
    name = names.get(slug, slug)
    text = _("for it: %(name)s") if side == FOR else _("against it: %(name)s")
    return text % {"name": name}


def compared(
    mine: Sequence[str], theirs: Sequence[str], names: Mapping[str, str]
) -> dict[str, list[str]]:
    """Reasons that both name, those that are held the other way round, and those of one alone."""
    slugs = {one.partition(":")[2]: one for one in theirs}
    turned = [
        one for one in mine if one not in theirs and one.partition(":")[2] in slugs
    ]
    turned_slugs = {one.partition(":")[2] for one in turned}
    rest = [
        one
        for one in theirs
        if one not in mine and one.partition(":")[2] not in turned_slugs
    ]
    groups = {
        "both": [one for one in mine if one in theirs],
        "turned": turned,
        "mine": [one for one in mine if one not in theirs and one not in turned],
        "theirs": rest,
    }
    return {name: [said(one, names) for one in found] for name, found in groups.items()}
