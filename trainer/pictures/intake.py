"""A file that somebody sends becomes a photograph of ours, or is refused in a sentence.

Nothing of the file as it was sent is kept: its pixels are copied to a fresh picture and
written anew, without position, camera, comments and colour profile. Whose it is, is read
before (trainer.pictures.rights).
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
from PIL import Image, ImageCms, ImageOps
from pillow_heif import register_heif_opener

from trainer.pictures.rights import Rights, read_rights

MOST_BYTES = 5 * 1024 * 1024
MOST_PIXELS = 40_000_000
LEAST_SIDE = 200
"""The shorter side, in pixels. Less than this shows no dog."""
PRINT, LARGE, SMALL = 2400, 1600, 800
"""The longer side at most: 20 cm on paper at 300 dots to the inch, a wide screen, a phone."""
QUALITY = 85

KINDS = {
    "JPEG": (re.compile(rb"\xff\xd8\xff"), {".jpg", ".jpeg", ".jpe", ".jfif"}),
    "PNG": (re.compile(rb"\x89PNG\r\n\x1a\n"), {".png"}),
    "WEBP": (re.compile(rb"RIFF....WEBP", re.DOTALL), {".webp"}),
    # Both stand in the same container: the brand tells, or the list of brands after it.
    "AVIF": (
        re.compile(rb".{4}ftyp(avi[fs]|m[is]f1.{4}(.{4}){0,8}?avi[fs])", re.DOTALL),
        {".avif"},
    ),
    "HEIF": (
        re.compile(rb".{4}ftyp(hei[cmsx]|hev[cmsx]|m[is]f1)", re.DOTALL),
        {".heic", ".heif", ".hif"},
    ),
}
"""What a file of each kind begins with, and how its name may end."""

WORDS = {"JPEG": "JPEG", "PNG": "PNG", "WEBP": "WebP", "AVIF": "AVIF", "HEIF": "HEIC"}
ACCEPTED = "image/jpeg,image/png,image/webp,image/avif,image/heic,image/heif"

register_heif_opener(thumbnails=False, depth_images=False, aux_images=False)
# Pillow only warns between its limit and twice its limit.
warnings.simplefilter("error", Image.DecompressionBombWarning)
# A picture of 40 megapixels takes 160 MB while it is read, so a process reads one at a time.
one_at_a_time = threading.Lock()


class Refused(ValidationError):
    """The file is not taken; the message says why and what to do."""


@dataclass(frozen=True)
class Photograph:
    """A photograph as it is kept: JPEGs of several sizes, and the size of `large` in pixels.

    sha256 : of the file as it was sent, whose bytes are not kept
    for_print : empty where `large` has all the pixels there are
    """

    large: bytes
    small: bytes
    width: int
    height: int
    sha256: str
    rights: Rights
    for_print: bytes = b""

    @property
    def bytes(self) -> int:
        return len(self.large) + len(self.small) + len(self.for_print)


def take_in(file: BinaryIO, name: str) -> Photograph:
    """The photograph in a file that was sent under that name. Raises Refused."""
    data = _read(file)
    kind = _kind(data, name)
    with one_at_a_time:
        picture = _opened(data, kind)
        # In this order: reading the fields of a PNG reads its pixels, and damage is told once.
        fresh = _fresh(picture)
        rights = read_rights(picture, data)
    return in_sizes(fresh, sha256=hashlib.sha256(data).hexdigest(), rights=rights)


def in_sizes(fresh: Image.Image, *, sha256: str, rights: Rights) -> Photograph:
    """The photograph made of an RGB picture, in every size that is kept."""
    large, small = _at_most(fresh, LARGE), _at_most(fresh, SMALL)
    return Photograph(
        for_print=_jpeg(_at_most(fresh, PRINT)) if large.size != fresh.size else b"",
        large=_jpeg(large),
        small=_jpeg(small),
        width=large.width,
        height=large.height,
        sha256=sha256,
        rights=rights,
    )


def _at_most(picture: Image.Image, side: int) -> Image.Image:
    smaller = picture.copy()
    smaller.thumbnail((side, side), Image.Resampling.LANCZOS)
    return smaller


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
    """Which of KINDS it is, when beginning and name of the file agree."""
    kind = next(
        (kind for kind, (start, _e) in KINDS.items() if start.match(data)), None
    )
    if kind is None:
        raise Refused(
            _(
                "This is no photograph the site can read. Choose a JPEG, PNG, WebP, AVIF "
                "or HEIC file."
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
    # An HEIC file may hold more pictures than the one it shows.
    if kind not in ("JPEG", "HEIF") and getattr(picture, "is_animated", False):
        raise Refused(
            _("The picture moves. Choose a photograph that stands still."),
            code="animated",
        )
    return picture


def _fresh(picture: Image.Image) -> Image.Image:
    """The pixels alone: upright, sRGB, on white, at most PRINT pixels either way."""
    profile = picture.info.get("icc_profile")
    try:
        picture = _as_tones(picture)
        picture.thumbnail((PRINT, PRINT), Image.Resampling.LANCZOS)
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
