"""A module with its exercises and pictures as data/module.json, and where its pictures stand."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from importlib.metadata import PackageNotFoundError, version
from io import BytesIO

from django.core.exceptions import ObjectDoesNotExist
from django.utils.translation import gettext as _
from PIL import Image

from quizzes.bundles.bag import Bag
from quizzes.bundles.kinds import KINDS
from quizzes.models import Drawing, Exercise, Revision
from quizzes.panels.blind import key_asked_for
from trainer.pictures.models import Licence, Made, Picture
from trainer.study.models import ModuleRevision
from trainer.study.parts import OPTIONAL, PARTS, module_document
from trainer.study.sections import COMPARE, PICTURE

SCHEMA = "tag:placing-room.example,2026:schema/module-1"
FORMAT = "1.1"
AUTHORING, READING = "authoring", "reading"
HEAD = ("title", "note", "pace_seconds")
FILE = "module.json"
TERMS = "http://cv.iptc.org/newscodes/digitalsourcetype/"
SOURCE_TYPES = {
    Made.CAMERA: f"{TERMS}digitalCapture",
    Made.RETOUCHED: f"{TERMS}humanEdits",
    Made.MACHINE: f"{TERMS}algorithmicMedia",
}
"""Terms of the IPTC vocabulary "Digital Source Type", which trainer.pictures.rights reads back."""


@dataclass(frozen=True)
class Export:
    """A bundle that can be given out.

    kept_back : for each photograph that stays here: its id, and why
    left_out : for each exercise that stays here: its title, and why
    """

    bag: Bag
    kept_back: Mapping[str, str] = field(default_factory=dict)
    left_out: Sequence[tuple[str, str]] = ()


def export(
    revision: ModuleRevision, *, profile: str, now: datetime, reader=None
) -> Export:
    """The revision with its module's exercises and pictures.

    profile : READING leaves out keys, levels and how close a class is
    reader : who gets it; None for the operator
    """
    module = revision.module
    part = module_part(revision)
    left_out, exercises = [], []
    for one in _exercises(module):
        why = _why_left_out(one, profile, reader)
        if why:
            left_out.append((one.title, why))
        else:
            exercises.append(exercise_part(one, profile))
    wanted = sorted(_photographs(part, exercises))
    media, files, kept_back = _media(module.club, wanted)
    if profile == READING:
        media = _untold(media, _shown_in(exercises))

    def name(picture: str) -> str:
        return "" if picture in kept_back else picture

    document = {
        "$schema": SCHEMA,
        "formatVersion": FORMAT,
        "profile": profile,
        "generator": {"name": "Placing Room", "version": _own_version()},
        "exportedAt": now.isoformat(timespec="seconds"),
        "module": with_photographs(part, name),
        "exercises": [exercise_with_photographs(one, name) for one in exercises],
        "media": media,
    }
    text = json.dumps(document, ensure_ascii=False, indent=1).encode()
    info = {
        "Bag-Software-Agent": f"Placing Room {_own_version()}",
        "External-Identifier": f"urn:uuid:{module.public_id}",
    }
    called = f"module-{module.slug}-{revision.number}"
    return Export(Bag(called, {FILE: text, **files}, info), kept_back, left_out)


def _why_left_out(revision: Revision, profile: str, reader) -> str:
    """Why an exercise stays here, in words; "" if it goes out."""
    if revision.exercise.kind not in KINDS:
        return _("bundles do not carry exercises of its kind")
    if reader and profile == AUTHORING and key_asked_for(revision.exercise_id, reader):
        return _("a panel asks you for a key to it, so you see no other yet")
    return ""


def _own_version() -> str:
    try:
        return version("placing-room")
    except PackageNotFoundError:
        return "0"


def module_part(revision: ModuleRevision) -> dict:
    """What the module is and what its revision says."""
    module = revision.module
    return {
        "id": str(module.public_id),
        "slug": module.slug,
        "version": revision.number,
        "language": "und",
        "authors": [revision.author.name] if revision.author else [],
        "licence": "NOASSERTION",
        **module_document(revision),
        "drawings": drawings_of(module),
        "club_breed": club_breed_of(module),
    }


def drawings_of(module) -> list[dict]:
    """The drawn dogs that stand beside the module's priorities, the first one first."""
    return [
        {
            "name": one.name,
            "priority": one.priority,
            "view": one.view,
            "drawn": one.document,
        }
        for one in Drawing.objects.filter(module=module).order_by("pk")
    ]


def club_breed_of(module) -> dict | None:
    """How the club draws the module's breed, where it does so in its own way."""
    try:
        build = module.build
    except ObjectDoesNotExist:
        return None
    return {"name": build.name, "base": build.base, "values": build.values}


def _exercises(module) -> Iterable[Revision]:
    """Of each of the club's exercises of the module the revision in force, else the draft."""
    mine = Exercise.objects.shared().filter(module=module)
    rows = Revision.objects.filter(exercise__in=mine).select_related("exercise")
    chosen: dict[int, Revision] = {}
    for row in rows.order_by("exercise", "number"):
        if row.state != Revision.State.DRAFT or row.exercise_id not in chosen:
            chosen[row.exercise_id] = row
    return chosen.values()


