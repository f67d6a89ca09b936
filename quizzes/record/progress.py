"""How somebody's answers and the mentor's keys agree as time goes on: series of one kind in one module."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import F
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from quizzes.kinds import kind_named
from quizzes.models import Grade, Revision
from quizzes.record.pooling import GROUP, Pooled, pooled
from quizzes.words import halves

SHOWN = 5
"""Whole groups in one figure; the latest has what is left over beside them."""


@dataclass(frozen=True)
class Point:
    """One exercise with its grade under the key that was in force when it was handed in."""

    kind: str
    attempt: int
    title: str
    difficulty: str
    handed_in_at: datetime
    number: int
    share: float
    pairs_agreed: float
    pairs_counted: int
    chance: float | None

    @property
    def is_first(self) -> bool:
        """Whether the exercise was new to the person; doing it again is no new evidence."""
        return self.number == 1

    @property
    def level(self) -> str:
        """How close it was."""
        return str(Revision.Difficulty(self.difficulty).label)

    @property
    def outcome(self) -> str:
        return str(kind_named(self.kind).outcome(self))


@dataclass(frozen=True)
class Group:
    """Exercises taken together.

    first, last : from which to which of them, counted from 1
    """

    points: Sequence[Point]
    first: int
    result: Pooled

    @property
    def last(self) -> int:
        return self.first + len(self.points) - 1

    @property
    def agreed(self) -> str:
        values = {"agreed": halves(self.result.agreed), "counted": self.result.counted}
        return _("%(agreed)s of %(counted)s") % values

    @property
    def of_hundred(self) -> int:
        return round(self.result.share * 100)

    @property
    def between(self) -> str:
        """The interval, said of a hundred."""
        if self.result.low is None:
            return _("all alike, so no telling")
        values = {
            "low": round(self.result.low * 100),
            "high": round(self.result.high * 100),
        }
        return _("%(low)s to %(high)s of 100") % values


class Series:
    """Everything of one kind in one module that was new to the person, the earliest first, and in groups.

    Doing an exercise again is no new evidence; how often is counted, and that is all.
    """

    def __init__(self, kind: str, points: Sequence[Point]):
        self.kind = kind_named(kind)
        self.points = [point for point in points if point.is_first]
        self.again = len(points) - len(self.points)
        whole = len(self.points) // GROUP * GROUP
        self.groups = [
            _group(self.points[at : at + GROUP], at + 1)
            for at in range(0, whole, GROUP)
        ]

    @property
    def to_go(self) -> int:
        """How many more make the next group."""
        return GROUP - len(self.points) % GROUP

    @property
    def pages(self) -> int:
        return max(-(-len(self.groups) // SHOWN), 1)

    def shown(self, page: int) -> tuple[list[Point], list[Group]]:
        """The points of one page (1 is the latest), and its groups."""
        end = len(self.groups) - (page - 1) * SHOWN
        begin = max(end - SHOWN, 0)
        last = None if page == 1 else end * GROUP
        return self.points[begin * GROUP : last], self.groups[begin:end]

    def label(self, page_points: Sequence[Point]) -> str:
        """The picture in a sentence, for whoever does not see it."""
        text = ngettext(
            "%(kind)s: %(n)s result, from %(first)s to %(last)s. The tables below say the same.",
            "%(kind)s: %(n)s results, from %(first)s to %(last)s. The tables below say the same.",
            len(page_points),
        )
        return text % {
            "kind": self.kind.label,
            "n": len(page_points),
            "first": page_points[0].outcome,
            "last": page_points[-1].outcome,
        }

    def in_words(self) -> list[str]:
        """What the figure shows, in sentences."""
        return [*self._how_many(), *self._how_sure()]

    def _how_many(self):
        n = len(self.points)
        text = ngettext("One done.", "%(n)s done.", n) % {"n": n}
        if self.again:
            more = ngettext(
                "One more was not new to you; it is in the list, not in this picture.",
                "%(n)s more were not new to you; they are in the list, not in this picture.",
                self.again,
            )
            text = f"{text} {more % {'n': self.again}}"
        yield text

    def _how_sure(self):
        if not self.groups:
            text = ngettext(
                "Too few to say much. After one more, eight can be taken together.",
                "Too few to say much. After %(n)s more, eight can be taken together.",
                self.to_go,
            )
            yield text % {"n": self.to_go}
            return
        last = self.groups[-1]
        values = {
            "agreed": last.agreed,
            "share": last.of_hundred,
            "between": last.between,
        }
        if last.result.low is None:
            yield (
                _("In the last eight together: %(agreed)s as the mentor has it.")
                % values
            )
        else:
            text = _(
                "In the last eight together: %(agreed)s as the mentor has it, which is "
                "%(share)s of 100. With eight others like these it would probably be %(between)s."
            )
            yield text % values
        if len(self.groups) > 1:
            yield self._then_and_now()

    def _then_and_now(self) -> str:
        first, last = self.groups[0], self.groups[-1]
        if not last.result.is_apart_from(first.result):
            return _("We can't tell them apart from your first eight yet.")
        values = {"share": first.of_hundred}
        if last.result.share > first.result.share:
            text = _(
                "In your first eight it was %(share)s of 100: more has changed than chance would."
            )
        else:
            text = _(
                "In your first eight it was %(share)s of 100, more than now; look whether the later ones were closer."
            )
        return text % values


def _group(points: Sequence[Point], first: int) -> Group:
    results = [(point.pairs_agreed, point.pairs_counted) for point in points]
    return Group(points, first, pooled(results))


def series_of(mine) -> list[Series]:
    """The series of those attempts (a queryset), by kind; one query.

    What counts nothing, or waits for a mark, has no share and is left out.
    """
    grades = Grade.objects.filter(
        attempt__in=mine.finished().order_by().values("pk"),
        revision=F("attempt__revision"),
        share__isnull=False,
        pairs_counted__gt=0,
    )
    rows = grades.order_by("attempt__handed_in_at", "attempt__pk").values_list(
        "attempt__revision__exercise__kind",
        "attempt",
        "attempt__revision__title",
        "attempt__revision__difficulty",
        "attempt__handed_in_at",
        "attempt__number",
        "share",
        "pairs_agreed",
        "pairs_counted",
        "chance",
    )
    by_kind = defaultdict(list)
    for row in rows:
        point = Point(*row)
        by_kind[point.kind].append(point)
    found = [Series(kind, by_kind[kind]) for kind in sorted(by_kind)]
    return [series for series in found if series.points]
