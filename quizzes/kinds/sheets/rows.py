"""The documents of a sheet: what is asked, row by row, and the key's row for each."""

from __future__ import annotations

import secrets
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, field, fields
from typing import Any, Self


def new_row_id() -> str:
    return secrets.token_hex(4)


def _frozen(value: Any) -> Any:
    return tuple(map(_frozen, value)) if isinstance(value, list) else value


def _thawed(value: Any) -> Any:
    """The value as JSON gives it back."""
    if isinstance(value, Mapping):
        return {name: _thawed(one) for name, one in value.items()}
    return [*map(_thawed, value)] if isinstance(value, list | tuple) else value


@dataclass(frozen=True)
class Document:
    """A document with these fields; what it lacks has its default, what is unknown is passed over."""

    @classmethod
    def read(cls, document: Mapping) -> Self:
        names = {one.name for one in fields(cls)}
        known = {name: document[name] for name in document if name in names}
        return cls(**{name: _frozen(value) for name, value in known.items()})

    def document(self) -> dict:
        return _thawed(asdict(self))

    def texts(self) -> Iterator[tuple[str, str]]:
        """Every text in it that somebody reads, by a name that stays."""
        for one in fields(self):
            value = getattr(self, one.name)
            if isinstance(value, str) and value and one.name != "id":
                yield one.name, value


@dataclass(frozen=True)
class Asked(Document):
    """One thing that is asked. Kinds add what is shown; every field has a default, for rows still to be written."""

    id: str = field(default_factory=new_row_id)


@dataclass(frozen=True)
class Known(Document):
    """What the key says of one thing.

    why : shown once the answer is in
    """

    why: str = ""


@dataclass(frozen=True)
class Sheet:
    """All that is asked, and whether each attempt mixes the order anew.

    more : what the kind asks about the whole sheet, as a document
    """

    rows: tuple[Asked, ...] = ()
    mixed: bool = True
    more: Mapping = field(default_factory=dict)

    def document(self) -> dict:
        return {
            "items": [row.document() for row in self.rows],
            "mixed": self.mixed,
            **self.more,
        }

    def __iter__(self) -> Iterator[Asked]:
        return iter(self.rows)

    def __len__(self) -> int:
        return len(self.rows)

    @property
    def by_id(self) -> dict[str, Asked]:
        return {row.id: row for row in self.rows}


def read_sheet(row: type[Asked], document: Mapping) -> Sheet:
    """The sheet of a stored content, with its rows as that class."""
    more = {k: v for k, v in document.items() if k not in ("items", "mixed")}
    rows = tuple(row.read(one) for one in document.get("items", ()))
    return Sheet(rows, document.get("mixed", True), more)


def read_key(known: type[Known], document: Mapping) -> dict[str, Known]:
    """What a stored key says of each row, by its id."""
    return {pk: known.read(one) for pk, one in document.get("items", {}).items()}


def key_document(key: Mapping[str, Known]) -> dict:
    return {"items": {pk: one.document() for pk, one in key.items()}}
