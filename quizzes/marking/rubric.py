"""What marks are given for: a few rows, each with the most points it can get.

A rubric stands in the key of a revision, so it is copied and frozen with it, and every mark stays with the
rubric it was given under.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

MOST_ROWS = 8
MOST_POINTS = 50


@dataclass(frozen=True)
class RubricRow:
    name: str
    most: int


@dataclass(frozen=True)
class Rubric:
    rows: tuple[RubricRow, ...] = ()

    @classmethod
    def read(cls, document: Sequence[Mapping]) -> Rubric:
        return cls(tuple(RubricRow(**row) for row in document))

    def document(self) -> list[dict]:
        return [{"name": row.name, "most": row.most} for row in self.rows]

    def __iter__(self) -> Iterator[RubricRow]:
        return iter(self.rows)

    def __len__(self) -> int:
        return len(self.rows)

    @property
    def most(self) -> int:
        """The points of a faultless piece."""
        return sum(row.most for row in self.rows)


def with_rows(mark, rubric: Rubric) -> dict:
    """A final mark with each row of its rubric, as the pages show it."""
    return {
        "mark": mark,
        "rows": list(zip(rubric, mark.points, mark.comments, strict=True)),
        "total": mark.total,
        "most": rubric.most,
    }


def usual_rubric() -> Rubric:
    """Fifty points, the most of them for what is true of the dog; the mentor edits it.

    The heads under which reasons are marked are common practice; the points are our own choice.
    """
    rows = (
        (_("Accuracy: what is said is true of this dog"), 20),
        (_("Priorities and completeness: the big things first"), 10),
        (_("Terms and comparison with the breed's ideal"), 10),
        (_("Order and wording"), 10),
    )
    return Rubric(tuple(RubricRow(name, most) for name, most in rows))
