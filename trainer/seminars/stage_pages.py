"""What the stage shows of a result, one page at a time, so that all of it can be read from the back.

The mentor turns the pages from the rostrum, whichever machine the projector hangs on.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import ceil
from typing import Any

from django.utils.translation import gettext as _

from trainer.seminars.models import Sitting

MOST_PARTED = 4
MOST_PAIRS = 36
MOST_HEAPS = 4
ROOM, LINE, BETWEEN = 30.0, 2.3, 1.2
"""The height of a page of answers, of a line and of what is between two rows, in hundredths of the width."""
LETTERS = 700
"""How many letters of reasons fit on a page; the first reason is shown however long it is."""
COUNTED_ROWS = 12


@dataclass(frozen=True)
class Page:
    """title : what the rostrum calls it; shows : what its template takes, by the same name as `shown`"""

    name: str
    title: str
    shows: dict[str, Any] = field(default_factory=dict)


def pages(sitting: Sitting, told: dict) -> list[Page]:
    """The pages of a result that is shown, in order; told : stage.result_told."""
    if told["too_few"]:
        return [Page("few", _("Too few to show"))]
    made = _placing(told) if told.get("kind") == "placing" else _sheet(told)
    if sitting.line or told.get("note") or _has_change(told):
        made.append(Page("words", _("What is said on it")))
    return made


def _has_change(told) -> bool:
    return bool(told.get("change") and told["change"]["told"])


def _placing(told) -> list[Page]:
    made = [Page("orders", _("Who was put where"))]
    parted = parted_pairs(told["pairs"])
    if parted:
        made.append(Page("reasons", _("Where the room parts"), {"pairs": parted}))
    every = shares(told["pairs"])
    for at in range(0, len(every), MOST_PAIRS):
        some = every[at : at + MOST_PAIRS]
        title = _("Every pair")
        made.append(Page("pairs", title, {"pairs": some, "from": at}))
    return made


def parted_pairs(pairs) -> list[dict]:
    """The pairs that the room has least as the key has them, as many as can be read with their reasons."""
    wrong = [one for one in pairs if one["of"] and one["agreed"] < one["of"]]
    wrong.sort(key=lambda one: one["agreed"] / one["of"])
    found, letters = [], 0
    for one in wrong[:MOST_PARTED]:
        letters += len(one["reason"]) + 80
        if found and letters > LETTERS:
            break
        found.append({**one, "other": one["of"] - one["agreed"]})
    return found


def shares(pairs) -> list[dict]:
    """Every pair that anybody placed, the least as the key has it first."""
    told = [
        {**one, "wrong": 2 * one["agreed"] < one["of"]} for one in pairs if one["of"]
    ]
    return sorted(told, key=lambda one: one["agreed"] / one["of"])


def _sheet(told) -> list[Page]:
    keyed = [row_told(one) for one in told["rows"] if one.get("key")]
    made = _answers(keyed)
    whys = _whys(keyed)
    if whys:
        made.append(Page("whys", _("Why the key has it so"), {"rows": whys}))
    for one in told["rows"]:
        if not one.get("key"):
            shows = {"row": {**one, "answers": one["answers"][:COUNTED_ROWS]}}
            made.append(Page("counts", one["named"], shows))
    return made


def _answers(rows) -> list[Page]:
    """All rows on one page, or those that fewest have as the key first, over a few pages."""
    heaps = _heaps(rows)
    if len(heaps) > 1:
        heaps = _heaps(sorted(rows, key=_share))
    made, at = [], 0
    for heap in heaps[:MOST_HEAPS]:
        title = _("The answers") if len(heaps) == 1 else _part(at, heap, len(rows))
        shows = {"rows": heap, "first": at == 0, "sorted": len(heaps) > 1}
        made.append(Page("rows", title, shows))
        at += len(heap)
    return made


def _share(row) -> float:
    return row["right"] / row["of"] if row["of"] else 1


def _heaps(rows) -> list[list[dict]]:
    """As many rows on each page as its height has room for."""
    heaps: list[list[dict]] = []
    used = ROOM
    for row in rows:
        other = row["other"]["said"] if row["other"] else ""
        texts = ((row["named"], 34), (row["short"], 24), (other, 22))
        lines = max(ceil(min(len(text), 2 * wide) / wide) for text, wide in texts)
        high = LINE * max(lines, 1) + BETWEEN
        if used + high > ROOM:
            heaps.append([])
            used = 0
        heaps[-1].append(row)
        used += high
    return heaps


def _whys(rows) -> list[dict]:
    """Why the key has it so, where fewest had it; as many as can be read."""
    found, letters = [], 0
    for row in sorted(rows, key=_share):
        if not row.get("why") or row["right"] == row["of"]:
            continue
        letters += len(row["why"]) + len(row["named"]) + 60
        if found and letters > LETTERS:
            break
        found.append(row)
    return found[:MOST_PARTED]


def _part(at: int, some, of: int) -> str:
    values = {"first": at + 1, "last": at + len(some), "of": of}
    return _("The answers, %(first)s to %(last)s of %(of)s") % values


def row_told(row) -> dict:
    """A row with how many have it as the key, and the answer that most of the others gave."""
    others = [one for one in row["answers"] if not one["right"]]
    given = sum(one["count"] for one in row["answers"])
    right = given - sum(one["count"] for one in others)
    return {
        **row,
        "short": row.get("short") or row["key"],
        "right": row.get("right", right),
        "of": row.get("of", given),
        "other": others[0] if others else None,
    }


def page_at(sitting: Sitting, told: dict) -> dict:
    """The page that the stage is at, with where it stands among the others."""
    every = pages(sitting, told)
    at = min(max(sitting.page, 0), len(every) - 1)
    return {
        "page": every[at],
        "number": at + 1,
        "of": len(every),
        "before": at - 1 if at else None,
        "after": at + 1 if at + 1 < len(every) else None,
        "titles": [one.title for one in every],
    }
