"""What a document may hold, as JSON Schema, read from the type hints of its dataclass.

A hint is narrowed where it says too little: Annotated[str, Says(maxLength=80)] or Annotated[str, one_of(Ruling)].
What the schema of a bundle defines already is referred to by name.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import MISSING, fields, is_dataclass
from types import NoneType, UnionType
from typing import Annotated, Any, Union, get_args, get_origin, get_type_hints


class Says(dict):
    """A piece of schema; hints are compared and kept in sets, so it can be hashed."""

    def __hash__(self) -> int:  # type: ignore[override]
        return hash(json.dumps(self, sort_keys=True))


MOST = 40
"""Things in a list, unless a hint says otherwise."""
ID = Says(pattern="^[A-Za-z0-9]{1,20}$")
"""Of a row or of what is chosen in it: it stands in addresses and in the running tallies."""
PHOTO = Says(pattern="^([0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12})?$")
SLUG = Says(pattern="^[-a-zA-Z0-9_]{1,50}$")
BREED = Says(pattern="^[-a-zA-Z0-9_]{0,50}$")
NAME, LINE, SAID = Says(maxLength=120), Says(maxLength=400), Says(maxLength=2000)
PLAIN: dict[Any, dict] = {
    str: {"$ref": "#/$defs/text"},
    bool: {"type": "boolean"},
    int: {"type": "integer"},
    float: {"type": "number"},
    NoneType: {"type": "null"},
}


def one_of(values: Iterable[str], *, or_none: bool = True) -> Says:
    """One of these words; or none, where a draft may not say it yet."""
    none = [""] if or_none else []
    return Says(enum=[*none, *(str(one) for one in values)])


def at_most(things: int) -> Says:
    """So many in a list."""
    return Says(maxItems=things)


def span(low: float, high: float) -> Says:
    return Says(minimum=low, maximum=high)


def named(definition: str) -> Says:
    """What the schema of a bundle calls so."""
    return Says({"$ref": f"#/$defs/{definition}"})


def empty_or(shape: Mapping) -> Says:
    """An object of that shape, or one with nothing in it."""
    return Says(type="object", anyOf=[{"maxProperties": 0}, dict(shape)])


def shape_of(hint: Any) -> dict:
    """The JSON Schema of a hint. Raises TypeError for one that does not say what it holds."""
    origin, args = get_origin(hint), get_args(hint)
    if origin is Annotated:
        return _narrowed(*args)
    if hint in PLAIN:
        return dict(PLAIN[hint])
    if is_dataclass(hint):
        return getattr(hint, "shape", None) or _object(hint)
    if origin in (tuple, frozenset):
        alone = {"uniqueItems": True} if origin is frozenset else {}
        return {"type": "array", "maxItems": MOST, **alone, "items": shape_of(args[0])}
    if origin in (Union, UnionType):
        return {"anyOf": [shape_of(one) for one in args]}
    if isinstance(origin, type) and issubclass(origin, Mapping):
        names = {"maxLength": 60} if args[0] is str else shape_of(args[0])
        return {
            "type": "object",
            "maxProperties": MOST,
            "propertyNames": names,
            "additionalProperties": shape_of(args[1]),
        }
    raise TypeError(f"{hint} does not say what it holds")


def _narrowed(base: Any, *more: Any) -> dict:
    (said,) = more
    if isinstance(said, type):
        return shape_of(said)
    if said.keys() & {"$ref", "anyOf", "enum", "properties"}:
        return dict(said)
    plain = {"type": "string"} if base is str else shape_of(base)
    return {**plain, **said}


def _object(cls: type) -> dict:
    """What has no default has to be there, and so has an id, which has to stay the same."""
    hints = get_type_hints(cls, include_extras=True)
    needed = [
        one.name
        for one in fields(cls)
        if one.name == "id" or one.default is one.default_factory is MISSING
    ]
    return obj({one.name: shape_of(hints[one.name]) for one in fields(cls)}, needed)


def obj(properties: Mapping[str, dict], required: Iterable[str] = ()) -> dict:
    """An object with these members; others are told and passed over."""
    return {
        "type": "object",
        "properties": dict(properties),
        "required": list(required),
        "unevaluatedProperties": False,
    }
