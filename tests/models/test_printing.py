"""A module as values for its papers: Markdown as a tree, pictures as files, any text as text."""

import json

import pytest

from quizzes.drawing.lessons import section_of
from quizzes.drawing.sketch import Sketch
from tests.factories import (
    FaultFactory,
    LessonFactory,
    ModuleFactory,
    ModuleRevisionFactory,
    PriorityFactory,
    StepFactory,
    TermFactory,
)
from tests.photographs import PictureFactory
from trainer.pictures import services
from trainer.study import kept_papers
from trainer.study.kept_papers import typeset_once
from trainer.study.markdown_tree import tree
from trainer.study.printing import card_paper, module_paper
from trainer.study.reading import Document
from trainer.study.sections import new_section

HOSTILE = '#panic("x") #import "@preview/a:0.1.0": * $a^2$ *b* _i_ `c` <l> @ref [ ] { } \\ ~ // /* " \''
LETTERS = "Łódź, Кинология, κυνολογία, 犬, כלב, \U0001f415"


def words(text):
    return {"kind": "text", "text": text}


def test_markdown_becomes_a_tree():
    found = tree("One *two* **three**\nfour\n\n- a\n- b\n\n3. c\n\n> d\n\n# e")
    assert found == [
        {
            "kind": "p",
            "of": [
                words("One "),
                {"kind": "em", "of": [words("two")]},
                words(" "),
                {"kind": "strong", "of": [words("three")]},
                {"kind": "break"},
                words("four"),
            ],
        },
        {
            "kind": "list",
            "of": [{"kind": "item", "of": [words(one)]} for one in ("a", "b")],
        },
        {
            "kind": "numbers",
            "of": [{"kind": "item", "of": [words("c")]}],
            "start": 3,
        },
        {"kind": "quote", "of": [{"kind": "p", "of": [words("d")]}]},
        {"kind": "heading", "of": [words("e")]},
    ]


@pytest.mark.parametrize(
    ("text", "links"),
    [
        ("[a](https://example.org/x)", ["https://example.org/x"]),
        ("[a](javascript:alert(1))", []),
        ("[a](/workshop/)", []),
        ("[a](file:///etc/passwd)", []),
        ("![a](https://example.org/x.png)", []),
        ("<script>x</script>", []),
    ],
)
def test_links_lead_where_the_site_lets_them(text, links):
    assert [found["url"] for found in _all(tree(text)) if "url" in found] == links


def _all(nodes):
    for node in nodes:
        yield node
        yield from _all(node.get("of", []))


@pytest.fixture
def revision(club):
    return ModuleRevisionFactory(
        module=ModuleFactory(club=club, revision=None), priorities=0, steps=0, faults=0
    )


def fill(revision, text, *, priorities=1, steps=1, longer=1):
    """A module of which every text is this one."""
    long = f"{text} " * longer
    for number in range(1, priorities + 1):
        texts = {"look_for": long, "feel_for": long, "why_it_matters": long}
        PriorityFactory(
            revision=revision, number=number, name=text[:80], weight=5, **texts
        )
    for number in range(1, steps + 1):
        texts = {"instruction": long, "find": long, "caution": long}
        StepFactory(revision=revision, number=number, name=text[:80], **texts)
    FaultFactory(revision=revision, name=text[:80], description=long)
    TermFactory(revision=revision, name=text[:60], meaning=long)
    option = {"text": text[:400], "right": True, "said": text[:400]}
    sections = [
        new_section("text") | {"text": long},
        new_section("question") | {"text": long, "options": [option, option]},
    ]
    LessonFactory(revision=revision, name=text[:120], sections=sections)
    for name in ("title", "introduction", "standard_title", "standard_note"):
        setattr(revision, name, text[:120])
    revision.examination_note = long
    revision.save()


def both(revision, settings, tmp_path):
    settings.VAR_DIR = tmp_path
    document = Document(revision)
    return (
        typeset_once("module", module_paper(document)),
        typeset_once("card", card_paper(document)),
        typeset_once("card", card_paper(document, sheet=True)),
    )


@pytest.mark.once
@pytest.mark.parametrize("text", [HOSTILE, LETTERS, "Verylongwordwithoutanyblank" * 4])
def test_any_text_can_be_set(revision, settings, tmp_path, text):
    fill(revision, text)
    for pdf in both(revision, settings, tmp_path):
        assert b"<pdfuaid:part>1</pdfuaid:part>" in pdf


def test_long_modules_can_be_set(revision, settings, tmp_path):
    """Twelve priorities, thirty steps, and texts of several pages."""
    fill(revision, "Walk on, and look again.", priorities=12, steps=30, longer=100)
    for pdf in both(revision, settings, tmp_path):
        assert pdf.startswith(b"%PDF-")


def test_an_empty_module_can_be_set(revision, settings, tmp_path):
    for pdf in both(revision, settings, tmp_path):
        assert pdf.startswith(b"%PDF-")


def picture_section(**more):
    return new_section("picture") | {
        "alt": "A dog that stands.",
        "caption": "Standing",
        "points": [{"x": 20, "y": 30.5, "text": "The withers"}],
        **more,
    }


def test_drawn_dogs_and_photographs_are_in_the_paper(
    revision, club, alice, settings, tmp_path
):
    photograph = PictureFactory(club=club)
    kind, content = section_of(Sketch(), "beside", "side")
    sections = [
        picture_section(image={"photo": str(photograph.public_id)}),
        new_section(kind) | content,
        picture_section(image={"photo": "0b6f3b5e-0000-4000-8000-000000000000"}),
        picture_section(image={"plate": {"nonsense": True}, "view": "side"}),
    ]
    LessonFactory(revision=revision, sections=sections)
    paper = module_paper(Document(revision))
    endings = sorted(name.rpartition(".")[2] for name in paper.pictures)
    assert endings == ["jpg", "svg", "svg", "svg"]
    withdrawn = paper.data["lessons"][0]["sections"][2]["image"]
    assert withdrawn["file"] == ""
    assert both(revision, settings, tmp_path)[0].startswith(b"%PDF-")


def test_a_withdrawn_photograph_is_in_no_paper_any_more(
    revision, club, alice, settings, tmp_path
):
    settings.VAR_DIR = tmp_path
    photograph = PictureFactory(club=club)
    section = picture_section(image={"photo": str(photograph.public_id)})
    LessonFactory(revision=revision, sections=[section])
    before = typeset_once("module", module_paper(Document(revision)))
    services.withdraw(photograph, now=revision.published_at, by=alice)
    paper = module_paper(Document(revision))
    assert paper.pictures == {}
    assert typeset_once("module", paper) != before


def test_papers_are_set_once(revision, settings, tmp_path, monkeypatch):
    first = both(revision, settings, tmp_path)
    monkeypatch.setattr(kept_papers, "typeset", None)
    assert both(revision, settings, tmp_path) == first


def test_only_the_newest_papers_are_kept(tmp_path):
    for number in range(5):
        (tmp_path / f"{number}.pdf").write_bytes(b"")
    kept_papers._sweep(tmp_path, most=2)
    assert len(list(tmp_path.iterdir())) == 2


def test_papers_claim_nothing_and_carry_the_cautions(revision):
    fill(revision, "Plain words")
    for paper in (module_paper(Document(revision)), card_paper(Document(revision))):
        said = json.dumps(paper.data)
        assert "Ask the handler first" in said
        assert "the law of the place" in said
        assert "It qualifies nobody to judge" in said
