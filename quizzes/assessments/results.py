"""What tries came to: the points of each item, all together, and whether they reach the mark that the mentor set."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import floor, prod

from django.db.models import F
from django.utils.translation import gettext as _

from quizzes.kinds import kind_named
from quizzes.models import Attempt, Grade

EPSILON = 1e-9
"""Shares are floats; a mark that is just reached is reached."""


@dataclass(frozen=True)
class ItemResult:
    """One item of one try.

    share : of its points, 0 to 1; None while it has none
    waits : a mentor has still to mark it
    said : the outcome in a few words
    is_graded : there is a result to be shown
    """

    number: int
    attempt: int
    title: str
    kind: str
    counts: int
    share: float | None
    waits: bool
    said: str
    chance: float | None
    is_graded: bool
    saved_at: object = None

    @property
    def per_cent(self) -> int | None:
        return None if self.share is None else floor(100 * self.share + EPSILON)

    @property
    def label(self) -> str:
        return kind_named(self.kind).label


@dataclass(frozen=True)
class TryResult:
    """All items of a try.

    share : the items' shares, weighed by how much each counts; None while something is to be marked
    """

    items: Sequence[ItemResult]

    @property
    def waits(self) -> int:
        return sum(item.waits for item in self.items)

    @property
    def counted(self) -> list[ItemResult]:
        return [item for item in self.items if item.share is not None]

    @property
    def share(self) -> float | None:
        return None if self.waits else weighed(self.counted)

    @property
    def so_far(self) -> float | None:
        """The same over what has a share already."""
        return weighed(self.counted)

    @property
    def per_cent(self) -> int | None:
        return None if self.share is None else floor(100 * self.share + EPSILON)

    @property
    def chance(self) -> float | None:
        """How often answers at random do as well or better on every item; None unless each item says so."""
        each = [item.chance for item in self.items]
        return None if None in each or not each else prod(each)

    def reaches(self, per_cent: int | None) -> bool | None:
        """Whether the share reaches the mark; None without a mark, or while something is to be marked."""
        if per_cent is None or self.share is None:
            return None
        return 100 * self.share + EPSILON >= per_cent


def weighed(items: Iterable[ItemResult]) -> float | None:
    """The mean share, each item as often as it counts; None without items."""
    items = list(items)
    of = sum(item.counts for item in items)
    return sum(item.counts * item.share for item in items) / of if of else None


def results_of(tries) -> dict[int, TryResult]:
    """The results of these tries by id, in two queries however many there are."""
    rows = list(_rows(tries))
    grades = _grades(row["pk"] for row in rows)
    found = defaultdict(list)
    for row in rows:
        items = found[row["assessment_try_id"]]
        items.append(_item(len(items) + 1, row, grades.get(row["pk"])))
    return {a_try.pk: TryResult(tuple(found[a_try.pk])) for a_try in tries}


def _rows(tries):
    attempts = Attempt.objects.filter(assessment_try__in=[one.pk for one in tries])
    ordered = attempts.order_by("assessment_try", "assessment_item__number", "pk")
    return ordered.values(
        "pk",
        "assessment_try_id",
        "state",
        "saved_at",
        counts=F("assessment_item__counts"),
        title=F("revision__title"),
        kind=F("revision__exercise__kind"),
    )


def _grades(attempts) -> dict[int, Grade]:
    """By attempt, the grade under the key that was answered; a key that was changed later changes no assessment."""
    own = Grade.objects.filter(
        attempt__in=list(attempts), revision=F("attempt__revision")
    )
    return {grade.attempt_id: grade for grade in own.order_by()}


def _item(number, row, grade) -> ItemResult:
    kind = kind_named(row["kind"])
    share, waits = (grade.share, False) if grade else (None, False)
    if grade is None and row["state"] == Attempt.State.HANDED_IN:
        said = _("not whole: counts nothing")
        share = 0.0 if getattr(kind, "gives_points", True) else None
    elif grade is None:
        said = _("open")
    elif share is None and kind.is_marked:
        waits, said = True, _("still to be marked")
    else:
        said = kind.outcome(grade)
    return ItemResult(
        number=number,
        attempt=row["pk"],
        title=row["title"],
        kind=row["kind"],
        counts=row["counts"],
        share=share,
        waits=waits,
        said=said,
        chance=grade.chance if grade else None,
        is_graded=grade is not None,
        saved_at=row["saved_at"],
    )
