"""Papers for the hall: roster, badges, answer cards, class sheets."""

from unittest.mock import patch

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.placing import placing_class
from tests.seminars import attendee, seminar, sitting
from tests.sheets import sheet
from trainer.seminars import papers
from trainer.typeset import NotTypeset

pytestmark = pytest.mark.django_db
HOSTILE = '=1+1 <b>"Ann"</b> #panic("x") $y$ \\ @a {{ name }} \u202e Ж ' + "W" * 60


@pytest.fixture
def held(club):
    return seminar(club, title=HOSTILE[:120])


@pytest.fixture
def as_organiser(client, organiser):
    client.force_login(organiser)
    return client


def is_pdf(answer):
    assert answer.status_code == 200
    assert "no-store" in answer["Cache-Control"]
    return answer.content.startswith(b"%PDF-")


@pytest.mark.parametrize("name", ["roster", "badges"])
@pytest.mark.parametrize("many", [0, 9])
def test_papers_of_people_are_set_whatever_they_are_called(
    as_organiser, held, name, many
):
    for _ in range(many):
        attendee(held, name=HOSTILE[:120], number="=J 1")
    assert is_pdf(as_organiser.get(f"/seminars/{held.pk}/papers/{name}.pdf"))


def test_a_badge_leads_to_its_own_link(as_organiser, held):
    one = attendee(held)
    with patch.object(papers, "typeset", return_value=b"%PDF-") as made:
        as_organiser.get(f"/seminars/{held.pk}/papers/badges.pdf")
    (badge,) = made.call_args[0][1]["badges"]
    assert badge["url"] == f"http://testserver/seminars/come/{one.code}/"


def test_papers_of_a_class_have_its_numbers_and_no_key(as_organiser, held, club):
    breed = {"a": {"drawn": True, "levels": {}}}
    made = sitting(held, placing_class(club, names="dcba", by_dog=breed))
    for name in ("cards", "class"):
        url = f"/seminars/{held.pk}/papers/{made.number}/{name}.pdf"
        assert is_pdf(as_organiser.get(url))
        with patch.object(papers, "typeset", return_value=b"%PDF-") as typeset:
            as_organiser.get(url)
        said = str(typeset.call_args[0][1])
        assert "beats" not in said
        order = [said.index(f"{n}") for n in (11, 22, 33, 44)]
        assert order == sorted(order)


def test_a_drawn_class_has_its_plates(as_organiser, held, club):
    revision = placing_class(club)
    revision.content["breed"] = "marlefell-drover"
    revision.save()
    made = sitting(held, revision)
    with (
        patch.object(papers, "is_drawn", return_value=True),
        patch.object(papers, "conformation_of"),
        patch.object(papers.plates, "neutral_text", return_value="A dog."),
        patch.object(papers, "drawn", return_value=b"<svg/>"),
        patch.object(papers, "typeset", return_value=b"%PDF-") as typeset,
    ):
        as_organiser.get(f"/seminars/{held.pk}/papers/{made.number}/class.pdf")
    assert sorted(typeset.call_args[0][2]) == [f"dog-{n}.svg" for n in range(1, 5)]


def test_what_is_no_paper_is_404(as_organiser, held, club):
    made = sitting(held, sheet(club))
    for path in ("key", "1/roster", f"{made.number}/cards", "99/class"):
        url = f"/seminars/{held.pk}/papers/{path}.pdf"
        assert as_organiser.get(url).status_code == 404


def test_a_paper_that_can_not_be_set_is_said(as_organiser, held):
    with patch.object(papers, "typeset", side_effect=NotTypeset("no")):
        page = as_organiser.get(f"/seminars/{held.pk}/papers/roster.pdf", follow=True)
    assert "could not be made" in page.text


def test_papers_take_as_many_queries_for_many(as_organiser, held):
    counts = []
    for many in (2, 20):
        for _ in range(many):
            attendee(held)
        with (
            patch.object(papers, "typeset", return_value=b"%PDF-"),
            CaptureQueriesContext(
                connection,
            ) as found,
        ):
            for name in ("", "roster.pdf", "badges.pdf"):
                as_organiser.get(f"/seminars/{held.pk}/papers/{name}")
        counts.append(len(found))
    assert counts[1] <= counts[0]
