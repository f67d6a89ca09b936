"""The items of an assessment as its pages list them, in two queries."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import F
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from quizzes.kinds import kind_named
from quizzes.kinds.placing.kind import KIND as PLACING
from quizzes.kinds.unfinished import goes_as_far
from quizzes.models import AssessmentItem, Revision
from quizzes.practice.forms import DIFFICULTIES, SEXES


@dataclass(frozen=True)
class Listed:
    """One item: what it is called, its kind, how many things it asks, and how often it was answered in practice."""

    number: int
    item: AssessmentItem
    title: str
    kind: object
    size: int
    practised: int = 0

    @property
    def counted(self) -> str:
        return self.kind.counted % {"n": self.size}

    @property
    def is_made(self) -> bool:
        return self.item.exercise_id is None

    @property
    def kept_back(self) -> bool:
        return not self.is_made and self.item.exercise.kept_back


def items_of(assessment) -> list[Listed]:
    items = list(assessment.items.select_related("exercise"))
    last = _last_revisions(one.exercise_id for one in items if one.exercise_id)
    return [_listed(n, one, last) for n, one in enumerate(items, start=1)]


def _last_revisions(exercises) -> dict[int, dict]:
    rows = (
        Revision.objects.filter(exercise__in=list(exercises))
        .exclude(state=Revision.State.DRAFT)
        .order_by("number")
        .values("exercise_id", "title", "size", "handed_in", kind=F("exercise__kind"))
    )
    found = {}
    for row in rows:
        before = found.get(row["exercise_id"], {"practised": 0})
        row["practised"] = before["practised"] + row["handed_in"]
        found[row["exercise_id"]] = row
    return found


def _listed(number, item, last) -> Listed:
    if item.exercise_id is None:
        return Listed(number, item, wish_said(item.wish), PLACING, item.wish["size"])
    row = last.get(item.exercise_id, {})
    return Listed(
        number,
        item,
        row.get("title", ""),
        kind_named(item.exercise.kind),
        row.get("size", 0),
        row.get("practised", 0),
    )


def wish_said(wish) -> str:
    """ "A class made for each person: dogs, middling"."""
    values = {
        "sex": str(dict(SEXES)[wish["sex"]]).lower(),
        "difficulty": str(dict(DIFFICULTIES)[wish["difficulty"]]).lower(),
    }
    return _("A class made for each person: %(sex)s, %(difficulty)s") % values


def rules_said(kinds) -> list[str]:
    """How an answer that is not whole is graded, by kind."""
    far = _("%(kind)s: graded as far as it goes; what is missing counts as wrong.")
    marked = _("%(kind)s: read by a mentor as it stands.")
    whole = _("%(kind)s: counts only if it is whole.")
    without = _("%(kind)s: has a result but no points, so it does not count.")
    found = []
    for kind in kinds:
        if not getattr(kind, "gives_points", True):
            text = without
        elif kind.is_marked:
            text = marked
        else:
            text = far if goes_as_far(kind) else whole
        found.append(capfirst(text % {"kind": kind.label}))
    return list(dict.fromkeys(found))
