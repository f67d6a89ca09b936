"""The documents of a sheet: what is asked, row by row, and the key's row for each."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Mapping
from dataclasses import asdict, dataclass, field, fields
from typing import Annotated, Any, ClassVar, Self

from quizzes.kinds import shapes


def new_row_id(rng: random.Random | None = None) -> str:
    """An id that means nothing."""
    return f"{(rng or random.SystemRandom()).getrandbits(32):08x}"


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
    """One thing that is asked. Kinds add what is shown; every field has a default, for rows still to be written.

    whole : the dataclass of what the kind asks about the whole sheet (Sheet.more), where it does
    """

    id: Annotated[str, shapes.ID] = field(default_factory=new_row_id)
    whole: ClassVar[type[Document] | None] = None

    # How a row goes from club to club (quizzes/bundles/sheets.py).

    def travelling(self) -> dict:
        """The row without what means something in its own club alone."""
        return self.document()

    def for_reading(self) -> dict:
        """The same without anything that tells the key."""
        return self.travelling()

    def with_photographs(self, name: Callable[[str], str]) -> Self:
        """The row with each photograph under another id; "" takes it away."""
        return self

    def plates(self) -> Iterator[Mapping]:
        """The dogs that are drawn in it, as the workbench keeps them."""
        return iter(())

    def misfits(self, known: Known) -> Iterator[str]:
        """Why the row and its key can't be stored, though each field holds what it may, in words."""
        return iter(())

    def priorities(self, known: Known) -> frozenset[str]:
        """The priorities that row or key speak of, by slug."""
        return frozenset()


@dataclass(frozen=True)
class Known(Document):
    """What the key says of one thing.

    why : shown once the answer is in
    """

    why: Annotated[str, shapes.SAID] = ""


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
