"""A module on paper: one page to print, the PDF, the pocket cards."""

import pytest

from tests.factories import LessonFactory, ModuleRevisionFactory, TermFactory
from tests.views.test_study import make_module, text
from trainer.study import papers
from trainer.study.models import ModuleRevision
from trainer.study.sections import new_section
from trainer.typeset import NotTypeset


@pytest.fixture(autouse=True)
def scratch(settings, tmp_path):
    settings.VAR_DIR = tmp_path


@pytest.fixture
def module(club):
    module = make_module(club, title="Judging the Fell Drover")
    revision = module.revisions.get()
    option = {"text": "This one", "right": True, "said": "Because it moves."}
    question = new_section("question") | {"text": "Which?", "options": [option] * 2}
    words = new_section("text") | {"text": "A **withers** is felt."}
    LessonFactory(revision=revision, name="Standing", sections=[words, question])
    TermFactory(revision=revision, name="withers", meaning="The highest point.")
    return module


def test_all_of_it_stands_on_one_page(module, as_bob):
    page = text(as_bob.get(f"/modules/{module.pk}/print/"))
    for words in (
        "Lesson 1: Standing",
        "Because it moves.",
        "Priority 2: Priority 2",
        "Priority 2 at level 4",
        "Step 3",
        "Fault 2",
        "The highest point.",
        "Ask the handler first. Come from the front",
        "What comes before this list",
        "It qualifies nobody to judge",
    ):
        assert words in page, words
    assert page.count("<h1>") == 1
    # Nothing on it has to be opened.
    assert "popovertarget" not in page
    assert "<details" not in page.partition("<main")[2].partition("</main>")[0]


@pytest.mark.parametrize(
    ("address", "name"),
    [
        ("module.pdf", "fell-drover-module.pdf"),
        ("examination-card.pdf", "fell-drover-card.pdf"),
        ("examination-card.pdf?paper=a4", "fell-drover-card.pdf"),
    ],
)
def test_pdfs_are_sent_under_a_plain_name(module, as_bob, address, name):
    response = as_bob.get(f"/modules/{module.pk}/{address}")
    assert response.headers["Content-Type"] == "application/pdf"
    assert response.headers["Content-Disposition"] == f'inline; filename="{name}"'
    assert response.content.startswith(b"%PDF-")
    assert b"no-store" in response.headers["Cache-Control"].encode()


def test_a_pdf_that_fails_leads_to_the_page_to_print(module, as_bob, monkeypatch):
    def refuse(*_args):
        raise NotTypeset("too long")

    monkeypatch.setattr(papers, "typeset_once", refuse)
    response = as_bob.get(f"/modules/{module.pk}/module.pdf", follow=True)
    assert response.redirect_chain == [(f"/modules/{module.pk}/print/", 302)]
    assert "The PDF could not be made" in text(response)


def test_a_mentor_prints_a_draft_from_its_preview(module, as_alice):
    draft = {"state": ModuleRevision.State.DRAFT, "published_at": None}
    ModuleRevisionFactory(module=module, title="Not yet", priorities=0, **draft)
    preview = f"/workshop/modules/preview/{module.pk}/"
    assert "Not yet" in text(as_alice.get(f"{preview}print/"))
    assert as_alice.get(f"{preview}module.pdf").content.startswith(b"%PDF-")
    # Its own links stay inside the preview.
    assert f"{preview}module.pdf" in as_alice.get(preview).text


@pytest.mark.parametrize("many", [2, 12])
def test_printing_takes_as_many_queries_for_many_parts(
    club, as_bob, many, django_assert_max_num_queries
):
    module = make_module(club, priorities=many, steps=many, faults=many)
    url = f"/modules/{module.pk}/print/"
    as_bob.get(url)
    with django_assert_max_num_queries(5):
        assert as_bob.get(url).status_code == 200
