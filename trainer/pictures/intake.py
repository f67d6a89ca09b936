"""A file that somebody sends becomes a photograph of ours, or is refused in a sentence.

Nothing of the file as it was sent is kept: its pixels are copied to a fresh picture and
written anew, without position, camera, comments and colour profile. Who took it is read
before. Embedded XMP is not read, since it is XML.
"""

from __future__ import annotations

import hashlib
import re
import threading
import warnings
from dataclasses import dataclass
from io import BytesIO
from pathlib import PurePath
from typing import BinaryIO

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from PIL import ExifTags, Image, ImageCms, ImageOps, IptcImagePlugin

MOST_BYTES = 5 * 1024 * 1024
MOST_PIXELS = 40_000_000
LEAST_SIDE = 200
"""The shorter side, in pixels. Less than this shows no dog."""
LARGE, SMALL = 1600, 800
QUALITY = 85
LONGEST_CREDIT = 120

KINDS = {
    "JPEG": (re.compile(rb"\xff\xd8\xff"), {".jpg", ".jpeg", ".jpe", ".jfif"}),
    "PNG": (re.compile(rb"\x89PNG\r\n\x1a\n"), {".png"}),
    "WEBP": (re.compile(rb"RIFF....WEBP", re.DOTALL), {".webp"}),
}
"""What a file of each kind begins with, and how its name may end."""

WORDS = {"JPEG": "JPEG", "PNG": "PNG", "WEBP": "WebP"}

# Pillow only warns between its limit and twice its limit.
warnings.simplefilter("error", Image.DecompressionBombWarning)
# A picture of 40 megapixels takes 160 MB while it is read, so a process reads one at a time.
_one_at_a_time = threading.Lock()


class Refused(ValidationError):
    """The file is not taken; the message says why and what to do."""


@dataclass(frozen=True)
class Rights:
    """What the file said about who made it and whose it is; empty where it said nothing."""

    credit: str = ""
    holder: str = ""


@dataclass(frozen=True)
class Photograph:
    """A photograph as it is kept: two JPEGs, and the size of the larger in pixels.

    sha256 : of the file as it was sent, whose bytes are not kept
    """

    large: bytes
    small: bytes
    width: int
    height: int
    sha256: str
    rights: Rights

    @property
    def bytes(self) -> int:
        return len(self.large) + len(self.small)


def take_in(file: BinaryIO, name: str) -> Photograph:
    """The photograph in a file that was sent under that name. Raises Refused."""
    data = _read(file)
    kind = _kind(data, name)
    with _one_at_a_time:
        picture = _opened(data, kind)
        # In this order: reading the fields of a PNG reads its pixels, and damage is told once.
        fresh = _fresh(picture)
        rights = _rights(picture)
    smaller = fresh.copy()
    smaller.thumbnail((SMALL, SMALL), Image.Resampling.LANCZOS)
    return Photograph(
        large=_jpeg(fresh),
        small=_jpeg(smaller),
        width=fresh.width,
        height=fresh.height,
        sha256=hashlib.sha256(data).hexdigest(),
        rights=rights,
    )


