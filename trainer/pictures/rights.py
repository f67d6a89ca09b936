"""What a picture file says of whose it is, read before everything in it but the pixels is dropped.

Fields after the IPTC Photo Metadata Standard 2025.1, from XMP first, then EXIF, then IIM.
Position, camera, serial numbers and the names of places are never read.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from xml.etree.ElementTree import Element

from defusedxml import ElementTree
from PIL import ExifTags, Image, IptcImagePlugin

LONGEST_CREDIT = 120
LONGEST_TERMS = 300
MOST_XMP_BYTES = 256 * 1024

DC = "{http://purl.org/dc/elements/1.1/}"
PHOTOSHOP = "{http://ns.adobe.com/photoshop/1.0/}"
RIGHTS = "{http://ns.adobe.com/xap/1.0/rights/}"
PLUS = "{http://ns.useplus.org/ldf/xmp/1.0/}"
IPTC_EXT = "{http://iptc.org/std/Iptc4xmpExt/2008-02-29/}"
RDF = "{http://www.w3.org/1999/02/22-rdf-syntax-ns#}"

CAMERA, RETOUCHED, MACHINE = "camera", "retouched", "machine"
# Terms of the IPTC vocabulary "Digital Source Type" that say how a picture came about.
SOURCES = {
    "digitalCapture": CAMERA,
    "computationalCapture": CAMERA,
    "negativeFilm": CAMERA,
    "positiveFilm": CAMERA,
    "print": CAMERA,
    "humanEdits": RETOUCHED,
    "composite": RETOUCHED,
    "compositeCapture": RETOUCHED,
    "algorithmicallyEnhanced": RETOUCHED,
    "digitalCreation": MACHINE,
    "algorithmicMedia": MACHINE,
    "trainedAlgorithmicMedia": MACHINE,
    "compositeSynthetic": MACHINE,
    "compositeWithTrainedAlgorithmicMedia": MACHINE,
}
# The box that a signed account of a picture's history begins with (C2PA).
SIGNED = b"jumdc2pa"


@dataclass(frozen=True)
class Rights:
    """What the file said; empty where it said nothing.

    credit, holder : the line to print, and whose the picture is
    creator, terms, mining : who made it, how it may be used, whether programs may learn from it
    made : CAMERA, RETOUCHED or MACHINE
    signed : the file held a signed account of its history, which the kept picture no longer does
    """

    credit: str = ""
    holder: str = ""
    creator: str = ""
    terms: str = ""
    mining: str = ""
    made: str = ""
    signed: bool = False

    def said(self) -> dict[str, str | bool]:
        """The fields that say something."""
        return {name: value for name, value in asdict(self).items() if value}


def read_rights(picture: Image.Image, data: bytes) -> Rights:
    """The rights in an opened picture and the bytes it came from; broken fields say nothing."""
    exif, iptc, xmp = _exif(picture), _iptc(picture), _xmp(picture)
    creator = one_line(
        _first(
            _in_xmp(xmp, f"{DC}creator"), exif(ExifTags.Base.Artist), iptc.get((2, 80))
        )
    )
    notice = one_line(
        _first(
            _in_xmp(xmp, f"{DC}rights"),
            exif(ExifTags.Base.Copyright),
            iptc.get((2, 116)),
        )
    )
    credit = one_line(_first(_in_xmp(xmp, f"{PHOTOSHOP}Credit"), iptc.get((2, 110))))
    terms = [_in_xmp(xmp, RIGHTS + name) for name in ("UsageTerms", "WebStatement")]
    return Rights(
        credit=credit or creator or notice,
        holder=notice or creator,
        creator=creator,
        terms=one_line(" ".join(filter(None, terms)), LONGEST_TERMS),
        mining=_term(_in_xmp(xmp, f"{PLUS}DataMining")),
        made=SOURCES.get(_term(_in_xmp(xmp, f"{IPTC_EXT}DigitalSourceType")), ""),
        signed=SIGNED in data,
    )


def one_line(value, longest: int = LONGEST_CREDIT) -> str:
    """A field as one line without control characters."""
    if isinstance(value, list):
        value = value[0]
    if isinstance(value, bytes):
        value = value.decode("utf-8", "replace")
    line = " ".join(str(value or "").split())
    return "".join(sign for sign in line if sign.isprintable())[:longest].strip()


def _first(*values):
    return next((value for value in values if one_line(value)), "")


def _exif(picture: Image.Image):
    try:
        return picture.getexif().get
    except Exception:  # readers of broken fields raise errors of every kind
        return {}.get


def _iptc(picture: Image.Image) -> dict:
    try:
        return IptcImagePlugin.getiptcinfo(picture) or {}
    except Exception:  # as above
        return {}


def _xmp(picture: Image.Image) -> Element | None:
    """The XMP of the picture, if it is sound XML without entities and of a usual size."""
    packet = picture.info.get("xmp") or b""
    if isinstance(packet, str):
        packet = packet.encode()
    if not packet or len(packet) > MOST_XMP_BYTES:
        return None
    try:
        return ElementTree.fromstring(packet.strip(b"\0 \r\n\t"), forbid_dtd=True)
    except Exception:  # as above
        return None


def _in_xmp(root: Element | None, name: str) -> str:
    """A property's text, wherever RDF allows it: in an element, a list, or an attribute."""
    if root is None:
        return ""
    texts = (text for node in root.iter() for text in _texts(node, name))
    return next((text for text in texts if text.strip()), "")


def _texts(node: Element, name: str) -> Iterable[str]:
    if node.tag == name:
        yield from (item.text or "" for item in node.iter(f"{RDF}li"))
        yield node.text or ""
        yield node.get(f"{RDF}resource", "")
    yield node.get(name, "")


def _term(address: str) -> str:
    """The last part of a vocabulary's address: the term itself."""
    return one_line(address.rstrip("/").rsplit("/", 1)[-1])
