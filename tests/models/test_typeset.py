"""PDFs: data never becomes markup, limits hold, letters without a typeface are told."""

import pytest

from trainer import typeset as typesetter
from trainer.typeset import NotTypeset, typeset

TEMPLATE = """\
#import "/house.typ": *
#let data = json("/data.json")
#show: paper.with(title: data.title, lang: "en")
= #data.title
#plain(data.text)
#for name in data.at("shown", default: ()) { image("/pictures/" + name, alt: "Seen") }
#if data.unshown [#metadata("unshown") Boxes.]
"""
SVG = b'<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"><path d="M0 0h9v9z"/></svg>'


@pytest.fixture
def template(tmp_path):
    path = tmp_path / "probe.typ"
    path.write_text(TEMPLATE)
    return path


def test_pdf_is_tagged_and_names_its_title_and_language(template):
    pdf = typeset(template, {"title": "The line of the back", "text": "One."})
    assert pdf.startswith(b"%PDF-")
    assert b"<pdfuaid:part>1</pdfuaid:part>" in pdf
    assert b"The line of the back" in pdf
    assert b"/Lang" in pdf


@pytest.mark.parametrize(
    "text",
    [
        '#panic("no") #import "@preview/a:1.0.0" [ ] { } $x$ *b* _i_ `c` <l> @r',
        '#read("/data.json") \\ ~ --- ... // /* \'"',
        "word " * 20_000,
        "one\n\n\n\ntwo\r\n\r\nthree",
        "\x00\x07 a \ud800 \ue000 \u200b \ufeff",
        "Кириллица Ελληνικά Łódź",
        "",
    ],
)
def test_any_text_is_set_as_text(template, text):
    assert typeset(template, {"title": "Probe", "text": text}).startswith(b"%PDF-")


def test_letters_that_no_typeface_has_are_replaced_and_told(template):
    known = typeset(template, {"title": "Probe", "text": "plain"})
    boxes = typeset(template, {"title": "Probe", "text": "\U00013000 \U0001f415 a"})
    assert len(boxes) > len(known)


def test_pictures_are_found_by_name(template):
    data = {"title": "Probe", "text": "", "shown": ["a-1.svg"]}
    assert typeset(template, data, {"a-1.svg": SVG})
    with pytest.raises(NotTypeset, match=r"a-1\.svg"):
        typeset(template, data)


@pytest.mark.parametrize("name", ["../a.svg", "/etc/a.svg", "a.typ", "a/b.svg", ".svg"])
def test_pictures_stay_in_their_folder(template, name):
    with pytest.raises(NotTypeset, match="no name"):
        typeset(template, {"title": "Probe", "text": ""}, {name: SVG})


def test_a_template_reads_nothing_outside(tmp_path):
    path = tmp_path / "probe.typ"
    path.write_text('#read("/../../../etc/hostname")')
    with pytest.raises(NotTypeset):
        typeset(path, {})


def test_limits(template, tmp_path, monkeypatch):
    endless = tmp_path / "endless.typ"
    endless.write_text("#let n = 1\n#while n < 99999999 { n = calc.rem(n, 7) + 1 }")
    monkeypatch.setattr(typesetter, "SECONDS", 1)
    with pytest.raises(NotTypeset):
        typeset(endless, {})
    monkeypatch.setattr(typesetter, "LONGEST_DATA", 100)
    with pytest.raises(NotTypeset, match="too much"):
        typeset(template, {"title": "x" * 200, "text": ""})
