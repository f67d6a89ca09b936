"""What the directory of a ZIP may say before anything in it is unpacked.

Names in an archive are never used as paths; they are held to a pattern all the same, so that whoever
unpacks a bundle by other means is safe as well.
"""

from __future__ import annotations

import re
import stat
import struct
import unicodedata
import zipfile
from collections.abc import Sequence
from typing import BinaryIO

from django.utils.translation import gettext as _

from quizzes.bundles.refusals import BadBundle

MB = 1024 * 1024
MOST_BYTES = 64 * MB
"""Of the file as sent: some two hundred photographs. A bundle is read in memory."""
MOST_UNPACKED = 80 * MB
"""Of everything in it: photographs do not get smaller in a ZIP, texts are few."""
MOST_ENTRIES = 1000
"""Twice the photographs a club may have."""
MOST_RATIO = 100
"""Unpacked to packed, of one file. Texts of a module reach 30."""
LARGE_ENOUGH_FOR_RATIO = 256 * 1024
"""What is smaller than this is harmless however well it packs."""
LONGEST_NAME = 200

END = struct.Struct("<4s4H2LH")
"""The end record of a ZIP: mark, disks (2), entries here, entries, size and start of the directory, comment."""
NAME = re.compile(r"[A-Za-z0-9_][A-Za-z0-9._-]*(/[A-Za-z0-9_][A-Za-z0-9._-]*)*/?")
DRIVE = re.compile(r"[A-Za-z]:")
ARCHIVES = (".zip", ".tar", ".gz", ".tgz", ".bz2", ".xz", ".7z", ".rar", ".jar", ".zst")
ENCRYPTED = 0x1 | 0x40 | 0x2000
LOCAL_HEADER = 30


def opened(file: BinaryIO) -> zipfile.ZipFile:
    """The archive, when its directory says nothing that we refuse. Raises BadBundle."""
    _check_end(file)
    try:
        archive = zipfile.ZipFile(file)
    except (zipfile.BadZipFile, NotImplementedError, UnicodeDecodeError, ValueError):
        raise no_zip() from None
    check(archive.infolist())
    return archive


def no_zip() -> BadBundle:
    return BadBundle(
        _("This is no bundle: the file is no ZIP, or not all of it arrived."),
        code="zip",
    )


def _check_end(file: BinaryIO) -> None:
    """Size and end of the file, read before a directory of any length is."""
    size = file.seek(0, 2)
    if size > MOST_BYTES:
        text = _("The file is larger than %(most)s MB, more than a bundle may have.")
        raise BadBundle(text, code="bytes", params={"most": MOST_BYTES // MB})
    if size < END.size:
        raise no_zip()
    file.seek(size - END.size)
    mark, *_disks, count, length, start, comment = END.unpack(file.read(END.size))
    # Nothing before the first and after the last part: no second reading of the same file.
    if mark != b"PK\x05\x06" or comment or start + length + END.size != size:
        raise no_zip()
    if count > MOST_ENTRIES or length > MOST_ENTRIES * 2 * LONGEST_NAME:
        text = _("The bundle has more than %(most)s files in it.")
        raise BadBundle(text, code="entries", params={"most": MOST_ENTRIES})


def check(infos: Sequence[zipfile.ZipInfo]) -> None:
    """Raise BadBundle at the first entry that a bundle can't have."""
    for info in infos:
        _check_name(info)
        _check_kind(info)
    _check_twins(infos)
    _check_sizes(infos)
    _check_apart(infos)


def _check_name(info: zipfile.ZipInfo) -> None:
    name = info.orig_filename
    parts = name.split("/")
    if "\0" in name:
        why = _("has a NUL in its name")
    elif "\\" in name:
        why = _("has a backslash in its name")
    elif name.startswith("/"):
        why = _("begins at the root of a disk")
    elif DRIVE.match(name):
        why = _("names a drive")
    elif ".." in parts or "." in parts:
        why = _("leads out of its folder")
    elif len(name) > LONGEST_NAME or not NAME.fullmatch(name):
        why = _("has a name that no file of a bundle has")
    elif info.filename != name:
        why = _("goes by two names")
    else:
        return
    text = _("The bundle is refused: “%(name)s” %(why)s.")
    raise BadBundle(text, code="name", params={"name": shown(name), "why": why})


def shown(name: str) -> str:
    """A name from an archive as it can be shown: printable and not long."""
    return "".join(
        sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in name
    )[:80]


def _check_kind(info: zipfile.ZipInfo) -> None:
    kind = stat.S_IFMT(info.external_attr >> 16)
    if kind not in (0, stat.S_IFREG, stat.S_IFDIR):
        why = _("is a link or a device and no file")
    elif info.flag_bits & ENCRYPTED:
        why = _("is encrypted")
    elif info.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        why = _("is packed in a way that bundles do not use")
    elif info.filename.casefold().endswith(ARCHIVES):
        why = _("is an archive in the archive")
    elif info.is_dir() and info.file_size:
        why = _("is a folder that holds bytes")
    else:
        return
    text = _("The bundle is refused: “%(name)s” %(why)s.")
    name = shown(info.filename)
    raise BadBundle(text, code="kind", params={"name": name, "why": why})


def _check_twins(infos: Sequence[zipfile.ZipInfo]) -> None:
    seen = set()
    for info in infos:
        plain = unicodedata.normalize("NFC", info.filename).casefold().rstrip("/")
        if plain in seen:
            text = _("Two files in the bundle are called “%(name)s”.")
            name = shown(info.filename)
            raise BadBundle(text, code="twins", params={"name": name})
        seen.add(plain)


def _check_sizes(infos: Sequence[zipfile.ZipInfo]) -> None:
    """What the directory says; unpacking counts again and stops at the size that is given here."""
    if sum(info.file_size for info in infos) > MOST_UNPACKED:
        text = _("Unpacked, the bundle is larger than %(most)s MB.")
        raise BadBundle(text, code="unpacked", params={"most": MOST_UNPACKED // MB})
    for info in infos:
        packed = max(info.compress_size, 1)
        if (
            info.file_size > LARGE_ENOUGH_FOR_RATIO
            and info.file_size > MOST_RATIO * packed
        ):
            text = _("“%(name)s” grows more than %(most)s times when it is unpacked.")
            values = {"name": shown(info.filename), "most": MOST_RATIO}
            raise BadBundle(text, code="ratio", params=values)


def _check_apart(infos: Sequence[zipfile.ZipInfo]) -> None:
    """No two entries share bytes: else few bytes unpack to many."""
    end = 0
    for info in sorted(infos, key=lambda info: info.header_offset):
        if info.header_offset < end:
            text = _("The bundle is refused: two files in it lie over each other.")
            raise BadBundle(text, code="overlap")
        least = LOCAL_HEADER + len(info.orig_filename) + info.compress_size
        end = info.header_offset + least
