"""Photographs and plates in a room: for everybody in it, as long as they may be shown, and told only at the end."""

import re

import pytest
from django.utils import timezone

from tests.conftest import signed_in
from tests.factories import UserFactory
from tests.photographs import PictureFactory
from tests.placing import placing_class
from tests.seminars import attendee, seminar, sitting
from tests.sheets import sheet
from tests.views.test_sheet_pictures import with_photograph
from trainer.pictures import services
from trainer.seminars import sittings
from trainer.seminars.models import Sitting

pytestmark = pytest.mark.django_db
HTMX = {"HTTP_HX_REQUEST": "true"}


@pytest.fixture(autouse=True)
def _files(settings, tmp_path):
    settings.VAR_DIR = settings.MEDIA_ROOT = tmp_path


@pytest.fixture
def held(club, alice):
    return seminar(club, mentors=[alice])


@pytest.fixture
def picture(club):
    return PictureFactory(club=club)


@pytest.fixture
def guest(held):
    """Somebody who is no member of any club."""
    return signed_in(attendee(held, UserFactory(is_guest=True, email="")).person)


def photographed(club, picture, **more):
    seen = {"picture": str(picture.public_id), "credit": "A. Lens"}
    return placing_class(club, by_dog={"a": seen}, **more)


def addresses(page):
    return re.findall(r'src="([^"]*/photographs/[^"]+)"', page.text)


def test_hand_and_stage_show_photographs_in_their_own_size(
    held, club, picture, guest, as_alice
):
    sitting(held, photographed(club, picture), open=True)
    page = guest.get(f"/seminars/{held.pk}/room/")
    (small,) = addresses(page)
    assert small.endswith("/small/")
    assert "Photograph: A. Lens" in page.text
    assert 'loading="lazy"' in page.text
    sent = guest.get(small)
    assert sent.status_code == 200
    assert sent["Content-Type"] == "image/jpeg"
    (large,) = addresses(as_alice.get(f"/seminars/{held.pk}/stage/"))
    assert large.endswith("/large/")
    assert as_alice.get(large).status_code == 200
    assert guest.get(small.replace("/small/", "/print/")).status_code == 404
    # The club's own address of it stays closed to who is no member.
    assert guest.get(f"/pictures/{picture.public_id}/small.jpg").status_code != 200


def test_a_photograph_is_seen_by_the_room_alone_and_once_it_is_asked(
    held, club, picture, guest, bob
):
    one = sitting(held, photographed(club, picture))
    url = f"/seminars/{held.pk}/sittings/1/photographs/{picture.public_id}/small/"
    assert guest.get(url).status_code == 404
    sittings.start(one, now=timezone.now())
    assert guest.get(url).status_code == 200
    assert signed_in(bob).get(url).status_code == 404
    other = PictureFactory(club=club)
    assert (
        guest.get(url.replace(str(picture.public_id), str(other.public_id))).status_code
        == 404
    )


@pytest.mark.parametrize("why", ["withdrawn", "over"])
def test_a_photograph_that_may_not_be_shown_goes_at_once(
    held, club, picture, guest, as_alice, why
):
    sitting(held, photographed(club, picture), open=True)
    (url,) = addresses(guest.get(f"/seminars/{held.pk}/room/"))
    if why == "withdrawn":
        services.withdraw(picture, now=timezone.now(), by=None)
    else:
        picture.consent_until = timezone.localdate() - timezone.timedelta(days=1)
        picture.save()
    assert guest.get(url).status_code == 404
    assert not addresses(guest.get(f"/seminars/{held.pk}/room/"))
    assert not addresses(as_alice.get(f"/seminars/{held.pk}/stage/"))


def test_questions_show_their_photographs_in_the_room(held, club, picture, guest):
    sitting(held, with_photograph(club, picture), open=True)
    found = addresses(guest.get(f"/seminars/{held.pk}/room/"))
    assert len(found) == 2
    assert {guest.get(url).status_code for url in found} == {200}
    services.withdraw(picture, now=timezone.now(), by=None)
    page = guest.get(f"/seminars/{held.pk}/room/")
    assert not addresses(page)
    assert page.text.count("not shown any more") == 2


def test_plates_are_measured_once_the_result_is_shown(held, club, guest):
    one = sitting(held, sheet(club, "eye"), open=True)
    page = guest.get(f"/seminars/{held.pk}/room/").text
    plate = re.search(r'src="([^"]*/plates/[^"?]+)', page)[1]

    def drawn(measured):
        return guest.get(plate, {"theme": "light", "measured": measured}).content

    assert drawn("1") == drawn("")
    sittings.close(one, now=timezone.now())
    sittings.show(Sitting.objects.get(pk=one.pk), now=timezone.now())
    assert drawn("1") != drawn("")
    assert guest.get(plate, {"theme": "purple"}).status_code == 404


def test_the_look_costs_as_little_with_photographs(
    held, club, picture, guest, django_assert_num_queries
):
    sitting(held, photographed(club, picture), open=True)
    page = guest.get(f"/seminars/{held.pk}/room/")
    known = re.search(r"\?v=([\d.]+)", page.text)[1]
    # Session and person, place and sitting.
    with django_assert_num_queries(4):
        found = guest.get(f"/seminars/{held.pk}/room/", {"v": known}, **HTMX)
    assert found.status_code == 204
