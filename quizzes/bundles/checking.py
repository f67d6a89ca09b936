"""Whether what is in a bundle is a module: its form by the schema, then everything that refers to something."""

from __future__ import annotations

import re
import uuid
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import BinaryIO

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from quizzes.bundles import bag, plates, schema, strict
from quizzes.bundles.documents import (
    AUTHORING,
    FILE,
    FORMAT,
    SOURCE_TYPES,
    images,
)
from quizzes.bundles.kinds import KINDS
from quizzes.bundles.refusals import BadBundle
from trainer.pictures.landmarks import NAMES
from trainer.study.models import Module
from trainer.study.parts import PARTS
from trainer.study.sections import check_sections

MOST_SAID = 12
"""Problems that are listed at once."""
BOM = b"\xef\xbb\xbf"
BEGINS_JSON = (b"{", b"[", b" ", b"\n", b"\r", b"\t", BOM[:1])
RIDERS = ("qti/", "ro-crate-metadata.json")
"""What a bundle may carry for other programs; we do not read it."""


@dataclass(frozen=True)
class Checked:
    """A module.json that holds, and the bytes of its photographs by their id.

    notes : what was passed over, in words
    """

    document: Mapping
    photographs: Mapping[str, bytes]
    notes: tuple[str, ...] = ()


def from_file(file: BinaryIO, club) -> Checked:
    """The module in a bundle, or in a module document alone. Raises BadBundle.

    club : where a document that has no id is a state of the module of the same short name
    """
    beginning = file.read(1)
    file.seek(0)
    if beginning not in BEGINS_JSON:
        return checked(bag.read(file))
    document = strict.read(file.read(strict.LARGEST + 1).removeprefix(BOM), FILE)
    return held(alone(document, club), {})


def alone(document, club, exercises: Sequence[Mapping] = ()) -> dict:
    """A module document (`trainer.study.parts.module_document`) as that of a bundle without pictures."""
    if not isinstance(document, dict) or "formatVersion" in document:
        return document
    breed = document.get("breed")
    slug = breed.get("slug", "") if isinstance(breed, dict) else ""
    same = Module.objects.filter(club=club, slug=str(slug)).first()
    author = document.pop("author", None)
    about = {
        "id": str(same.public_id if same else uuid.uuid4()),
        "slug": slug,
        "version": 1,
        "authors": [author] if author else [],
    }
    return {
        "formatVersion": FORMAT,
        "profile": AUTHORING,
        "module": {**about, **document},
        "exercises": [*exercises],
        "media": [],
    }


def checked(bundle: bag.Bag) -> Checked:
    """The module in a bag. Raises BadBundle with everything that is wrong with it."""
    if FILE not in bundle.payload:
        text = _("The bundle lacks its “%(name)s”.")
        raise BadBundle(text, code="lacks", params={"name": FILE})
    return held(strict.read(bundle.payload[FILE], FILE), bundle.payload)


def held(document, payload: Mapping[str, bytes]) -> Checked:
    """A document that holds, with the files of its photographs by their path. Raises BadBundle."""
    _check_version(document)
    notes = _check_form(document)
    notes += _passed_over(payload, document)
    _refuse(_problems(document, payload), "refers")
    photographs = {one["id"]: payload[one["path"]] for one in document["media"]}
    return Checked(document, photographs, _first(notes))


def _first(notes: Sequence[str]) -> tuple[str, ...]:
    """So many notes as a person reads."""
    more = len(notes) - MOST_SAID
    if more <= 0:
        return tuple(notes)
    text = ngettext("And one note more.", "And %(n)s notes more.", more)
    return (*notes[:MOST_SAID], text % {"n": more})


def _refuse(problems: Iterable[str], code: str) -> None:
    said = list(islice(problems, MOST_SAID))
    if said:
        raise BadBundle([BadBundle(one, code=code) for one in said])


# the form


