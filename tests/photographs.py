"""Photographs for tests: sound ones, broken ones, and files that pretend to be photographs."""

import struct
import zipfile
import zlib
from io import BytesIO

import factory
import numpy as np
from django.core.files.base import ContentFile
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from factory.django import DjangoModelFactory
from PIL import ExifTags, Image, PngImagePlugin

from tests.factories import ClubFactory
from trainer.pictures.models import CONSENT, Licence, Picture

SCRIPT = "<script>alert(1)</script>"
PLACE, SERIAL, SOFTWARE = "Nether Tarn Field", "SN-4711-CAMERA", "Developed-By-7"


def picture(width=400, height=300, mode="RGB"):
    """A picture with a lit upper left corner, so that one sees which way it stands."""
    across, down = np.meshgrid(np.arange(width), np.arange(height))
    tones = (255 - 127 * across / width - 127 * down / height).astype("uint8")
    return Image.fromarray(tones).convert(mode)


def encoded(image, kind="JPEG", **how):
    out = BytesIO()
    image.save(out, kind, **how)
    return out.getvalue()


def jpeg(width=400, height=300, **how):
    return encoded(picture(width, height), "JPEG", **how)


def upload(data=None, name="dog.jpg"):
    return SimpleUploadedFile(name, jpeg() if data is None else data)


def camera_exif(orientation=1, **text):
    """EXIF as a camera writes it: place, serial number, maker's note and a thumbnail's worth."""
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = orientation
    exif[ExifTags.Base.Software] = SOFTWARE
    exif[ExifTags.Base.ImageDescription] = SCRIPT
    for name, value in text.items():
        exif[getattr(ExifTags.Base, name)] = value
    gps = exif.get_ifd(ExifTags.IFD.GPSInfo)
    gps[ExifTags.GPS.GPSLatitude] = (54.0, 30.0, 12.5)
    gps[ExifTags.GPS.GPSAreaInformation] = PLACE.encode()
    details = exif.get_ifd(ExifTags.IFD.Exif)
    details[ExifTags.Base.BodySerialNumber] = SERIAL
    details[ExifTags.Base.MakerNote] = b"maker " + SERIAL.encode()
    return exif


def xmp(place=PLACE):
    return (
        '<?xpacket begin=""?><x:xmpmeta xmlns:x="adobe:ns:meta/"><place>'
        f"{place}{SCRIPT}</place></x:xmpmeta>"
    ).encode()


def iptc(**fields):
    """The Photoshop segment of a JPEG with these IPTC fields (record 2, by number)."""
    records = b"".join(
        struct.pack(">BBBH", 0x1C, 2, int(number[1:]), len(text)) + text
        for number, text in fields.items()
    )
    block = b"8BIM" + struct.pack(">HHI", 0x0404, 0, len(records)) + records
    body = b"Photoshop 3.0\0" + block + b"\0" * (len(records) % 2)
    return b"\xff\xed" + struct.pack(">H", len(body) + 2) + body


def with_segment(data, segment):
    """The JPEG with one more segment right after its beginning."""
    return data[:2] + segment + data[2:]


def telling_jpeg():
    """A JPEG that tells everything: EXIF, GPS, XMP, IPTC, comment, profile, more after its end."""
    from PIL import ImageCms

    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    exif = camera_exif(Artist="A. Photographer")
    data = encoded(
        picture(),
        exif=exif,
        xmp=xmp(),
        comment=f"{PLACE} {SCRIPT}".encode(),
        icc_profile=profile,
    )
    return with_segment(data, iptc(_90=PLACE.encode())) + SERIAL.encode()


def telling_png():
    text = PngImagePlugin.PngInfo()
    text.add_text("Comment", f"{PLACE} {SCRIPT}")
    text.add_itxt("XML:com.adobe.xmp", xmp().decode())
    text.add_text("Software", SOFTWARE, zip=True)
    return encoded(picture(), "PNG", pnginfo=text, exif=camera_exif())


def telling_webp():
    return encoded(picture(), "WEBP", exif=camera_exif(), xmp=xmp())


