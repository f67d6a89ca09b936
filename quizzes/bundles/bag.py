"""A bundle as a file: a ZIP of one bag as in RFC 8493 (BagIt 1.0, 2018), written and read.

    module-<slug>-<version>/
      bagit.txt  bag-info.txt  manifest-sha256.txt  tagmanifest-sha256.txt
      data/…     the payload

The hashes tell damage, not forgery.
"""

from __future__ import annotations

import hashlib
import re
import zipfile
import zlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from io import BytesIO
from typing import BinaryIO

from django.utils.translation import gettext as _

from quizzes.bundles import entries
from quizzes.bundles.refusals import BadBundle

BAGIT = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
MANIFEST, TAG_MANIFEST = "manifest-sha256.txt", "tagmanifest-sha256.txt"
TAGS = ("bagit.txt", "bag-info.txt", MANIFEST)
"""What the tag manifest lists."""
DATA = "data/"
LINE = re.compile(r"([0-9a-f]{64}) [ *](\S+)")
LARGEST_TAG_FILE = 256 * 1024
PIECE = 64 * 1024
BEGINNINGS = (b"PK\x03\x04", b"\x1f\x8b", b"7z\xbc\xaf", b"\xfd7zXZ", b"BZh", b"Rar!")
"""What archives begin with, whatever they are called."""


@dataclass(frozen=True)
class Bag:
    """What was in a bundle.

    payload : bytes by path below data/
    info : what bag-info.txt says, by label
    """

    name: str
    payload: Mapping[str, bytes]
    info: Mapping[str, str] = field(default_factory=dict)


# writing


def written(bag: Bag, *, now: datetime) -> bytes:
    """The bag as a ZIP. Raises BadBundle if it has more than may be read again."""
    files = {DATA + path: data for path, data in bag.payload.items()}
    total = sum(map(len, files.values()))
    info = {
        **bag.info,
        "Bagging-Date": now.date().isoformat(),
        "Payload-Oxum": f"{total}.{len(files)}",
    }
    tags = {
        "bagit.txt": BAGIT.encode(),
        "bag-info.txt": "".join(f"{k}: {v}\n" for k, v in info.items()).encode(),
        MANIFEST: _manifest(files),
    }
    tags[TAG_MANIFEST] = _manifest(tags)
    packed = _zipped(bag.name, {**tags, **files}, now)
    entries.opened(BytesIO(packed))
    return packed


def _manifest(files: Mapping[str, bytes]) -> bytes:
    lines = (f"{_sha256(data)}  {path}\n" for path, data in sorted(files.items()))
    return "".join(lines).encode()


def _sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def _zipped(top: str, files: Mapping[str, bytes], now: datetime) -> bytes:
    out = BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for path, data in files.items():
            info = zipfile.ZipInfo(f"{top}/{path}", now.timetuple()[:6])
            info.external_attr = 0o100644 << 16
            is_packed = path.endswith(".jpg")
            how = zipfile.ZIP_STORED if is_packed else zipfile.ZIP_DEFLATED
            archive.writestr(info, data, how)
    return out.getvalue()


# reading


def read(file: BinaryIO) -> Bag:
    """Everything in a bundle, once all of it has been checked. Raises BadBundle.

    In this order: size, directory, bagit.txt, manifests complete both ways, contents and hashes.
    """
    with entries.opened(file) as archive:
        top, files = _under_one_folder(archive)
        tags = _tags(archive, files)
        wanted = _listed(tags[MANIFEST], MANIFEST)
        paths = {path for path in files if path.startswith(DATA)}
        _check_same(wanted.keys(), paths)
        _check_oxum(tags, [files[path] for path in paths])
        payload = {}
        for path in sorted(paths):
            data = _unpacked(archive, files[path])
            _check_hash(path, data, wanted[path])
            if data.startswith(BEGINNINGS):
                text = _("“%(name)s” is an archive in the archive.")
                raise BadBundle(text, code="nested", params={"name": path})
            payload[path.removeprefix(DATA)] = data
    return Bag(top, payload, _info(tags["bag-info.txt"]))


