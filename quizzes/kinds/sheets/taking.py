"""A sheet in a record that is taken away, and what may stay of it once the person is gone."""

from __future__ import annotations

import json
import re

from quizzes.kinds.base import Interaction

ID = re.compile(r"[\w.+-]{1,60}")
"""What an id in a record may be: no blanks, and nothing that the joins between ids are made of."""


def interaction(kind, content, answer) -> Interaction:
    """Rows matched with values; as plain text where a value is more than one word or number.

    No right answers are listed: rows may take several values as right, wholly or in half.
    """
    sheet, given = kind.sheet(content), answer.get("items", {})
    rows = [row for row in sheet if row.id in given]
    values = {row.id: _id_of(given[row.id]) for row in rows}
    if not rows or None in values.values():
        return Interaction(type="other", response=json.dumps(given, ensure_ascii=False))
    said = {values[row.id]: str(kind.said_of(row, given[row.id])) for row in rows}
    return Interaction(
        type="matching",
        response="[,]".join(f"{row.id}[.]{values[row.id]}" for row in rows),
        components={
            "source": [(row.id, str(kind.named(row))) for row in rows],
            "target": list(said.items()),
        },
    )


def anonymous(answer) -> dict | None:
    """The values as they are where they are chosen or measured; None where one may hold written words."""
    items = answer["items"]
    return {"items": items} if all(map(_is_chosen, items.values())) else None


def _is_chosen(value) -> bool:
    if isinstance(value, dict):
        return all(isinstance(one, int | float) for one in value.values())
    values = value if isinstance(value, list) else [value]
    return all(isinstance(one, bool) or _id_of(one) is not None for one in values)


def _id_of(value) -> str | None:
    """The value as an id; None if it is more than a word or a number."""
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        return None
    text = str(value)
    return text if ID.fullmatch(text) else None
