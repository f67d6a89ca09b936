"""What a file says of whose it is (fields of the IPTC Photo Metadata Standard 2025.1)."""

from io import BytesIO

import pytest

from tests.photographs import (
    PLACE,
    SCRIPT,
    avif,
    camera_exif,
    encoded,
    heif,
    iptc,
    jpeg,
    picture,
    rights_xmp,
    with_segment,
)
from trainer.pictures.intake import take_in
from trainer.pictures.rights import (
    LONGEST_CREDIT,
    LONGEST_TERMS,
    MOST_XMP_BYTES,
    Rights,
)

CREATOR = "<dc:creator><rdf:Seq><rdf:li>Ada Lens</rdf:li></rdf:Seq></dc:creator>"
NOTICE = (
    '<dc:rights><rdf:Alt><rdf:li xml:lang="x-default">Lens and Daughters</rdf:li>'
    "</rdf:Alt></dc:rights>"
)
CREDIT = "<photoshop:Credit>Ada Lens, Tarn Press</photoshop:Credit>"
TERMS = (
    "<xmpRights:UsageTerms><rdf:Alt><rdf:li>For study only.</rdf:li></rdf:Alt>"
    "</xmpRights:UsageTerms>"
    "<xmpRights:WebStatement>https://lens.example/terms</xmpRights:WebStatement>"
)
MINING = (
    '<plus:DataMining rdf:resource="http://ns.useplus.org/ldf/vocab/DMI-PROHIBITED"/>'
)
SOURCE = "<ext:DigitalSourceType>http://cv.iptc.org/newscodes/digitalsourcetype/{}</ext:DigitalSourceType>"
ALL = (CREATOR, NOTICE, CREDIT, TERMS, MINING, SOURCE.format("digitalCapture"))


def rights(data, name="dog.jpg"):
    return take_in(BytesIO(data), name).rights


@pytest.mark.parametrize(
    ("write", "name"),
    [
        (lambda xmp: jpeg(xmp=xmp), "dog.jpg"),
        (lambda xmp: encoded(picture(), "WEBP", xmp=xmp), "dog.webp"),
        (lambda xmp: avif(xmp=xmp), "dog.avif"),
        (lambda xmp: heif(xmp=xmp), "dog.heic"),
    ],
    ids=["JPEG", "WebP", "AVIF", "HEIC"],
)
def test_all_fields_of_xmp_are_read(write, name):
    assert rights(write(rights_xmp(*ALL)), name) == Rights(
        credit="Ada Lens, Tarn Press",
        holder="Lens and Daughters",
        creator="Ada Lens",
        terms="For study only. https://lens.example/terms",
        mining="DMI-PROHIBITED",
        made="camera",
    )


def test_xmp_of_a_png_is_read():
    from PIL import PngImagePlugin

    text = PngImagePlugin.PngInfo()
    text.add_itxt("XML:com.adobe.xmp", rights_xmp(CREATOR).decode())
    data = encoded(picture(), "PNG", pnginfo=text)
    assert rights(data, "dog.png").creator == "Ada Lens"


def test_property_may_be_an_attribute():
    xmp = rights_xmp(CREATOR).replace(
        b"<rdf:Description>", b'<rdf:Description photoshop:Credit="Tarn Press">'
    )
    assert rights(jpeg(xmp=xmp)).credit == "Tarn Press"


def test_xmp_goes_before_exif_and_exif_before_the_press_fields():
    exif = camera_exif(Artist="Exif Artist")
    fields = iptc(_80=b"Press Artist", _116=b"Press Notice")
    data = with_segment(jpeg(exif=exif, xmp=rights_xmp(CREDIT)), fields)
    found = rights(data)
    assert (found.credit, found.creator) == ("Ada Lens, Tarn Press", "Exif Artist")
    assert found.holder == "Press Notice"


@pytest.mark.parametrize(
    ("term", "made"),
    [
        ("digitalCapture", "camera"),
        ("humanEdits", "retouched"),
        ("trainedAlgorithmicMedia", "machine"),
        ("compositeWithTrainedAlgorithmicMedia", "machine"),
        ("somethingNew", ""),
    ],
)
def test_how_a_picture_came_about_is_read(term, made):
    assert rights(jpeg(xmp=rights_xmp(SOURCE.format(term)))).made == made


def test_signed_account_is_noticed_and_gone():
    box = b"\0\0\0\x1ejumb\0\0\0\x16jumdc2pa\0\x11\0\x10" + bytes(10)
    body = b"JP\0\x01\0\0\0\x01" + box
    segment = b"\xff\xeb" + (len(body) + 2).to_bytes(2, "big") + body
    photograph = take_in(BytesIO(with_segment(jpeg(), segment)), "dog.jpg")
    assert photograph.rights.signed
    assert photograph.rights.said() == {"signed": True}
    assert b"c2pa" not in photograph.large + photograph.small
    assert not rights(jpeg()).signed


LAUGHS = "<!DOCTYPE x [<!ENTITY a '{}'><!ENTITY b '{}'>]>".format(
    "Ada" * 100, "&a;" * 100
)
FILE = "<!DOCTYPE x [<!ENTITY a SYSTEM 'file:///etc/hostname'>]>"
ENTITY = "<photoshop:Credit>&a;</photoshop:Credit>"
HOSTILE = {
    "no XML": b"no XML at all",
    "half": rights_xmp(CREDIT)[:-9],
    "entities in entities": rights_xmp(
        ENTITY.replace("&a;", "&b;" * 100), before=LAUGHS
    ),
    "a file as an entity": rights_xmp(ENTITY, before=FILE),
    "another document type": rights_xmp(CREDIT, before="<!DOCTYPE html>"),
    "bytes that are no text": b"\xff\xfe\x80\x81" * 20,
    "deep": b"<a>" * 20_000 + b"</a>" * 20_000,
}


@pytest.mark.parametrize("xmp", HOSTILE.values(), ids=HOSTILE)
def test_hostile_xmp_says_nothing_and_costs_no_photograph(xmp):
    data = encoded(picture(), "WEBP", xmp=xmp)
    assert rights(data, "dog.webp") == Rights()


def test_xmp_of_unusual_size_is_not_read():
    long = rights_xmp(CREDIT, "<dc:format>", "x" * MOST_XMP_BYTES, "</dc:format>")
    assert rights(encoded(picture(), "WEBP", xmp=long), "dog.webp") == Rights()


def test_what_is_read_is_a_short_line_of_text():
    wild = f"<photoshop:Credit>&lt;b&gt;Ada\n\t Lens {'x' * 500}</photoshop:Credit>"
    terms = f"<xmpRights:WebStatement>{'y' * 900}</xmpRights:WebStatement>"
    found = rights(jpeg(xmp=rights_xmp(wild, terms)))
    assert found.credit.startswith("<b>Ada Lens x")
    assert len(found.credit) == LONGEST_CREDIT
    assert len(found.terms) == LONGEST_TERMS


def test_place_and_camera_are_not_read():
    exif = camera_exif(Artist="Ada Lens")
    found = rights(with_segment(jpeg(exif=exif), iptc(_90=PLACE.encode())))
    assert PLACE not in str(found)
    assert SCRIPT not in str(found)
    assert found.said() == dict.fromkeys(("credit", "holder", "creator"), "Ada Lens")