def _under_one_folder(archive) -> tuple[str, dict[str, zipfile.ZipInfo]]:
    """The name of the top folder, and the files by their path in it."""
    infos = [info for info in archive.infolist() if not info.is_dir()]
    tops = {info.filename.partition("/")[0] for info in infos}
    files = {info.filename.partition("/")[2]: info for info in infos}
    if len(tops) != 1 or "" in files:
        text = _("A bundle has one folder at the top, with everything else in it.")
        raise BadBundle(text, code="top")
    return tops.pop(), files


def _tags(archive, files) -> dict[str, bytes]:
    """The files that describe the bag, each as its hash says; no others stand beside them."""
    for name in (*TAGS, TAG_MANIFEST):
        if name not in files:
            text = _("The bundle lacks its “%(name)s”.")
            raise BadBundle(text, code="lacks", params={"name": name})
    extra = [
        p for p in files if p not in (*TAGS, TAG_MANIFEST) and not p.startswith(DATA)
    ]
    if extra:
        raise _not_listed(min(extra))
    if any(files[name].file_size > LARGEST_TAG_FILE for name in (*TAGS, TAG_MANIFEST)):
        text = _("A file that describes the bundle is too long to be one.")
        raise BadBundle(text, code="tags")
    tags = {name: _unpacked(archive, files[name]) for name in (*TAGS, TAG_MANIFEST)}
    if tags["bagit.txt"].decode("utf-8", "replace").split() != BAGIT.split():
        text = _("This is no bag that the site reads: its “bagit.txt” says otherwise.")
        raise BadBundle(text, code="bagit")
    wanted = _listed(tags[TAG_MANIFEST], TAG_MANIFEST)
    _check_same(wanted.keys(), set(TAGS))
    for name in TAGS:
        _check_hash(name, tags[name], wanted[name])
    return tags


def _listed(data: bytes, name: str) -> dict[str, str]:
    """The hash of each path that a manifest lists."""
    found: dict[str, str] = {}
    for line in _text(data, name).splitlines():
        parts = LINE.fullmatch(line.rstrip())
        if parts is None or parts[2] in found:
            text = _("“%(name)s” has a line that is none: “%(line)s”.")
            values = {"name": name, "line": entries.shown(line)}
            raise BadBundle(text, code="manifest", params=values)
        found[parts[2]] = parts[1]
    return found


def _text(data: bytes, name: str) -> str:
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        text = _("“%(name)s” is no text in UTF-8.")
        raise BadBundle(text, code="text", params={"name": name}) from None


def _check_same(listed, found) -> None:
    missing, extra = sorted(listed - found), sorted(found - listed)
    if missing:
        text = _("The bundle is not whole: “%(name)s” is missing.")
        name = entries.shown(missing[0])
        raise BadBundle(text, code="missing", params={"name": name})
    if extra:
        raise _not_listed(extra[0])


def _not_listed(name: str) -> BadBundle:
    text = _("The bundle holds “%(name)s”, which its list does not name.")
    return BadBundle(text, code="extra", params={"name": entries.shown(name)})


def _check_hash(name: str, data: bytes, wanted: str) -> None:
    if _sha256(data) != wanted:
        text = _("“%(name)s” was changed or damaged since the bundle was made.")
        raise BadBundle(text, code="changed", params={"name": name})


def _check_oxum(tags, infos) -> None:
    """Bytes and files of the payload, where the bag counts them."""
    said = _info(tags["bag-info.txt"]).get("Payload-Oxum")
    counted = f"{sum(info.file_size for info in infos)}.{len(infos)}"
    if said is not None and said != counted:
        text = _(
            "The bundle is not whole: it counts its files otherwise than they are."
        )
        raise BadBundle(text, code="oxum")


def _info(data: bytes) -> dict[str, str]:
    pairs = (line.partition(":") for line in _text(data, "bag-info.txt").splitlines())
    return {label.strip(): value.strip() for label, colon, value in pairs if colon}


def _unpacked(archive: zipfile.ZipFile, info: zipfile.ZipInfo) -> bytes:
    """The bytes of one entry, never more than its directory entry says."""
    found = bytearray()
    try:
        with archive.open(info) as stream:
            while piece := stream.read(PIECE):
                found += piece
                if len(found) > info.file_size:
                    break
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, OSError):
        found = bytearray()
    if len(found) != info.file_size:
        text = _("“%(name)s” does not unpack to what the bundle says of it.")
        name = entries.shown(info.filename)
        raise BadBundle(text, code="size", params={"name": name})
    return bytes(found)
