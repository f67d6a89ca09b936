"""Pictures in what is asked: who sees them, what is chosen, what an address says."""

import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from quizzes.demo_sheets import stored
from quizzes.models import Drawing, Revision
from tests.factories import DrawingFactory, UserFactory
from tests.photographs import PictureFactory
from tests.sheets import answered, opened, sheet
from trainer.pictures import services

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _files(settings, tmp_path):
    settings.VAR_DIR = settings.MEDIA_ROOT = tmp_path


def with_photograph(club, picture):
    """A question with a photograph, and another as one of its answers."""
    image = {"photo": str(picture.public_id)}
    row = {
        "text": "Which?",
        "image": image,
        "alt": "A dog, standing.",
        "options": [
            {"id": "aa", "text": "This", "image": image, "alt": "A dog."},
            {"id": "bb", "text": "That"},
        ],
        "key": {"right": ["aa"], "why": "So."},
    }
    content = stored({"kind": "question", "rows": [row]})
    return sheet(club, "question", size=1, **content)


def shown(client, attempt, person):
    client.force_login(person)
    page = client.get(f"/attempts/{attempt.pk}/").content.decode()
    return page, re.findall(r'src="(/pictures/[^"]+)"', page)


def test_a_cleared_photograph_of_the_club_is_shown(client, club, bob):
    picture = PictureFactory(club=club)
    page, addresses = shown(client, opened(with_photograph(club, picture), bob), bob)
    assert len(addresses) == 2
    assert client.get(addresses[0]).status_code == 200
    assert "not shown any more" not in page


@pytest.mark.parametrize("why", ["withdrawn", "not agreed", "over", "elsewhere"])
def test_a_photograph_that_may_not_be_shown_is_not(client, club, other_club, bob, why):
    picture = PictureFactory(
        club=other_club if why == "elsewhere" else club, uncleared=why == "not agreed"
    )
    attempt = opened(with_photograph(club, picture), bob)
    if why == "withdrawn":
        services.withdraw(picture, now=timezone.now(), by=None)
    if why == "over":
        picture.consent_until = timezone.localdate() - timezone.timedelta(days=1)
        picture.save()
    page, addresses = shown(client, attempt, bob)
    assert not addresses
    assert page.count("not shown any more") == 2
    # The answer can still be given, and the result says the same.
    done = answered(attempt.revision, bob)
    assert "/pictures/" not in re.sub(
        r'href="/[^"]*"',
        "",
        client.get(f"/attempts/{done.pk}/result/").content.decode(),
    )


def plates_on(client, attempt, person):
    client.force_login(person)
    page = client.get(f"/attempts/{attempt.pk}/").content.decode()
    return sorted(set(re.findall(r'(/attempts/\d+/sheet/[^"]+\.svg\?theme=\w+)', page)))


def test_a_drawn_dog_is_for_who_may_see_the_attempt(
    client, club, alice, bob, charlie, stranger
):
    revision = sheet(club, "question")
    attempt = opened(revision, bob)
    addresses = plates_on(client, attempt, bob)
    assert len(addresses) > 4
    first = addresses[0]
    assert client.get(first).status_code == 200
    for person in (charlie, stranger, alice):
        client.force_login(person)
        assert client.get(first).status_code == 404
    answered(revision, bob)
    client.force_login(alice)
    assert client.get(first).status_code == 200


def test_addresses_of_drawn_dogs_say_nothing(client, club, bob):
    """Ids alone, the same length for all, and a drawing without words in it."""
    attempt = opened(sheet(club, "question"), bob)
    addresses = plates_on(client, attempt, bob)
    places = [re.search(r"/sheet/(\w+)/(\w+)\.svg", one).groups() for one in addresses]
    assert all(re.fullmatch(r"r\d+", row) for row, _place in places)
    assert all(re.fullmatch(r"whole|[0-9a-f]{8}", place) for _row, place in places)
    drawing = client.get(addresses[0]).content.decode()
    assert not re.findall(r"<(title|desc|text|metadata)", drawing)


@pytest.mark.parametrize("place", ["r1/none", "zz/whole", "r1/whole-x", "r5/aa"])
def test_where_nothing_is_drawn_there_is_nothing(client, club, bob, place):
    attempt = opened(sheet(club, "question"), bob)
    client.force_login(bob)
    assert client.get(f"/attempts/{attempt.pk}/sheet/{place}.svg").status_code == 404
    other = opened(sheet(club, "severity"), bob)
    assert client.get(f"/attempts/{other.pk}/sheet/r1/whole.svg").status_code == 404