def heif(image=None, exif=None, **how):
    """An HEIC; its writer wants EXIF as bytes to see which way the picture stands."""
    if exif is not None:
        how["exif"] = exif.tobytes()
    return encoded(image or picture(), "HEIF", **how)


def avif(image=None, **how):
    return encoded(image or picture(), "AVIF", **how)


def telling_avif():
    return avif(exif=camera_exif(), xmp=xmp()) + SERIAL.encode()


def telling_heif():
    return heif(exif=camera_exif(), xmp=xmp())


def rights_xmp(*properties, before=""):
    """XMP that holds these properties."""
    spaces = {
        "dc": "http://purl.org/dc/elements/1.1/",
        "photoshop": "http://ns.adobe.com/photoshop/1.0/",
        "xmpRights": "http://ns.adobe.com/xap/1.0/rights/",
        "plus": "http://ns.useplus.org/ldf/xmp/1.0/",
        "ext": "http://iptc.org/std/Iptc4xmpExt/2008-02-29/",
        "rdf": "http://www.w3.org/1999/02/22-rdf-syntax-ns#",
    }
    names = " ".join(f'xmlns:{short}="{name}"' for short, name in spaces.items())
    return (
        f'{before}<x:xmpmeta xmlns:x="adobe:ns:meta/" {names}><rdf:RDF><rdf:Description>'
        f"{''.join(properties)}</rdf:Description></rdf:RDF></x:xmpmeta>"
    ).encode()


def saying(data, width, height):
    """An AVIF or HEIC whose header says another size than it has (`ispe`, ISO/IEC 23008-12)."""
    start = data.index(b"ispe") + 8
    return data[:start] + struct.pack(">II", width, height) + data[start + 8 :]


def png_chunk(name, body):
    check = zlib.crc32(name + body)
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", check)


def png_header(width, height, *chunks):
    """A PNG that says how large it is and holds next to nothing."""
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    rest = b"".join(chunks) or png_chunk(b"IDAT", zlib.compress(b"\0" * 100))
    return (
        b"\x89PNG\r\n\x1a\n" + png_chunk(b"IHDR", head) + rest + png_chunk(b"IEND", b"")
    )


def jpeg_saying(width, height):
    """A JPEG whose header says another size than it has."""
    data = jpeg()
    start = data.index(b"\xff\xc0") + 5
    return data[:start] + struct.pack(">HH", height, width) + data[start + 4 :]


def webp_saying(width, height):
    """A WebP in the extended form whose canvas is said to be this large."""
    size = struct.pack("<I", width - 1)[:3] + struct.pack("<I", height - 1)[:3]
    chunk = b"VP8X" + struct.pack("<I", 10) + b"\0\0\0\0" + size
    body = b"WEBP" + chunk + encoded(picture(), "WEBP")[12:]
    return b"RIFF" + struct.pack("<I", len(body)) + body


def animated(kind):
    still = [picture(), picture().rotate(180)]
    return encoded(still[0], kind, save_all=True, append_images=still[1:])


def zipped(*names):
    out = BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name in names:
            archive.writestr(name, SCRIPT)
    return out.getvalue()


class PictureFactory(DjangoModelFactory):
    """A cleared picture with files; `uncleared=True` without right and consent on record."""

    class Meta:
        model = Picture

    class Params:
        uncleared = factory.Trait(licence="", consent_at=None, consent_words="")
        withdrawn = factory.Trait(
            withdrawn_at=factory.LazyFunction(timezone.now), large="", small="", bytes=0
        )

    club = factory.SubFactory(ClubFactory)
    uploaded_at = factory.LazyFunction(timezone.now)
    large = factory.LazyFunction(lambda: ContentFile(jpeg(), "a"))
    small = factory.LazyFunction(lambda: ContentFile(jpeg(200, 150), "b"))
    width, height, bytes = 400, 300, 5000
    sha256 = "0" * 64
    licence = Licence.PERMISSION
    consent_at = factory.LazyFunction(timezone.now)
    consent_words = str(CONSENT)
