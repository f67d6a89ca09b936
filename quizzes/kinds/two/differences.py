"""What a draft changes in pairs that are in force."""

from __future__ import annotations

from django.utils.translation import gettext as _

from quizzes.kinds.two.content import PairsContent


def pairs_differences(before: PairsContent, after: PairsContent) -> list[str]:
    found = []
    names = ("parts", "breed", "build", "measure", "largest", "smallest")
    if any(getattr(before, name) != getattr(after, name) for name in names):
        found.append(_("What the pairs differ in."))
    if before.down != after.down:
        found.append(_("How sure somebody has to be."))
    if (before.pairs, before.least) != (after.pairs, after.least):
        found.append(_("How many pairs there are."))
    return found