def _check_version(document) -> None:
    if not isinstance(document, Mapping):
        raise BadBundle(_("“%(name)s” holds no module.") % {"name": FILE}, code="form")
    said = document.get("formatVersion")
    major = re.match(r"(\d{1,6})\.\d{1,6}$", said) if isinstance(said, str) else None
    if major is None:
        text = _("“%(name)s” does not say in which format it is written.")
        raise BadBundle(text, code="version", params={"name": FILE})
    if major[1] != FORMAT.split(".")[0]:
        text = _(
            "The bundle is written in format %(said)s; this site reads format %(ours)s. Make it again with "
            "a site of this version, or take it in where the newer one runs."
        )
        values = {"said": said, "ours": FORMAT}
        raise BadBundle(text, code="version", params=values)


def _check_form(document: dict) -> list[str]:
    """Notes on members that nobody knows, which are taken out; raises BadBundle for all else."""
    validator = strict.Validator(schema.published())
    # A dict for its order: each member that is missing is an error of its own, told the same way.
    problems, notes = {}, []
    for error in validator.iter_errors(document):
        if error.validator == "unevaluatedProperties":
            unknown = sorted(set(error.instance) - set(error.schema["properties"]))
            notes += [_unknown(error, name) for name in unknown]
            for name in unknown:
                del error.instance[name]
        else:
            problems[f"{_place(error.path)}: {_said(error)}"] = True
        if len(problems) == MOST_SAID:
            break
    _refuse(problems, "form")
    return notes


def _unknown(error, name: str) -> str:
    text = _("%(place)s: “%(name)s” is not known here and was passed over.")
    return text % {"place": _place(error.path), "name": name[:40]}


def _place(path) -> str:
    """Where in the document, as people count: "module, priorities 3, weight"."""
    found: list[str] = []
    for one in path:
        if isinstance(one, int) and found:
            found[-1] += f" {one + 1}"
        else:
            found.append(str(one)[:40])
    return ", ".join(found) or FILE


def _said(error) -> str:
    """What the schema wants there, in words."""
    wanted = error.validator_value
    if error.validator == "required":
        lacking = [name for name in wanted if name not in error.instance]
        return _("“%(name)s” is missing.") % {"name": ", ".join(lacking)}
    if error.validator in ("maxLength", "maxItems", "maxProperties"):
        return _("longer than the %(n)s that it may have.") % {"n": wanted}
    if error.validator in ("minimum", "maximum"):
        return _("must lie within its range, which ends at %(n)s.") % {"n": wanted}
    if error.validator == "enum":
        names = ", ".join(str(one) for one in wanted if one != "")
        return _("must be one of %(names)s.") % {"names": names}
    return _("has another form than it must have.")


def _passed_over(payload: Iterable[str], document: Mapping) -> list[str]:
    known = {FILE, *(one["path"] for one in document["media"])}
    extra = [path for path in payload if path not in known]
    files = [path for path in extra if not path.startswith("media/")]
    text = _("“%(name)s” is for other programs and was not read.")
    notes = [text % {"name": path[:80]} for path in files if path.startswith(RIDERS)]
    text = _("“%(name)s” is no part of a module and was not read.")
    notes += [
        text % {"name": path[:80]} for path in files if not path.startswith(RIDERS)
    ]
    return notes


# what refers to something


def _problems(document: Mapping, payload: Mapping[str, bytes]) -> Iterator[str]:
    module, exercises = document["module"], document["exercises"]
    yield from _module_problems(module)
    yield from _lesson_problems(module)
    yield from _drawing_problems(module)
    yield from _twice(_("exercise"), [one["id"] for one in exercises])
    for exercise in exercises:
        yield from _exercise_problems(exercise)
    yield from _media_problems(document, payload)


def _twice(what: str, ids: Iterable[str]) -> Iterator[str]:
    for one, count in Counter(ids).items():
        if count > 1:
            text = _("Two of the same id: %(what)s “%(id)s”.")
            yield text % {"what": what, "id": one}