def test_a_document_that_is_no_dog_is_not_found(client, club, bob):
    row = {
        "text": "Which?",
        "image": {"plate": {"breed": "none-such"}, "view": "side"},
        "alt": "A dog.",
        "options": [{"id": "aa", "text": "This"}, {"id": "bb", "text": "That"}],
        "key": {"right": ["aa"]},
    }
    revision = sheet(
        club, "question", size=1, **stored({"kind": "question", "rows": [row]})
    )
    attempt = opened(revision, bob)
    client.force_login(bob)
    assert client.get(f"/attempts/{attempt.pk}/sheet/r1/whole.svg").status_code == 404


def choose(client, url, page, **chosen):
    form = page.context["form"]
    data = {field.html_name: field.value() or "" for field in form}
    data |= {"version": page.context["version"], "do": "back"} | chosen
    return client.post(url, data)


def test_a_mentor_chooses_pictures_for_question_and_answers(client, club, alice):
    picture, drawing = PictureFactory(club=club), DrawingFactory(club=club)
    revision = with_photograph(club, PictureFactory(club=club))
    client.force_login(alice)
    url = f"/workshop/sheets/{revision.exercise_id}/r1/pictures/"
    told = choose(
        client,
        url,
        client.get(url),
        **{"whole-photo": str(picture.public_id), "bb-photo": f"drawing-{drawing.pk}"},
    )
    assert told.url == f"/workshop/sheets/{revision.exercise_id}/#row-r1"
    draft = Revision.objects.get(exercise=revision.exercise, state="draft")
    row = draft.content["items"][0]
    assert row["image"] == {"photo": str(picture.public_id)}
    assert row["alt"] == "A dog, standing."
    aa, bb = row["options"]
    assert aa["image"] == revision.content["items"][0]["options"][0]["image"]
    assert bb["image"] == {"plate": drawing.document, "view": drawing.view}
    assert draft.key == revision.key
    rows = client.get(f"/workshop/sheets/{revision.exercise_id}/")
    address = re.search(
        r'src="(/workshop/sheets/[^"]+\.svg[^"]*)"', rows.content.decode()
    )
    assert client.get(address[1].replace("&amp;", "&")).status_code == 200


def test_only_what_the_club_may_show_can_be_chosen(client, club, other_club, alice):
    revision = with_photograph(club, PictureFactory(club=club))
    client.force_login(alice)
    url = f"/workshop/sheets/{revision.exercise_id}/r1/pictures/"
    page = client.get(url)
    refused = [
        str(PictureFactory(club=club, uncleared=True).public_id),
        str(PictureFactory(club=other_club).public_id),
        f"drawing-{DrawingFactory(club=other_club).pk}",
        "nonsense",
    ]
    for one in refused:
        assert choose(client, url, page, **{"whole-photo": one}).status_code == 422
    assert Drawing.objects.count() == 1


def test_another_mentors_save_is_not_written_over(client, club, alice):
    revision = with_photograph(club, PictureFactory(club=club))
    client.force_login(alice)
    url = f"/workshop/sheets/{revision.exercise_id}/r1/pictures/"
    page = client.get(url)
    assert choose(client, url, page, **{"whole-alt": "First"}).status_code == 302
    again = choose(client, url, page, **{"whole-alt": "Second"})
    assert again.status_code == 422
    draft = Revision.objects.get(exercise=revision.exercise, state="draft")
    assert draft.content["items"][0]["alt"] == "First"
    assert choose(client, url, again).status_code == 302


def test_who_does_not_teach_here_chooses_nothing(client, club, bob):
    revision = with_photograph(club, PictureFactory(club=club))
    urls = ["r1/pictures/", "r1/whole.svg"]
    for person in (bob, UserFactory()):
        client.force_login(person)
        for url in urls:
            address = f"/workshop/sheets/{revision.exercise_id}/{url}"
            assert client.get(address).status_code == 404


def test_many_pictures_cost_no_more_than_one(
    client, club, bob, django_assert_num_queries
):
    def page(photographs):
        rows = [
            {
                "text": f"Which, {n}?",
                "image": {"photo": str(PictureFactory(club=club).public_id)},
                "alt": "A dog.",
                "options": [{"id": "aa", "text": "This"}, {"id": "bb", "text": "That"}],
                "key": {"right": ["aa"]},
            }
            for n in range(photographs)
        ]
        content = stored({"kind": "question", "rows": rows})
        attempt = opened(sheet(club, "question", size=len(rows), **content), bob)
        return f"/attempts/{attempt.pk}/"

    one, many = page(1), page(7)
    client.force_login(bob)
    client.get(one)
    with CaptureQueriesContext(connection) as few:
        client.get(one)
    with django_assert_num_queries(len(few)):
        client.get(many)
