"""AVIF and HEIC as photographs, files that pretend to be one, and damage at random."""

import random
from io import BytesIO

import pytest
from PIL import Image, features

from tests.photographs import (
    PLACE,
    SCRIPT,
    SERIAL,
    SOFTWARE,
    avif,
    camera_exif,
    encoded,
    heif,
    jpeg,
    picture,
    saying,
    telling_avif,
    telling_heif,
    zipped,
)
from trainer.pictures.intake import KINDS, MOST_BYTES, Refused, take_in

HTML = f"<!doctype html><title>Dog</title>{SCRIPT}".encode()
AVIF, HEIC = avif(), heif()
BOX = b"\0\0\0\x1cftyp%s\0\0\0\0mif1%smiaf"


def taken(data, name):
    return take_in(BytesIO(data), name)


def large(photograph):
    return Image.open(BytesIO(photograph.large))


def test_readers_are_there():
    assert features.check("avif")
    assert "HEIF" in Image.OPEN


REFUSALS = {
    "AVIF named HEIC": (AVIF, "dog.heic", "name"),
    "HEIC named AVIF": (HEIC, "dog.avif", "name"),
    "HEIC named JPEG, as some phones do": (HEIC, "dog.jpg", "name"),
    "AVIF named PNG": (AVIF, "dog.png", "name"),
    "JPEG named HEIC": (jpeg(), "dog.heic", "name"),
    "HEIC named as a page": (HEIC, "dog.heic.html", "name"),
    "film": (BOX % (b"isom", b"avc1") + bytes(4000), "dog.heic", "kind"),
    "film named AVIF": (BOX % (b"mp42", b"isom") + bytes(4000), "dog.avif", "kind"),
    "JPEG XL": (b"\0\0\0\x0cJXL \r\n\x87\n" + bytes(400), "dog.heic", "kind"),
    "JPEG 2000": (encoded(picture(), "JPEG2000"), "dog.jpg", "kind"),
    "icon": (encoded(picture(64, 64), "ICO"), "dog.png", "kind"),
    "Photoshop document": (b"8BPS\0\x01" + bytes(400), "dog.jpg", "kind"),
    "camera's raw file": (b"II*\0\x10\0\0\0CR\x02\0" + bytes(400), "dog.jpg", "kind"),
    "program": (b"\x7fELF\x02\x01\x01" + bytes(400), "dog.jpg", "kind"),
    "Windows program": (b"MZ\x90\0" + bytes(400), "dog.png", "kind"),
    "shell script": (b"#!/bin/sh\nrm -rf /\n", "dog.jpg", "kind"),
    "office document": (zipped("word/document.xml"), "dog.jpg", "kind"),
    "packed file": (b"\x1f\x8b\x08\0" + bytes(400), "dog.jpg", "kind"),
    "UTF-16 page": (HTML.decode().encode("utf-16"), "dog.jpg", "kind"),
    "beginning of an AVIF, then HTML": (
        BOX % (b"avif", b"avif") + HTML,
        "dog.avif",
        "damaged",
    ),
    "beginning of an HEIC, then HTML": (
        BOX % (b"heic", b"heic") + HTML,
        "dog.heic",
        "damaged",
    ),
    "container that names AVIF among others": (
        BOX % (b"mif1", b"avif") + bytes(400),
        "dog.avif",
        "damaged",
    ),
    "container that names neither": (
        BOX % (b"mif1", b"heic") + bytes(400),
        "dog.heic",
        "damaged",
    ),
    "half an AVIF": (AVIF[: len(AVIF) // 2], "dog.avif", "damaged"),
    "half an HEIC": (HEIC[: len(HEIC) // 2], "dog.heic", "damaged"),
    "header of an AVIF": (AVIF[:60], "dog.avif", "damaged"),
    "header of an HEIC": (HEIC[:60], "dog.heic", "damaged"),
    "AVIF bomb": (saying(AVIF, 8000, 5001), "dog.avif", "pixels"),
    "AVIF bomb that its reader refuses": (
        saying(AVIF, 20000, 20000),
        "dog.avif",
        "damaged",
    ),
    "HEIC bomb": (saying(HEIC, 20000, 20000), "dog.heic", "pixels"),
    "HEIC bomb that would be taken by pixels alone": (
        saying(HEIC, 8000, 5001),
        "dog.heic",
        "pixels",
    ),
    "HEIC with no sides": (saying(HEIC, 0, 0), "dog.heic", "damaged"),
    "AVIF with no sides": (saying(AVIF, 0, 0), "dog.avif", "damaged"),
    "AVIF too small": (avif(picture(199, 400)), "dog.avif", "small"),
    "HEIC too small": (heif(picture(198, 400)), "dog.heic", "small"),
    "AVIF that moves": (
        avif(save_all=True, append_images=[picture().rotate(180)]),
        "dog.avif",
        "animated",
    ),
    "AVIF of too many bytes": (AVIF + bytes(MOST_BYTES), "dog.avif", "bytes"),
    "HEIC of too many bytes": (HEIC + bytes(MOST_BYTES), "dog.heic", "bytes"),
}


@pytest.mark.parametrize(("data", "name", "code"), REFUSALS.values(), ids=REFUSALS)
def test_refused(data, name, code):
    with pytest.raises(Refused) as refusal:
        taken(data, name)
    assert refusal.value.code == code
    assert refusal.value.messages[0].endswith(".")


SOUND = {
    "JPEG": (jpeg(), "dog.jpg"),
    "PNG": (encoded(picture(), "PNG"), "dog.png"),
    "WEBP": (encoded(picture(), "WEBP"), "dog.webp"),
    "AVIF": (AVIF, "dog.avif"),
    "HEIF": (HEIC, "dog.heic"),
}


def test_every_kind_is_tried():
    assert set(SOUND) == set(KINDS)


def sound_or_refused(data, name):
    """Either a photograph that can be opened or a refusal; True for a photograph."""
    try:
        photograph = taken(data, name)
    except Refused:
        return False
    with large(photograph) as seen:
        seen.load()
    assert SCRIPT.encode() not in photograph.large + photograph.small
    return True


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize(("data", "name"), SOUND.values(), ids=SOUND)
def test_file_cut_anywhere_is_refused_or_a_photograph(data, name):
    cuts = range(1, len(data), max(1, len(data) // 40))
    whole = [sound_or_refused(data[:cut], name) for cut in cuts]
    assert not any(whole[: len(whole) // 2])
    assert sound_or_refused(data, name)


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize(("data", "name"), SOUND.values(), ids=SOUND)
def test_file_with_wrong_bytes_is_refused_or_a_photograph(data, name, seed):
    rng = random.Random(seed)
    wrong = bytearray(data)
    for _ in range(1 + seed):
        wrong[rng.randrange(16, len(wrong))] = rng.randrange(256)
    sound_or_refused(bytes(wrong), name)


@pytest.mark.parametrize(("data", "name"), SOUND.values(), ids=SOUND)
def test_page_after_the_end_of_a_file_is_gone(data, name):
    sound_or_refused(data + HTML, name)


@pytest.mark.parametrize(
    ("data", "name"),
    [(telling_avif(), "dog.avif"), (telling_heif(), "dog.heif")],
    ids=["AVIF", "HEIC"],
)
def test_nothing_but_pixels_is_left(data, name):
    tells = [tell.encode() for tell in (PLACE, SERIAL, SOFTWARE, SCRIPT, "xmpmeta")]
    assert sum(tell in data for tell in tells) >= 4
    photograph = taken(data, name)
    for kept in (photograph.large, photograph.small):
        assert not [tell for tell in tells if tell in kept]
        found = Image.open(BytesIO(kept))
        assert found.format == "JPEG"
        assert not found.getexif()
        assert {name for name, _ in found.applist} == {"APP0"}


# As for the other kinds (Exif 2.32, tag 274).
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
@pytest.mark.parametrize(("write", "end"), [(avif, "avif"), (heif, "heic")])
def test_photograph_stands_upright(write, end, orientation, size, lit):
    data = write(exif=camera_exif(orientation))
    seen = large(taken(data, f"dog.{end}"))
    assert seen.size == size
    assert seen.getpixel(lit)[0] > 235


@pytest.mark.parametrize(("write", "end"), [(avif, "avif"), (heif, "heic")])
def test_what_is_transparent_becomes_white(write, end):
    clear = picture(mode="RGBA")
    clear.putalpha(0)
    seen = large(taken(write(clear), f"dog.{end}"))
    assert seen.getpixel((380, 280)) == (255, 255, 255)


def test_more_pictures_in_an_heic_are_left_out():
    data = heif(save_all=True, append_images=[picture(300, 300).rotate(180)])
    seen = large(taken(data, "dog.heic"))
    assert seen.size == (400, 300)
    assert seen.getpixel((10, 10))[0] > 235
