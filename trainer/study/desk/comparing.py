"""Two revisions of a module beside each other: what was added, taken out, moved, and said anew."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trainer.study.models import ModuleRevision
from trainer.study.parts import PARTS, module_document
from trainer.study.reading import LEVEL_WORDS

LABELS = {
    "title": gettext_lazy("Title"),
    "introduction": gettext_lazy("Introduction"),
    "standard title": gettext_lazy("Standard"),
    "standard date": gettext_lazy("Edition of the standard"),
    "standard note": gettext_lazy("Standard and opinion"),
    "standard link": gettext_lazy("Link to the standard"),
    "examination where": gettext_lazy("Where the dog is examined"),
    "examination introduction": gettext_lazy("Before the examination"),
    "name": gettext_lazy("name"),
    "weight": gettext_lazy("weight"),
    "look_for": gettext_lazy("look for"),
    "feel_for": gettext_lazy("feel for"),
    "why_it_matters": gettext_lazy("why it matters"),
    "plate": gettext_lazy("drawn faults"),
    "where": gettext_lazy("where the hand goes"),
    "sense": gettext_lazy("by eye or by hand"),
    "instruction": gettext_lazy("what to do"),
    "find": gettext_lazy("what to find"),
    "caution": gettext_lazy("caution"),
    "description": gettext_lazy("what it is"),
    "severity": gettext_lazy("severity"),
    "ruling": gettext_lazy("ruling"),
    "priority": gettext_lazy("priority"),
    "forms": gettext_lazy("other forms"),
    "meaning": gettext_lazy("what it means"),
    "number": gettext_lazy("place in the order"),
}


@dataclass(frozen=True)
class Change:
    """One thing that differs.

    words : pieces of the text with "same", "old" or "new", in reading order
    """

    where: str
    what: str
    words: Sequence[tuple[str, str]]


def changes(older: ModuleRevision, newer: ModuleRevision) -> list[Change]:
    """Everything the two revisions say differently, in the order of the module."""
    before, after = module_document(older), module_document(newer)
    found = list(_head(before, after))
    for part in PARTS.values():
        found += _part(
            part.slug, _rows_of(before, part.slug), _rows_of(after, part.slug)
        )
    return found


def _head(before: Mapping, after: Mapping) -> Iterator[Change]:
    old, new = _head_texts(before), _head_texts(after)
    for name, text in new.items():
        if text != old[name]:
            yield Change(_("The module"), str(LABELS[name]), worded(old[name], text))


def _head_texts(document: Mapping) -> dict[str, str]:
    found = {"title": document["title"], "introduction": document["introduction"]}
    for group, names in (
        ("standard", ("title", "date", "note", "link")),
        ("examination", ("where", "introduction")),
    ):
        found |= {f"{group} {name}": document[group][name] for name in names}
    return found


def _rows_of(document: Mapping, part: str) -> dict[str, dict]:
    """The rows by what they are known by: a slug, else a name; each with its number."""
    rows = document["examination"]["steps"] if part == "steps" else document[part]
    return {
        row.get("slug", row["name"]): {**row, "number": number}
        for number, row in enumerate(rows, start=1)
    }


def _part(part: str, before: Mapping, after: Mapping) -> Iterator[Change]:
    one = str(PARTS[part].one).capitalize()
    for key, row in before.items():
        if key not in after:
            where = f"{one} “{row['name']}”"
            yield Change(where, _("taken out"), [("old", row["name"])])
    for key, row in after.items():
        where = f"{one} “{row['name']}”"
        if key not in before:
            yield Change(where, _("added"), [("new", row["name"])])
        else:
            yield from _row(where, before[key], row)


def _row(where: str, old: Mapping, new: Mapping) -> Iterator[Change]:
    for name in new:
        if name == "slug" or old[name] == new[name]:
            continue
        if name == "phrases":
            yield from _phrases(where, old[name], new[name])
        elif name == "sections":
            yield from _sections(where, old[name], new[name])
        else:
            words = worded(_text(old[name]), _text(new[name]))
            yield Change(where, str(LABELS[name]), words)


def _phrases(where: str, old: Sequence[str], new: Sequence[str]) -> Iterator[Change]:
    for word, before, after in zip(LEVEL_WORDS, old, new, strict=True):
        if before != after:
            yield Change(where, str(word), worded(before, after))


def _sections(where: str, old: Sequence, new: Sequence) -> Iterator[Change]:
    """Sections by what they say; pictures by their words."""
    before = {one["id"]: _words_of(one) for one in old}
    after = {one["id"]: _words_of(one) for one in new}
    for number, section in enumerate(new, start=1):
        words = before.get(section["id"], "")
        if words != after[section["id"]]:
            what = _("section %(n)s") % {"n": number}
            yield Change(where, what, worded(words, after[section["id"]]))
    for key, words in before.items():
        if key not in after:
            yield Change(where, _("section taken out"), [("old", words)])
    kept = [
        [one["id"] for one in rows if one["id"] in before.keys() & after]
        for rows in (old, new)
    ]
    if kept[0] != kept[1]:
        yield Change(where, _("sections in another order"), [])


def _words_of(value) -> str:
    """Every word in a section that a reader sees, in order."""
    if isinstance(value, Mapping):
        skipped = ("id", "kind", "version", "image")
        parts = [_words_of(one) for name, one in value.items() if name not in skipped]
    elif isinstance(value, list):
        parts = [_words_of(one) for one in value]
    else:
        parts = [value] if isinstance(value, str) else []
    return " ".join(part for part in parts if part)


def _text(value) -> str:
    if isinstance(value, list):
        return ", ".join(value)
    return "" if value is None else str(value)


def worded(old: str, new: str) -> list[tuple[str, str]]:
    """The two texts as one, word by word: what stayed, what went, what came."""
    a, b = old.split(), new.split()
    found = []
    for kind, a0, a1, b0, b1 in SequenceMatcher(a=a, b=b, autojunk=False).get_opcodes():
        if kind == "equal":
            found.append(("same", " ".join(a[a0:a1])))
            continue
        if a1 > a0:
            found.append(("old", " ".join(a[a0:a1])))
        if b1 > b0:
            found.append(("new", " ".join(b[b0:b1])))
    return found
