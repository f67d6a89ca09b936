"""Where a person stands in each module, in words: what was read, what was placed, what their placings reward."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby

from django.db.models import F
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from quizzes.models import Grade
from quizzes.review import telling
from quizzes.words import halves
from trainer.study import places, reading
from trainer.study.page_reads import PageRead

LATEST = 6
"""Classes that "of late" speaks of."""


def standing(
    user, modules: Iterable[dict], rewarded: Iterable[telling.Told]
) -> dict[int, str]:
    """Sentences by module, of those that the person can read; two queries for any number.

    modules : rows of the revisions in force (reading.revisions_for_list)
    """
    modules = list(modules)
    if not modules:
        return {}
    read, placed = _read(user), _placed(user)
    told = {one.module_id: one for one in rewarded}
    found = {}
    for row in modules:
        pk = row["module_id"]
        sentences = [
            _reading(row, read.get(pk, frozenset())),
            _placing(placed.get(pk, [])),
            *(told[pk].said[:1] if pk in told else ()),
        ]
        found[pk] = " ".join(filter(None, sentences))
    return found


def _read(user) -> dict[int, frozenset]:
    """The pages that were opened, by module."""
    rows = PageRead.objects.owned_by(user).order_by("module_id")
    keys = rows.values_list("module_id", "part", "slug")
    return {
        module: frozenset((part, slug) for _module, part, slug in group)
        for module, group in groupby(keys, key=lambda row: row[0])
    }


def _placed(user) -> dict[int, list[tuple[float, int]]]:
    """Pairs agreed and counted of the classes placed, the latest first, by module."""
    own = Grade.objects.filter(
        attempt__trainee=user,
        attempt__preview=False,
        revision=F("attempt__revision"),
        revision__exercise__kind="placing",
        pairs_counted__gt=0,
    )
    rows = own.order_by("-attempt__handed_in_at", "-attempt_id").values_list(
        "revision__exercise__module", "pairs_agreed", "pairs_counted"
    )
    found: dict[int, list] = {}
    for module, agreed, counted in rows:
        found.setdefault(module, []).append((agreed, counted))
    return found


def _reading(row, read: frozenset) -> str:
    document = reading.document_of(row["pk"], row["published_at"])
    pages = [page for page in places.pages_of(document).values() if page.counts]
    n = sum(page.key in read for page in pages)
    if not n:
        return _("Nothing read yet.")
    if n == len(pages):
        return _("All of it read.")
    return _("%(n)s of %(all)s pages read.") % {"n": n, "all": len(pages)}


def _placing(pairs: list[tuple[float, int]]) -> str:
    if not pairs:
        return _("No class placed yet.")
    n, late = len(pairs), pairs[:LATEST]
    counts = ngettext("%(n)s class placed", "%(n)s classes placed", n) % {"n": n}
    values = {
        "counts": counts,
        "agreed": halves(sum(agreed for agreed, _counted in late)),
        "counted": sum(counted for _agreed, counted in late),
    }
    if n > LATEST:
        return (
            _(
                "%(counts)s; of late %(agreed)s of %(counted)s pairs as the key has them."
            )
            % values
        )
    return (
        _("%(counts)s; %(agreed)s of %(counted)s pairs as the key has them.") % values
    )
