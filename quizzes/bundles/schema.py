"""The published schema, as far as it follows from the kinds of exercise: their documents say what they hold.

`manage.py write_schema` writes it; a test fails while the published one says otherwise.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path

from django.conf import settings

from quizzes.bundles.kinds import KINDS

FILE = "schemas/module-1.schema.json"
"""Below static/, so that every site serves the schema it checks by."""
BY_HAND = {"placing": "class", "critique": "critique"}
"""Kinds whose definitions are written in the file itself, and what they are called there."""


def path() -> Path:
    return settings.BASE_DIR / "static" / FILE


@cache
def published() -> dict:
    return json.loads(path().read_text(encoding="utf-8"))


def with_kinds(schema: Mapping) -> dict:
    """The schema with what every kind holds, beside what is written by hand."""
    definitions = dict(schema["$defs"])
    for slug in KINDS.keys() - BY_HAND.keys():
        content, key = KINDS[slug].shapes
        definitions |= {slug: content, f"{slug}_key": key}
    exercise = {**definitions["exercise"], "allOf": [_holds(slug) for slug in KINDS]}
    ordered = dict(sorted({**definitions, "exercise": exercise}.items()))
    return json.loads(json.dumps({**schema, "$defs": ordered}))


def _holds(slug: str) -> dict:
    name = BY_HAND.get(slug, slug)
    parts = {"content": name, "key": f"{name}_key"}
    return {
        "if": {"properties": {"type": {"const": slug}}},
        "then": {
            "properties": {
                part: {"$ref": f"#/$defs/{one}"} for part, one in parts.items()
            }
        },
    }


def written(schema: Mapping) -> str:
    """The schema as it stands in its file."""
    return json.dumps(schema, ensure_ascii=False, indent=2) + "\n"