def _module_problems(module: Mapping) -> Iterator[str]:
    slugs = [one["slug"] for one in module["priorities"]]
    yield from _twice(_("priority"), slugs)
    yield from _twice(_("lesson"), [one["slug"] for one in module.get("lessons", [])])
    for one in module["priorities"]:
        why = plates.fault_problem(one.get("plate", []))
        if why:
            yield _("Priority “%(name)s” %(why)s.") % {"name": one["name"], "why": why}
    rows = {"steps": module["examination"]["steps"], "faults": module["faults"]}
    for part, documents in rows.items():
        for row in documents:
            if row.get("priority") and row["priority"] not in slugs:
                text = _(
                    "%(one)s “%(name)s” names the priority “%(slug)s”, which is not there."
                )
                one = str(PARTS[part].one).capitalize()
                yield text % {"one": one, "name": row["name"], "slug": row["priority"]}


def _lesson_problems(module: Mapping) -> Iterator[str]:
    for lesson in module.get("lessons", []):
        where = {"lesson": lesson["name"]}
        try:
            check_sections(lesson["sections"])
        except ValidationError as error:
            yield _("Lesson “%(lesson)s”: ") % where + error.messages[0]
            continue
        for number, section in enumerate(lesson["sections"], start=1):
            one = {"lessons": [{"sections": [section]}]}
            for image in images(one):
                why = plates.drawn_problem(image["plate"]) if "plate" in image else ""
                if why:
                    text = _(
                        "Lesson “%(lesson)s”, section %(n)s: the drawn dog %(why)s."
                    )
                    yield text % {**where, "n": number, "why": why}


def _drawing_problems(module: Mapping) -> Iterator[str]:
    for drawing in module.get("drawings", []):
        why = plates.drawn_problem(drawing["drawn"])
        if why:
            text = _("Drawing “%(name)s” %(why)s.")
            yield text % {"name": drawing["name"], "why": why}
    build = module.get("club_breed")
    if build:
        own = {"breed": build["base"], "own": build["values"]}
        why = plates.drawn_problem(own)
        if why:
            yield _("The breed “%(name)s” %(why)s.") % {
                "name": build["name"],
                "why": why,
            }


def _exercise_problems(exercise: Mapping) -> Iterator[str]:
    kind = KINDS.get(exercise["type"])
    if kind is None:
        text = _(
            "“%(title)s” is an exercise of the kind “%(kind)s”, which is not known."
        )
        yield text % {"title": exercise["title"], "kind": exercise["type"]}
        return
    for why in kind.problems(exercise["content"], exercise.get("key", {})):
        yield _("Exercise “%(title)s”: ") % {"title": exercise["title"]} + why


def _media_problems(document: Mapping, payload: Mapping[str, bytes]) -> Iterator[str]:
    media = document["media"]
    yield from _twice(_("photograph"), [one["id"] for one in media])
    for one in media:
        data = payload.get(one["path"])
        if data is None:
            yield _("The photograph “%(path)s” is missing.") % {"path": one["path"]}
        elif one["path"] != f"media/{one['sha256']}.jpg" or one["bytes"] != len(data):
            text = _("The photograph “%(path)s” is not the one that is described.")
            yield text % {"path": one["path"]}
        if set(one.get("landmarks", {}).get("points", {})) - set(NAMES):
            text = _("The photograph “%(path)s” has a landmark that is not known.")
            yield text % {"path": one["path"]}
    listed = {one["path"] for one in media}
    for path in sorted(path for path in payload if path.startswith("media/")):
        if path not in listed:
            yield _("The photograph “%(path)s” is not described.") % {"path": path}
    for missing in sorted(_wanted(document) - {one["id"] for one in media}):
        yield _("A photograph is shown that is not there: %(id)s.") % {"id": missing}


def _wanted(document: Mapping) -> set[str]:
    found = {one["photo"] for one in images(document["module"]) if "photo" in one}
    for exercise in document["exercises"]:
        if exercise["type"] in KINDS:
            found |= KINDS[exercise["type"]].pictures(exercise["content"])
    return found


def made(source_type: str) -> str:
    """How a photograph came about, from the vocabulary's term; "" for one we do not write."""
    return next((own for own, term in SOURCE_TYPES.items() if term == source_type), "")
