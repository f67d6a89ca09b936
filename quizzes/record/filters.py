"""Which part of the record is looked at: one module, one kind of exercise, one period."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property

from django import forms
from django.db.models import Count, F, Max, Min
from django.utils.timezone import localtime
from django.utils.translation import gettext_lazy as _

from quizzes.kinds import kind_named

DAYS = [
    ("30", _("the last 30 days")),
    ("90", _("the last three months")),
    ("365", _("the last twelve months")),
]


@dataclass(frozen=True)
class Part:
    """What somebody did of one kind in one module: how much, and from when to when."""

    module: int
    breed: str
    club: str
    kind: str
    n: int
    first: datetime
    latest: datetime


class Parts:
    """All parts of somebody's record, counted in one query."""

    def __init__(self, mine):
        """mine : the person's attempts (a queryset)"""
        rows = mine.finished().order_by("revision__exercise__module__breed__name")
        self.all = [
            Part(**row)
            for row in rows.values(
                module=F("revision__exercise__module"),
                breed=F("revision__exercise__module__breed__name"),
                club=F("revision__exercise__module__club__name"),
                kind=F("revision__exercise__kind"),
            ).annotate(
                n=Count("pk"), first=Min("handed_in_at"), latest=Max("handed_in_at")
            )
        ]

    def __bool__(self):
        return bool(self.all)

    @property
    def n(self) -> int:
        return sum(part.n for part in self.all)

    @property
    def latest_module(self) -> int | None:
        """The module in which something was handed in last."""
        latest = max(self.all, key=lambda part: part.latest, default=None)
        return latest and latest.module

    @cached_property
    def modules(self) -> dict[int, str]:
        """What each module is called; with its club where two are about one breed."""
        named = {part.module: (part.breed, part.club) for part in self.all}
        alike = Counter(breed for breed, _club in named.values())
        return {
            module: f"{breed}, {club}" if alike[breed] > 1 else breed
            for module, (breed, club) in named.items()
        }

    @cached_property
    def kinds(self) -> dict[str, str]:
        slugs = sorted({part.kind for part in self.all})
        return {slug: str(kind_named(slug).label) for slug in slugs}

    def years(self, now: datetime) -> list[str]:
        """The years in which something may have been handed in, the latest first."""
        if not self.all:
            return []
        first = localtime(min(part.first for part in self.all)).year
        return [str(year) for year in range(localtime(now).year, first - 1, -1)]


class RecordFilter(forms.Form):
    """What an address asks for; nonsense in it asks for nothing."""

    module = forms.ChoiceField(label=_("Breed"), required=False)
    kind = forms.ChoiceField(label=_("Kind of exercise"), required=False)
    period = forms.ChoiceField(label=_("When"), required=False)

    def __init__(self, asked, *, parts: Parts, now: datetime):
        super().__init__(asked)
        self.now = now
        years = [(year, year) for year in parts.years(now)]
        self.fields["module"].choices = [("", _("all breeds")), *_pairs(parts.modules)]
        self.fields["kind"].choices = [("", _("all kinds")), *_pairs(parts.kinds)]
        self.fields["period"].choices = [("", _("at any time")), *DAYS, *years]
        for field in self.fields.values():
            # Nothing has to be chosen, so nothing is marked as optional.
            field.needed = True
        self.is_valid()

    @property
    def is_narrowed(self) -> bool:
        """Whether less than everything is looked at."""
        return any(self.cleaned_data.values())

    def found(self, mine):
        """Those of the attempts (a queryset) that are asked for."""
        asked = self.cleaned_data
        if asked.get("module"):
            mine = mine.filter(revision__exercise__module=asked["module"])
        if asked.get("kind"):
            mine = mine.filter(revision__exercise__kind=asked["kind"])
        return of_period(mine, asked.get("period"), self.now)


def of_period(mine, period: str | None, now: datetime):
    """Those of the attempts (a queryset) that were handed in then: a number of days, or a year."""
    if not period:
        return mine
    if period in dict(DAYS):
        return mine.filter(handed_in_at__gte=now - timedelta(days=int(period)))
    here = localtime(now).tzinfo
    begin, end = (datetime(int(period) + n, 1, 1, tzinfo=here) for n in (0, 1))
    return mine.filter(handed_in_at__gte=begin, handed_in_at__lt=end)


class ProgressFilter(RecordFilter):
    """The same for the pictures of progress, which are of one module: the last one unless another is chosen."""

    def __init__(self, asked, *, parts: Parts, now: datetime):
        latest = str(parts.latest_module or "")
        super().__init__({"module": latest, **asked.dict()}, parts=parts, now=now)
        self.fields["module"].choices = _pairs(parts.modules)
        if not self.cleaned_data.get("module"):
            self.data["module"] = self.cleaned_data["module"] = latest

    @property
    def is_narrowed(self) -> bool:
        return bool(self.cleaned_data.get("kind") or self.cleaned_data.get("period"))

    @property
    def page(self) -> int:
        """Which page of a figure, 1 being the latest; only where one kind is looked at."""
        page = self.data.get("page", "")
        one_kind = bool(self.cleaned_data.get("kind"))
        return int(page) if one_kind and page.isdecimal() and len(page) < 5 else 1


def _pairs(named: dict) -> list[tuple[str, str]]:
    return [(str(value), label) for value, label in named.items()]