def exercise_part(revision: Revision, profile: str = AUTHORING) -> dict:
    """An exercise as its revision has it."""
    kind = KINDS[revision.exercise.kind]
    found = {
        "id": str(revision.exercise.public_id),
        "type": revision.exercise.kind,
        **{name: getattr(revision, name) for name in HEAD},
    }
    if revision.exercise.kept_back:
        found["kept_back"] = True
    content, key = kind.settled(revision.content, revision.key)
    if profile == READING:
        return {**found, "content": kind.for_reading(content)}
    return {**found, "difficulty": revision.difficulty, "content": content, "key": key}


# pictures


def _photographs(module: Mapping, exercises: Iterable[Mapping]) -> set[str]:
    found = {image["photo"] for image in images(module) if "photo" in image}
    return found | _shown_in(exercises)


def _shown_in(exercises: Iterable[Mapping]) -> set[str]:
    shown = (KINDS[one["type"]].pictures(one["content"]) for one in exercises)
    return set().union(*shown)


def _untold(media: Iterable[Mapping], asked: Collection[str]) -> list[Mapping]:
    """The photographs without the landmarks of those that exercises show: estimates are measured by them."""
    return [{**one, "landmarks": {}} if one["id"] in asked else one for one in media]


def images(module: Mapping) -> Iterable[Mapping]:
    """Every image of a module's lessons, empty ones too."""
    for lesson in module.get("lessons", []):
        for section in lesson["sections"]:
            yield from (holder["image"] for holder in _holders(section))


def _holders(section: Mapping) -> list[Mapping]:
    if section["kind"] == PICTURE:
        return [section]
    return section["sides"] if section["kind"] == COMPARE else []


def with_photographs(module: Mapping, name: Callable[[str], str]) -> dict:
    """The module with each photograph in its lessons under another id; "" leaves the place empty."""
    lessons = [
        {**lesson, "sections": [_section(one, name) for one in lesson["sections"]]}
        for lesson in module.get("lessons", [])
    ]
    return {**module, "lessons": lessons}


def _section(section: Mapping, name) -> Mapping:
    if section["kind"] == PICTURE:
        return {**section, "image": _image(section["image"], name)}
    if section["kind"] == COMPARE:
        sides = [
            {**one, "image": _image(one["image"], name)} for one in section["sides"]
        ]
        return {**section, "sides": sides}
    return section


def _image(image: Mapping, name) -> Mapping:
    if "photo" not in image:
        return image
    shown = name(image["photo"])
    return {"photo": shown} if shown else {}


def exercise_with_photographs(exercise: Mapping, name: Callable[[str], str]) -> dict:
    """The same for an exercise."""
    kind = KINDS[exercise["type"]]
    return {**exercise, "content": kind.with_pictures(exercise["content"], name)}


def _media(
    club, wanted: Iterable[str]
) -> tuple[list, dict[str, bytes], dict[str, str]]:
    """Entries and files of the photographs that may leave, and why the others stay."""
    media, files, kept_back = [], {}, {}
    known = Picture.objects.filter(club=club, public_id__in=list(wanted))
    pictures = {str(one.public_id): one for one in known}
    for one in wanted:
        picture = pictures.get(one)
        why = why_kept_back(picture)
        data = b"" if why else _bytes(picture)
        if not data:
            kept_back[one] = why or _("its file is not there")
            continue
        path = f"media/{hashlib.sha256(data).hexdigest()}.jpg"
        files[path] = data
        media.append(_medium(picture, path, data))
    return media, files, kept_back


def why_kept_back(picture: Picture | None) -> str:
    """Why a photograph must not leave the club, in words; "" if it may."""
    if picture is None or picture.withdrawn_at:
        return _("it was withdrawn")
    if not picture.is_cleared:
        return _("right and consent are not on record")
    if picture.licence == Licence.PERMISSION:
        return _("it is used here by permission, and that does not go further")
    return ""


def _bytes(picture: Picture) -> bytes:
    try:
        with picture.largest.open("rb") as file:
            return file.read()
    except FileNotFoundError:
        return b""


def _medium(picture: Picture, path: str, data: bytes) -> dict:
    with Image.open(BytesIO(data)) as image:
        width, height = image.size
    return {
        "id": str(picture.public_id),
        "path": path,
        "sha256": hashlib.sha256(data).hexdigest(),
        "bytes": len(data),
        "width": width,
        "height": height,
        "title": picture.title,
        "altFull": picture.alt,
        "creditLine": picture.credit,
        "copyright": picture.rights_holder,
        "licence": picture.licence,
        "digitalSourceType": SOURCE_TYPES.get(picture.made, ""),
        "landmarks": picture.landmarks,
    }


# the same, however much was left out


def filled(module: Mapping) -> dict:
    """What a module's revision says, with everything filled in that a document may leave out."""
    examination = module["examination"]
    return {
        "title": module["title"],
        "introduction": module["introduction"],
        "standard": {"date": "", **module["standard"]},
        "priorities": _filled("priorities", module["priorities"], plate=[]),
        "examination": {
            **examination,
            "steps": _filled("steps", examination["steps"], priority=None),
        },
        "faults": _filled("faults", module["faults"], priority=None),
        "lessons": list(module.get("lessons", [])),
        "terms": _filled("terms", module.get("terms", [])),
    }


def _filled(part: str, rows: Iterable[Mapping], **more) -> list[dict]:
    empty = dict.fromkeys(OPTIONAL & set(PARTS[part].fields), "")
    return [{**empty, **more, **row} for row in rows]
