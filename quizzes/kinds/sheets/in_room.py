"""A sheet answered by a room at once: how often each answer was given, and what one person is told."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping

from quizzes.kinds.sheets.kind import SheetKind


def has_pictures(kind: SheetKind, content: Mapping) -> bool:
    """Whether rows show pictures: those are served to the attempts of members alone."""
    holders = (row.holders() for row in kind.sheet(content) if hasattr(row, "holders"))
    return any(one["image"] for places in holders for one in places.values())


def gathered(
    kind: SheetKind, content: Mapping, key: Mapping, answers: Iterable[Mapping]
) -> dict:
    """Each row with its answers and how many gave each, the most frequent first."""
    sheet, known = kind.sheet(content), kind.key(key)
    counts: dict[str, Counter] = defaultdict(Counter)
    for answer in answers:
        counts_of = kind.marks(answer)
        for row, word in counts_of:
            counts[row][word] += 1
    return {
        "kind": "sheet",
        "rows": [
            {
                "number": n,
                "named": str(kind.named(row)),
                "key": str(kind.key_said(row, kind.known_of(known, row))),
                "answers": [
                    {
                        "said": str(kind.tally_words(row, word)),
                        "count": count,
                        "right": kind.is_right(row, kind.known_of(known, row), word),
                    }
                    for word, count in counts[row.id].most_common()
                ],
            }
            for n, row in enumerate(sheet, start=1)
        ],
    }


def told(kind: SheetKind, content, key, shown, answer, result) -> dict:
    """Row by row one's own answer beside the key, in the order of one's own sheet."""
    sheet, known = kind.sheet(content), kind.key(key)
    rows, given = sheet.by_id, answer["items"]
    return {
        "rows": [
            {
                "number": n,
                "named": kind.named(rows[pk]),
                "yours": kind.said_of(rows[pk], given[pk]) if pk in given else "",
                "key": kind.key_said(rows[pk], kind.known_of(known, rows[pk])),
                "why": getattr(kind.known_of(known, rows[pk]), "why", ""),
                "points": result["points"].get(pk, 0),
            }
            for n, pk in enumerate(shown["order"], start=1)
            if pk in rows
        ]
    }
