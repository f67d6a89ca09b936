"""The sections of a lesson: what each kind holds, and whether a document is one.

A section is {"id", "kind", "version", ...}. An image in it is {"photo": id of a photograph} or
{"plate": a drawn dog as the workbench keeps it, "view": name of the view}.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterator, Mapping

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

TEXT, PICTURE, COMPARE, QUESTION = "text", "picture", "compare", "question"
KINDS = {
    TEXT: gettext_lazy("Text"),
    PICTURE: gettext_lazy("Picture with numbered points"),
    COMPARE: gettext_lazy("Two side by side"),
    QUESTION: gettext_lazy("Question in passing"),
}
BEGUN: Mapping[str, Callable[[], dict]] = {
    TEXT: lambda: {"text": ""},
    PICTURE: lambda: {"image": {}, "alt": "", "caption": "", "points": []},
    COMPARE: lambda: {
        "text": "",
        "sides": [{"image": {}, "alt": "", "caption": ""} for _side in range(2)],
        "overlay": False,
    },
    QUESTION: lambda: {"text": "", "options": []},
}
LONGEST_TEXT = 20_000
LONGEST_LINE = 400
MOST_POINTS = 20
MOST_OPTIONS = 6
MOST_SECTIONS = 60


def new_section(kind: str) -> dict:
    """An empty section of a kind, under an id of its own."""
    return {"id": uuid.uuid4().hex[:8], "kind": kind, "version": 1, **BEGUN[kind]()}


def images(section: Mapping) -> Iterator[Mapping]:
    """The images of a section, those not chosen yet left out."""
    if section["kind"] == PICTURE:
        found = [section["image"]]
    elif section["kind"] == COMPARE:
        found = [side["image"] for side in section["sides"]]
    else:
        found = []
    return (image for image in found if image)


def beginning(section: Mapping) -> str:
    """The first words of a section, for a list."""
    words = section.get("text") or section.get("caption") or section.get("alt") or ""
    if section["kind"] == COMPARE:
        captions = [side["caption"] for side in section["sides"] if side["caption"]]
        words = words or ", ".join(captions)
    return " ".join(words.split())[:80]


def lacks_of(section: Mapping) -> list[str]:
    """What a section still lacks before it can be published, in words."""
    kind, found = section["kind"], []
    if kind in (TEXT, QUESTION) and not section["text"].strip():
        found.append(_("its text"))
    if kind == PICTURE:
        found += _lacks_of_image(section)
        if not all(point["text"].strip() for point in section["points"]):
            found.append(_("the text of a point"))
    if kind == COMPARE:
        found += [lack for side in section["sides"] for lack in _lacks_of_image(side)]
    if kind == QUESTION:
        options = section["options"]
        if len(options) < 2 or not any(one["right"] for one in options):
            found.append(_("two answers or more, one of them right"))
    # Both sides of a comparison may lack the same.
    return list(dict.fromkeys(found))


def _lacks_of_image(holder: Mapping) -> list[str]:
    if not holder["image"]:
        return [_("a picture")]
    return [] if holder["alt"].strip() else [_("what the picture shows, in words")]


def check_sections(sections) -> None:
    """Raise ValidationError that names the first section with a form that is not known."""
    if not isinstance(sections, list) or len(sections) > MOST_SECTIONS:
        text = _("its sections must be a list of at most %(n)s.")
        raise ValidationError(text, code="sections", params={"n": MOST_SECTIONS})
    ids = [one.get("id") if isinstance(one, Mapping) else None for one in sections]
    if len(set(map(str, ids))) != len(ids):
        raise ValidationError(_("two sections have the same id."), code="sections")
    for number, section in enumerate(sections, start=1):
        if not _is_section(section):
            text = _("section %(n)s has another form than a section's.")
            raise ValidationError(text, code="section", params={"n": number})


def _is_section(section) -> bool:
    if not isinstance(section, Mapping) or section.get("kind") not in KINDS:
        return False
    wanted = {"id", "kind", "version", *BEGUN[section["kind"]]()}
    if set(section) != wanted or not _is_text(section["id"], 40):
        return False
    return isinstance(section["version"], int) and _CHECKS[section["kind"]](section)


def _is_text(value, longest: int = LONGEST_TEXT) -> bool:
    return isinstance(value, str) and len(value) <= longest


def _is_image(image) -> bool:
    if not isinstance(image, Mapping):
        return False
    if set(image) == {"photo"}:
        return _is_text(image["photo"], 40)
    if set(image) == {"plate", "view"}:
        return isinstance(image["plate"], Mapping) and _is_text(image["view"], 8)
    return not image


def _is_pictured(holder) -> bool:
    return (
        isinstance(holder, Mapping)
        and _is_image(holder.get("image"))
        and _is_text(holder.get("alt"), LONGEST_LINE)
        and _is_text(holder.get("caption"), LONGEST_LINE)
    )


def _is_point(point) -> bool:
    return (
        isinstance(point, Mapping)
        and set(point) == {"x", "y", "text"}
        and all(
            isinstance(point[axis], int | float) and 0 <= point[axis] <= 100
            for axis in ("x", "y")
        )
        and _is_text(point["text"], LONGEST_LINE)
    )


def _is_option(option) -> bool:
    return (
        isinstance(option, Mapping)
        and set(option) == {"text", "right", "said"}
        and isinstance(option["right"], bool)
        and _is_text(option["text"], LONGEST_LINE)
        and _is_text(option["said"], LONGEST_LINE)
    )


def _all(rows, check, most: int) -> bool:
    return isinstance(rows, list) and len(rows) <= most and all(map(check, rows))


_CHECKS: Mapping[str, Callable[[Mapping], bool]] = {
    TEXT: lambda s: _is_text(s["text"]),
    PICTURE: lambda s: _is_pictured(s) and _all(s["points"], _is_point, MOST_POINTS),
    COMPARE: lambda s: (
        _is_text(s["text"])
        and isinstance(s["sides"], list)
        and len(s["sides"]) == 2
        and all(map(_is_pictured, s["sides"]))
        and isinstance(s["overlay"], bool)
    ),
    QUESTION: lambda s: (
        _is_text(s["text"]) and _all(s["options"], _is_option, MOST_OPTIONS)
    ),
}