def _read(file: BinaryIO) -> bytes:
    """The bytes of the file. One that says how large it is, is not read if that is too much."""
    size = getattr(file, "size", None)
    data = b"" if size and size > MOST_BYTES else file.read(MOST_BYTES + 1)
    if len(data) > MOST_BYTES or (size and size > MOST_BYTES):
        message = _(
            "The photograph is larger than %(most)s MB. Make it smaller and choose it again."
        )
        raise Refused(message % {"most": MOST_BYTES // 1024**2}, code="bytes")
    if not data:
        raise Refused(_("The file is empty. Choose another."), code="empty")
    return data


def _kind(data: bytes, name: str) -> str:
    """JPEG, PNG or WEBP, when beginning and name of the file agree."""
    kind = next(
        (kind for kind, (start, _e) in KINDS.items() if start.match(data)), None
    )
    if kind is None:
        raise Refused(
            _(
                "This is no photograph the site can read. Choose a JPEG, PNG or WebP file."
            ),
            code="kind",
        )
    if PurePath(name).suffix.lower() not in KINDS[kind][1]:
        raise Refused(
            _(
                "The file is a %(kind)s, but its name does not end like one. Save it as "
                "%(kind)s and choose it again."
            )
            % {"kind": WORDS[kind]},
            code="name",
        )
    return kind


def _opened(data: bytes, kind: str) -> Image.Image:
    """The picture with only its header read, when its size is one that we take."""
    try:
        picture = Image.open(BytesIO(data), formats=[kind])
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise _too_many_pixels() from None
    except Exception:  # damaged files make readers raise errors of every kind
        raise _damaged() from None
    if picture.width * picture.height > MOST_PIXELS:
        raise _too_many_pixels()
    if min(picture.size) < LEAST_SIDE:
        message = _(
            "The photograph is too small: its shorter side has %(has)s pixels, and %(least)s "
            "are needed to see a dog."
        )
        values = {"has": min(picture.size), "least": LEAST_SIDE}
        raise Refused(message % values, code="small")
    # A camera's second picture inside a JPEG (a preview, a brighter copy) is no animation.
    if kind != "JPEG" and getattr(picture, "is_animated", False):
        raise Refused(
            _("The picture moves. Choose a photograph that stands still."),
            code="animated",
        )
    return picture


def _fresh(picture: Image.Image) -> Image.Image:
    """The pixels alone: upright, sRGB, on white, at most LARGE pixels either way."""
    profile = picture.info.get("icc_profile")
    try:
        picture = _as_tones(picture)
        picture.thumbnail((LARGE, LARGE), Image.Resampling.LANCZOS)
        upright = ImageOps.exif_transpose(picture)
        upright = _on_white(_in_srgb(upright, profile))
    except Exception:  # as above
        raise _damaged() from None
    fresh = Image.new("RGB", upright.size)
    fresh.paste(upright)
    return fresh


def _as_tones(picture: Image.Image) -> Image.Image:
    """The picture in a mode that can be made smaller without losing tones."""
    if picture.mode in ("P", "PA"):
        return picture.convert("RGBA" if picture.has_transparency_data else "RGB")
    if picture.mode == "I;16":
        return picture.point(lambda tone: tone / 256).convert("L")
    return picture.convert("L") if picture.mode == "1" else picture


def _in_srgb(picture: Image.Image, profile: bytes | None) -> Image.Image:
    """Colours as the profile means them; as they are where it is missing or unusable."""
    if profile and picture.mode in ("RGB", "RGBA", "CMYK", "L"):
        wanted = "RGBA" if picture.mode == "RGBA" else "RGB"
        try:
            return ImageCms.profileToProfile(
                picture,
                ImageCms.ImageCmsProfile(BytesIO(profile)),
                ImageCms.createProfile("sRGB"),
                outputMode=wanted,
            )
        except (ImageCms.PyCMSError, OSError, ValueError):
            pass
    return picture


def _on_white(picture: Image.Image) -> Image.Image:
    if not picture.has_transparency_data:
        return picture.convert("RGB")
    seen = picture.convert("RGBA")
    ground = Image.new("RGBA", seen.size, "white")
    return Image.alpha_composite(ground, seen).convert("RGB")


def _jpeg(picture: Image.Image) -> bytes:
    out = BytesIO()
    picture.save(out, "JPEG", quality=QUALITY, optimize=True, progressive=True)
    return out.getvalue()


def _rights(picture: Image.Image) -> Rights:
    """Who made the picture and whose it is, from its EXIF and IPTC fields."""
    try:
        exif = picture.getexif()
        iptc = IptcImagePlugin.getiptcinfo(picture) or {}
    except Exception:  # broken fields say nothing; the pixels may still be sound
        return Rights()
    artist = _text(exif.get(ExifTags.Base.Artist)) or _text(iptc.get((2, 80)))
    owner = _text(exif.get(ExifTags.Base.Copyright)) or _text(iptc.get((2, 116)))
    return Rights(
        credit=_text(iptc.get((2, 110))) or artist or owner, holder=owner or artist
    )


def _text(value) -> str:
    """A field as one line without control characters."""
    if isinstance(value, list):
        value = value[0]
    if isinstance(value, bytes):
        value = value.decode("utf-8", "replace")
    line = " ".join(str(value or "").split())
    return "".join(sign for sign in line if sign.isprintable())[:LONGEST_CREDIT].strip()


def _too_many_pixels() -> Refused:
    message = _(
        "The photograph has more than %(most)s million pixels. Make it smaller and choose "
        "it again."
    )
    return Refused(message % {"most": MOST_PIXELS // 1_000_000}, code="pixels")


def _damaged() -> Refused:
    return Refused(
        _(
            "The photograph is damaged or not all of it arrived. Open it in a picture "
            "program, save it anew and choose it again."
        ),
        code="damaged",
    )
