"""What becomes of files that are sent as photographs: sound, broken and hostile ones."""

import threading
import zlib
from io import BytesIO

import numpy as np
import pytest
from PIL import Image, ImageCms

from tests.photographs import (
    PLACE,
    SCRIPT,
    SERIAL,
    SOFTWARE,
    animated,
    camera_exif,
    encoded,
    iptc,
    jpeg,
    jpeg_saying,
    picture,
    png_chunk,
    png_header,
    telling_jpeg,
    telling_png,
    telling_webp,
    webp_saying,
    with_segment,
    xmp,
    zipped,
)
from trainer.pictures.intake import MOST_BYTES, Refused, take_in
from trainer.pictures.rights import LONGEST_CREDIT

SVG = f'<svg xmlns="http://www.w3.org/2000/svg">{SCRIPT}</svg>'.encode()
HTML = f"<!doctype html><title>Dog</title>{SCRIPT}".encode()
GIF = encoded(picture(), "GIF")


def taken(data, name="dog.jpg"):
    return take_in(BytesIO(data), name)


def large(photograph):
    return Image.open(BytesIO(photograph.large))


REFUSALS = {
    "nothing at all": (b"", "dog.jpg", "empty"),
    "one byte": (b"\xff", "dog.jpg", "kind"),
    "zeros": (bytes(4000), "dog.jpg", "kind"),
    "text": (b"a dog, standing", "dog.jpg", "kind"),
    "HTML as JPEG": (HTML, "dog.jpg", "kind"),
    "HTML as PNG": (HTML, "dog.png", "kind"),
    "SVG": (SVG, "dog.svg", "kind"),
    "SVG as PNG": (SVG, "dog.png", "kind"),
    "SVG in a ZIP": (zipped("dog.svg"), "dog.png", "kind"),
    "ZIP as WebP": (zipped("dog.jpg"), "dog.webp", "kind"),
    "PDF as JPEG": (b"%PDF-1.7\n" + jpeg(), "dog.jpg", "kind"),
    "GIF": (GIF, "dog.gif", "kind"),
    "GIF as JPEG": (GIF, "dog.jpg", "kind"),
    "GIF that is a script too": (
        GIF[:6] + b"/*" + GIF[8:] + b"*/=1;alert(1)//",
        "dog.gif",
        "kind",
    ),
    "BMP as PNG": (encoded(picture(), "BMP"), "dog.png", "kind"),
    "TIFF as JPEG": (encoded(picture(), "TIFF"), "dog.jpg", "kind"),
    "PostScript as JPEG": (b"%!PS-Adobe-3.0 EPSF-3.0\n", "dog.jpg", "kind"),
    "other RIFF as WebP": (b"RIFF\x24\0\0\0WAVEfmt ", "dog.webp", "kind"),
    "space before a JPEG": (b" " + jpeg(), "dog.jpg", "kind"),
    "JPEG named PNG": (jpeg(), "dog.png", "name"),
    "PNG named JPEG": (encoded(picture(), "PNG"), "dog.jpg", "name"),
    "WebP named JPEG": (encoded(picture(), "WEBP"), "dog.jpg", "name"),
    "JPEG named as a program": (jpeg(), "dog.jpg.php", "name"),
    "JPEG named as a page": (jpeg(), "dog.html", "name"),
    "JPEG without an ending": (jpeg(), "dog", "name"),
    "JPEG that is an ending only": (jpeg(), ".jpg", "name"),
    "beginning of a JPEG, then HTML": (b"\xff\xd8\xff" + HTML, "dog.jpg", "damaged"),
    "beginning of a PNG, then HTML": (
        b"\x89PNG\r\n\x1a\n" + HTML,
        "dog.png",
        "damaged",
    ),
    "beginning of a WebP, then SVG": (
        b"RIFF\xff\0\0\0WEBP" + SVG,
        "dog.webp",
        "damaged",
    ),
    "half a JPEG": (jpeg()[: len(jpeg()) // 2], "dog.jpg", "damaged"),
    "JPEG without its end": (jpeg()[:-2], "dog.jpg", "damaged"),
    "half a PNG": (encoded(picture(), "PNG")[:700], "dog.png", "damaged"),
    "half a WebP": (
        encoded(picture(), "WEBP", lossless=True)[:90],
        "dog.webp",
        "damaged",
    ),
    "header of a PNG": (png_header(400, 300)[:33], "dog.png", "damaged"),
    "PNG with too little in it": (png_header(400, 300), "dog.png", "damaged"),
    "PNG with rubbish in it": (
        png_header(400, 300, png_chunk(b"IDAT", b"rubbish")),
        "dog.png",
        "damaged",
    ),
    "JPEG with no sides": (jpeg_saying(0, 0), "dog.jpg", "damaged"),
    "PNG bomb": (png_header(20000, 20000), "dog.png", "pixels"),
    "PNG bomb that Pillow only warns of": (
        png_header(10000, 9000),
        "dog.png",
        "pixels",
    ),
    "PNG bomb that Pillow would take": (png_header(8000, 5001), "dog.png", "pixels"),
    "PNG as wide as numbers go": (
        png_header(2**31 - 1, 2**31 - 1),
        "dog.png",
        "pixels",
    ),
    "JPEG bomb": (jpeg_saying(20000, 20000), "dog.jpg", "pixels"),
    "WebP bomb": (webp_saying(16000, 16000), "dog.webp", "pixels"),
    "too few pixels": (jpeg(400, 199), "dog.jpg", "small"),
    "one pixel": (jpeg(1, 1), "dog.jpg", "small"),
    "a long thread": (png_header(1, 30000), "dog.png", "small"),
    "animated PNG": (animated("PNG"), "dog.png", "animated"),
    "animated WebP": (animated("WEBP"), "dog.webp", "animated"),
    "too many bytes": (jpeg() + bytes(MOST_BYTES), "dog.jpg", "bytes"),
}


@pytest.mark.filterwarnings("error::PIL.Image.DecompressionBombWarning")
@pytest.mark.parametrize(("data", "name", "code"), REFUSALS.values(), ids=REFUSALS)
def test_refused(data, name, code):
    with pytest.raises(Refused) as refusal:
        taken(data, name)
    assert refusal.value.code == code
    assert refusal.value.messages[0].endswith(".")


def test_text_bomb_in_a_png_is_refused():
    """64 MB of text in 64 kB: 100 chunks that each unpack to 700 kB."""

    packed = png_chunk(b"zTXt", b"Comment\0\0" + zlib.compress(b"a" * 700_000))
    data = encoded(picture(), "PNG")
    bomb = data[:33] + packed * 100 + data[33:]
    assert len(bomb) < 200_000
    with pytest.raises(Refused) as refusal:
        taken(bomb, "dog.png")
    assert refusal.value.code == "damaged"


def test_large_file_is_refused_unread():
    class Large:
        size = MOST_BYTES + 1

        def read(self, size):
            raise AssertionError("the file was read")

    with pytest.raises(Refused) as refusal:
        take_in(Large(), "dog.jpg")
    assert refusal.value.code == "bytes"
    assert "5 MB" in refusal.value.messages[0]


def test_header_decides_before_pixels_are_read(monkeypatch):
    def read(*args):
        raise AssertionError("the pixels were read")

    monkeypatch.setattr(Image.Image, "load", read)
    monkeypatch.setattr("PIL.ImageFile.ImageFile.load", read)
    with pytest.raises(Refused) as refusal:
        taken(png_header(8000, 5001), "dog.png")
    assert refusal.value.code == "pixels"


def test_one_refusal_does_not_block_the_next_photograph():
    for _ in range(2):
        with pytest.raises(Refused):
            taken(jpeg()[:-2])
    found = []
    other = threading.Thread(target=lambda: found.append(taken(jpeg())))
    other.start()
    other.join(timeout=30)
    assert found


@pytest.mark.parametrize(
    ("data", "name"),
    [
        (telling_jpeg(), "dog.jpg"),
        (telling_png(), "dog.png"),
        (telling_webp(), "dog.webp"),
    ],
    ids=["JPEG", "PNG", "WebP"],
)
def test_nothing_but_pixels_is_left(data, name):
    tells = (PLACE, SERIAL, SOFTWARE, SCRIPT, "A. Photographer", "xmpmeta", "Photoshop")
    assert sum(tell.encode() in data for tell in tells) >= 3
    photograph = taken(data, name)
    for kept in (photograph.large, photograph.small):
        assert not [tell for tell in tells if tell.encode() in kept]
        found = Image.open(BytesIO(kept))
        assert found.format == "JPEG"
        assert not found.getexif()
        assert {name for name, _ in found.applist} == {"APP0"}
        assert set(found.info) == {
            "jfif",
            "jfif_version",
            "jfif_unit",
            "jfif_density",
            "progressive",
            "progression",
        }


POLYGLOTS = {
    "JPEG with a page in a comment": (jpeg(comment=HTML), "dog.jpg"),
    "JPEG with a page after its end": (jpeg() + HTML, "dog.jpg"),
    "JPEG with an archive after its end": (jpeg() + zipped("run.svg"), "dog.jpg"),
    "JPEG with a program in its EXIF": (
        jpeg(exif=camera_exif(Artist=f"{SCRIPT}<?php system($_GET[0]);?>")),
        "dog.jpg",
    ),
    "JPEG with a page in its XMP": (jpeg(xmp=xmp()), "dog.jpg"),
    "PNG with a page in a chunk of its own": (
        encoded(picture(), "PNG")[:-12]
        + png_chunk(b"htMl", HTML)
        + png_chunk(b"IEND", b""),
        "dog.png",
    ),
    "PNG with an archive after its end": (
        encoded(picture(), "PNG") + zipped("run.svg"),
        "dog.png",
    ),
    "WebP with a page after its end": (encoded(picture(), "WEBP") + HTML, "dog.webp"),
}


@pytest.mark.parametrize(("data", "name"), POLYGLOTS.values(), ids=POLYGLOTS)
def test_second_nature_of_a_file_is_gone(data, name):
    photograph = taken(data, name)
    for kept in (photograph.large, photograph.small):
        assert kept[:3] == b"\xff\xd8\xff"
        assert kept[-2:] == b"\xff\xd9"
        for tell in (b"script", b"<?php", b"PK\x03\x04", b"doctype"):
            assert tell not in kept


def test_kept_files_follow_from_the_pixels_alone():
    assert taken(telling_jpeg()).large != jpeg()
    plain, page = jpeg(), jpeg(comment=HTML)
    assert taken(plain).large == taken(page).large
    assert taken(plain).sha256 != taken(page).sha256


@pytest.mark.parametrize(
    ("mode", "kind", "name"),
    [
        ("L", "JPEG", "dog.jpg"),
        ("CMYK", "JPEG", "dog.jpeg"),
        ("YCbCr", "JPEG", "DOG.JPG"),
        ("1", "PNG", "dog.png"),
        ("LA", "PNG", "dog.png"),
        ("P", "PNG", "dog.png"),
        ("RGBA", "PNG", "dog.png"),
        ("RGBA", "WEBP", "dog.webp"),
    ],
)
def test_tones_survive_every_mode(mode, kind, name):
    seen = large(taken(encoded(picture(mode=mode), kind), name))
    assert seen.mode == "RGB"
    corner, far = seen.getpixel((20, 20)), seen.getpixel((380, 280))
    if mode == "1":
        assert np.asarray(seen)[:40].mean() > np.asarray(seen)[-40:].mean() + 60
    else:
        assert corner == pytest.approx((242,) * 3, abs=6)
        assert far == pytest.approx((16,) * 3, abs=6)


def test_sixteen_bits_become_eight():
    tones = np.full((300, 400), 30_000, dtype="uint16")
    tones[:, 200:] = 60_000
    seen = large(taken(encoded(Image.fromarray(tones), "PNG"), "dog.png"))
    assert seen.getpixel((50, 150)) == pytest.approx((117,) * 3, abs=2)
    assert seen.getpixel((350, 150)) == pytest.approx((234,) * 3, abs=2)


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_what_is_transparent_becomes_white(kind):
    clear = picture(mode="RGBA")
    clear.putalpha(0)
    name = f"dog.{kind.lower()}"
    seen = large(taken(encoded(clear, kind, lossless=True), name))
    assert seen.getpixel((380, 280)) == (255, 255, 255)


def test_transparent_colour_of_a_palette_becomes_white():
    flat = Image.new("P", (400, 300), 1)
    flat.putpalette([0, 0, 0, 90, 20, 20])
    seen = large(taken(encoded(flat, "PNG", transparency=1), "dog.png"))
    assert seen.getpixel((200, 150)) == (255, 255, 255)


# The lit corner of the picture as it was taken, and where each orientation puts it
# (Exif 2.32, tag 274).
@pytest.mark.parametrize(
    ("orientation", "size", "lit"),
    [
        (1, (400, 300), (10, 10)),
        (2, (400, 300), (390, 10)),
        (3, (400, 300), (390, 290)),
        (4, (400, 300), (10, 290)),
        (5, (300, 400), (10, 10)),
        (6, (300, 400), (290, 10)),
        (7, (300, 400), (290, 390)),
        (8, (300, 400), (10, 390)),
    ],
)
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_photograph_stands_upright(kind, orientation, size, lit):
    data = encoded(picture(), kind, exif=camera_exif(orientation))
    photograph = taken(data, f"dog.{kind.lower()}")
    seen = large(photograph)
    assert (photograph.width, photograph.height) == seen.size == size
    assert seen.getpixel(lit)[0] > 240


def test_palette_stands_upright_too():
    data = encoded(picture().quantize(64), "PNG", exif=camera_exif(6))
    assert large(taken(data, "dog.png")).getpixel((290, 10))[0] > 235


def test_orientation_that_does_not_exist_changes_nothing():
    assert large(taken(jpeg(exif=camera_exif(77)))).size == (400, 300)


@pytest.mark.parametrize(
    ("sent", "kept", "smaller"),
    [
        ((400, 300), (400, 300), (400, 300)),
        ((1600, 1200), (1600, 1200), (800, 600)),
        ((4000, 3000), (1600, 1200), (800, 600)),
        ((1500, 3000), (800, 1600), (400, 800)),
    ],
)
def test_sizes(sent, kept, smaller):
    photograph = taken(jpeg(*sent))
    assert large(photograph).size == kept == (photograph.width, photograph.height)
    assert Image.open(BytesIO(photograph.small)).size == smaller
    sizes = (photograph.large, photograph.small, photograph.for_print)
    assert photograph.bytes == sum(map(len, sizes))


@pytest.mark.parametrize(
    ("sent", "printed"),
    [((1600, 1200), None), ((2000, 1000), (2000, 1000)), ((4000, 3000), (2400, 1800))],
)
def test_paper_gets_more_pixels_where_there_are_more(sent, printed):
    photograph = taken(jpeg(*sent))
    if printed is None:
        assert photograph.for_print == b""
    else:
        assert Image.open(BytesIO(photograph.for_print)).size == printed


def test_forty_megapixels_are_taken():
    data = encoded(Image.new("L", (8000, 5000), 90), "PNG")
    assert large(taken(data, "dog.png")).size == (1600, 1000)


def test_second_picture_of_a_camera_is_left_out():
    data = encoded(
        picture(), "MPO", save_all=True, append_images=[picture(300, 300).rotate(180)]
    )
    assert large(taken(data)).size == (400, 300)
    assert taken(data).large == taken(jpeg()).large


def swapped_profile():
    """A profile in which red means what blue means in sRGB, and the other way round."""
    plain = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    swapped = plain.replace(b"rXYZ", b"tXYZ", 1).replace(b"bXYZ", b"rXYZ", 1)
    return swapped.replace(b"tXYZ", b"bXYZ", 1)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_profile_is_applied_and_dropped(kind):
    red = Image.new("RGB", (400, 300), (200, 10, 10))
    data = encoded(red, kind, icc_profile=swapped_profile())
    seen = large(taken(data, f"dog.{kind.lower()}"))
    assert seen.getpixel((200, 150)) == pytest.approx((10, 10, 200), abs=6)
    assert "icc_profile" not in seen.info


def test_broken_profile_is_ignored():
    assert taken(jpeg(icc_profile=b"no profile " * 20)).large == taken(jpeg()).large


def rights(data, name="dog.jpg"):
    found = taken(data, name).rights
    return found.credit, found.holder


def test_credit_is_read_before_it_is_removed():
    artist = {"Artist": "Ada Lens", "Copyright": "Lens and Daughters"}
    assert rights(jpeg(exif=camera_exif(**artist))) == (
        "Ada Lens",
        "Lens and Daughters",
    )
    assert rights(jpeg(exif=camera_exif(Artist="Ada Lens"))) == ("Ada Lens",) * 2
    assert rights(jpeg(exif=camera_exif(Copyright="Lens"))) == ("Lens",) * 2
    assert rights(jpeg()) == ("", "")
    png = encoded(picture(), "PNG", exif=camera_exif(Artist="Ada Lens"))
    assert rights(png, "dog.png") == ("Ada Lens",) * 2


def test_credit_of_the_press_fields_is_read():
    fields = iptc(_80=b"Ada Lens", _110=b"Ada Lens, Tarn Press", _116=b"Tarn Press")
    found = rights(with_segment(jpeg(), fields))
    assert found == ("Ada Lens, Tarn Press", "Tarn Press")
    alone = with_segment(jpeg(), iptc(_80=b"Ada Lens"))
    assert rights(alone) == ("Ada Lens",) * 2


def test_credit_is_one_short_line():
    wild = "Ada\0\r\nLens\t\x1b[31m " + "x" * 500
    credit, _ = rights(with_segment(jpeg(), iptc(_80=wild.encode())))
    assert credit.startswith("Ada")
    assert credit.isprintable()
    assert len(credit) <= LONGEST_CREDIT
    broken = rights(with_segment(jpeg(), iptc(_80=b"\xff\xfe Lens")))
    assert "Lens" in broken[0]


@pytest.mark.filterwarnings("ignore:Corrupt EXIF")
def test_broken_exif_does_not_cost_the_photograph():
    body = b"Exif\0\0" + b"MM\0\x2a\xff\xff\xff\xf0" + b"\xff" * 40
    segment = b"\xff\xe1" + (len(body) + 2).to_bytes(2, "big") + body
    assert rights(with_segment(jpeg(), segment)) == ("", "")
