"""Bundles for tests: sound ones, and the ways to spoil them."""

import copy
import hashlib
import json
import struct
import zipfile
from datetime import UTC, datetime
from io import BytesIO

import pytest

from quizzes.bundles import bag, checking, documents, importing
from quizzes.bundles.bag import Bag
from quizzes.bundles.refusals import BadBundle
from quizzes.models import Revision
from trainer.study.models import Breed, Module

NOW = datetime(2026, 3, 10, 14, 30, tzinfo=UTC)
TOP = "module-tarn-collie-1"
DATA = f"{TOP}/data/"
TAGS = ("bagit.txt", "bag-info.txt", "manifest-sha256.txt", "tagmanifest-sha256.txt")


def packed(payload=None):
    """A sound bundle as bytes; without a payload it holds a small text."""
    payload = payload or {"module.json": b'{"formatVersion": "1.0"}'}
    return bag.written(Bag(TOP, payload, {"External-Identifier": "x"}), now=NOW)


def files_of(data):
    """Path below the top folder -> bytes."""
    with zipfile.ZipFile(BytesIO(data)) as archive:
        return {
            name.partition("/")[2]: archive.read(name) for name in archive.namelist()
        }


def zipped(files, *, top=TOP, change=None):
    """A ZIP of the files as they are, without any check; `change` alters each entry."""
    out = BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for path, data in files.items():
            info = zipfile.ZipInfo(f"{top}/{path}" if top else path)
            info.compress_type = zipfile.ZIP_DEFLATED
            info.external_attr = 0o100644 << 16
            if change:
                change(info)
            archive.writestr(info, data, info.compress_type)
    return out.getvalue()


def with_manifests(files):
    """The files with manifests that fit them."""
    files = {
        path: data for path, data in files.items() if not path.endswith("sha256.txt")
    }
    data = {path: one for path, one in files.items() if path.startswith("data/")}
    total = sum(map(len, data.values()))
    files["bag-info.txt"] = f"Payload-Oxum: {total}.{len(data)}\n".encode()
    files["manifest-sha256.txt"] = manifest(data)
    tags = {path: one for path, one in files.items() if path not in data}
    files["tagmanifest-sha256.txt"] = manifest(tags)
    return files


def manifest(files):
    return "".join(
        f"{hashlib.sha256(data).hexdigest()}  {path}\n" for path, data in files.items()
    ).encode()


def renamed(data, old, new):
    """The archive with one name changed in both places where it stands; the same length."""
    assert len(old) == len(new)
    assert data.count(old) >= 2
    return data.replace(old, new)


def directory_field(data, name, at, value, form="<L"):
    """The archive with one field of an entry in its directory changed."""
    start = data.index(b"PK\x01\x02")
    while data[start + 46 :][: len(name)] != name:
        start = data.index(b"PK\x01\x02", start + 4)
    return (
        data[: start + at]
        + struct.pack(form, value)
        + data[start + at + struct.calcsize(form) :]
    )


def exported(revision, profile="authoring", *, now=NOW):
    """A module as the bytes of its bundle."""
    return bag.written(
        documents.export(revision, profile=profile, now=now).bag, now=now
    )


def opened(data):
    """A bundle, checked."""
    return checking.checked(bag.read(BytesIO(data)))


def document_of(data):
    return json.loads(files_of(data)["data/module.json"])


def with_document(data, change):
    """The bundle with its document changed, and hashes that fit again.

    change : alters the document in place, or gives other bytes
    """
    files = files_of(data)
    document = json.loads(files["data/module.json"])
    given = change(document)
    other = given if isinstance(given, bytes) else json.dumps(document).encode()
    return zipped(with_manifests({**files, "data/module.json": other}))


# taking them in


def take(data, club, by, *, agreed=False):
    return importing.take(opened(data), club=club, by=by, now=NOW, agreed=agreed)


def refusal(data, club, by):
    """Every sentence with which a bundle is refused; nothing of it stays."""
    before = Module.objects.count(), Revision.objects.count(), Breed.objects.count()
    with pytest.raises(BadBundle) as caught:
        take(data, club, by)
    after = Module.objects.count(), Revision.objects.count(), Breed.objects.count()
    assert after == before
    return " | ".join(caught.value.messages)


def alike(document, *, media=False):
    """A document without what follows from when, where and by whom it was made.

    Photographs are numbered by where they stand; encoding one anew gives it other bytes.
    """
    found = copy.deepcopy(document)
    for name in ("exportedAt", "generator"):
        found.pop(name)
    for name in ("authors", "version"):
        found["module"].pop(name)
    for one in found["media"]:
        for name in ("path", "sha256", "bytes"):
            one.pop(name)
    text = json.dumps(found)
    for number, one in enumerate(_in_order(found, text)):
        text = text.replace(one, f"photograph {number}")
    found = json.loads(text)
    found["media"].sort(key=lambda one: one["id"])
    return found


def _in_order(found, text):
    """Ids of photographs, each where it is shown first."""
    shown = json.dumps([found["module"], found["exercises"]])
    return sorted((one["id"] for one in found["media"]), key=shown.index)


def at(*path):
    """A way to spoil a document: give the value at a path another one."""

    def put(value):
        def change(document):
            *way, last = path
            for one in way:
                document = document[one]
            document[last] = value

        return change

    return put


def places(value, way=()):
    """Every place in a document, as the way to it."""
    if isinstance(value, dict | list):
        pairs = value.items() if isinstance(value, dict) else enumerate(value)
        for name, one in pairs:
            yield (*way, name)
            yield from places(one, (*way, name))
