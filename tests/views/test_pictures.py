"""Photographs by their address, on the mentor's page of a class, and on the trainee's pages."""

import random
import re
import uuid
from io import BytesIO

import pytest
from django.conf import settings as site
from django.core.files.storage import default_storage
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from PIL import Image

from quizzes import attempts, exercises
from quizzes.models import Revision
from quizzes.plates import BREEDS
from tests.conftest import signed_in
from tests.factories import MembershipFactory
from tests.photographs import (
    PictureFactory,
    camera_exif,
    jpeg,
    png_header,
    telling_jpeg,
    upload,
)
from tests.placing import answer, dog, placing_class
from tests.views.test_workshop import dogs_post
from trainer.clubs.models import Role
from trainer.pictures.intake import MOST_BYTES
from trainer.pictures.models import Picture


def address(picture, size="small"):
    return f"/pictures/{picture.public_id}/{size}.jpg"


@pytest.fixture
def cleared(club, alice):
    return PictureFactory(club=club, uploaded_by=alice, credit="Photo: Ada Lens")


# By their address


@pytest.mark.parametrize(("size", "pixels"), [("small", 200), ("large", 400)])
def test_members_get_the_picture(as_bob, cleared, size, pixels):
    answered = as_bob.get(address(cleared, size))
    assert answered.status_code == 200
    seen = Image.open(BytesIO(answered.getvalue()))
    assert (seen.format, seen.width) == ("JPEG", pixels)


def test_picture_can_do_nothing_and_tells_nothing(as_bob, cleared):
    answered = as_bob.get(address(cleared))
    headers = dict(answered.headers)
    assert headers["Content-Type"] == "image/jpeg"
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Content-Security-Policy"] == "default-src 'none'; sandbox"
    assert headers["Content-Disposition"] == 'inline; filename="photograph.jpg"'
    assert headers["Cache-Control"] == "private, max-age=3600"
    assert "Cookie" in headers["Vary"]
    told = str(headers)
    for secret in (cleared.small.name, cleared.sha256, "Lens", "alice"):
        assert secret not in told


def test_outsiders_get_404_and_anonymous_signs_in(
    cleared, as_charlie, as_stranger, client
):
    for size in ("small", "large"):
        assert as_charlie.get(address(cleared, size)).status_code == 404
        assert as_stranger.get(address(cleared, size)).status_code == 404
        assert client.get(address(cleared, size)).url.startswith("/account/login/")


def test_uncleared_picture_is_for_its_sender_alone(
    club, alice, as_alice, as_bob, as_organiser
):
    picture = PictureFactory(club=club, uploaded_by=alice, uncleared=True)
    other = signed_in(MembershipFactory(club=club, role=Role.MENTOR).user)
    assert as_alice.get(address(picture)).status_code == 200
    for client in (as_bob, as_organiser, other):
        assert client.get(address(picture)).status_code == 404


def test_unknown_ids_sizes_and_missing_files_are_404(as_alice, cleared):
    assert as_alice.get(f"/pictures/{uuid.uuid4()}/small.jpg").status_code == 404
    assert as_alice.get(f"/pictures/{cleared.pk}/small.jpg").status_code == 404
    for size in ("huge", "file", "pk", "sha256"):
        assert as_alice.get(address(cleared, size)).status_code == 404
    cleared.small.storage.delete(cleared.small.name)
    assert as_alice.get(address(cleared)).status_code == 404


def test_pictures_are_read_only(as_alice, cleared):
    assert as_alice.post(address(cleared)).status_code == 405


def test_kept_files_have_no_address_of_their_own(as_alice, cleared, client):
    assert site.MEDIA_URL in ("", "/")
    assert not str(site.MEDIA_ROOT).startswith(str(site.STATIC_ROOT))
    for path in (cleared.small.name, f"media/{cleared.small.name}"):
        assert as_alice.get(f"/{path}").status_code == 404
        assert as_alice.get(f"/static/{path}").status_code == 404


def test_withdrawing_asks_first(as_alice, cleared):
    page = as_alice.get(f"/pictures/{cleared.public_id}/withdraw/")
    assert page.status_code == 200
    assert address(cleared) in page.text
    assert Picture.objects.in_use().count() == 1


def test_withdrawn_picture_is_gone_for_everybody(
    as_alice, as_bob, as_organiser, cleared
):
    answered = as_alice.post(f"/pictures/{cleared.public_id}/withdraw/")
    assert answered.url == "/pictures/"
    for client in (as_alice, as_bob, as_organiser):
        assert client.get(address(cleared)).status_code == 404
    assert as_alice.get(f"/pictures/{cleared.public_id}/withdraw/").status_code == 404


def test_only_mentors_and_the_sender_withdraw(
    as_bob, as_organiser, as_charlie, cleared
):
    for client in (as_bob, as_organiser, as_charlie):
        url = f"/pictures/{cleared.public_id}/withdraw/"
        assert client.get(url).status_code == 404
        assert client.post(url).status_code == 404
    assert Picture.objects.in_use().count() == 1


# On the mentor's page


@pytest.fixture
def draft(club):
    return placing_class(club, state=Revision.State.DRAFT)


def page_of(revision):
    return f"/workshop/classes/{revision.exercise_id}/dogs/"


def with_photograph(revision, file=None, dog="a", **more):
    """What the page sends when a photograph was chosen and the tick was set."""
    file = upload() if file is None else file
    post = {f"{dog}-photograph": file, f"{dog}-agreed": "on"}
    return dogs_post(revision, **post, **more)


def dog_of(revision, name="a"):
    revision.refresh_from_db()
    return next(dog for dog in revision.content["dogs"] if dog["id"] == name)


def put(client, revision, **more):
    """Put a photograph to a dog and return it."""
    revision.refresh_from_db()
    response = client.post(page_of(revision), with_photograph(revision, **more))
    assert response.status_code == 302, response.text
    found = dog_of(revision, more.get("dog", "a"))
    return Picture.objects.get(public_id=found["picture"])


def test_photograph_is_put_to_a_dog(as_alice, alice, club, draft):
    picture = put(as_alice, draft, **{"a-credit": "Photo: Ada Lens"})
    assert (picture.club, picture.uploaded_by, picture.consent_by) == (
        club,
        alice,
        alice,
    )
    assert picture.is_cleared
    assert dog_of(draft)["credit"] == picture.credit == "Photo: Ada Lens"
    page = as_alice.get(page_of(draft)).text
    assert address(picture) in page
    assert page.count("Take the picture away") == 1
    assert as_alice.get(address(picture)).status_code == 200


def test_what_is_kept_of_a_telling_file_is_pixels(as_alice, draft):
    picture = put(as_alice, draft, file=upload(telling_jpeg(), "Champion Nell.jpg"))
    kept = picture.large.read() + picture.small.read()
    for tell in (b"Nether Tarn", b"SN-4711", b"script", b"Champion", b"Exif"):
        assert tell not in kept
    names = " ".join([picture.large.name, picture.small.name, address(picture)])
    assert "Nell" not in names
    assert "dog" not in names


def test_credit_in_the_file_is_offered_to_be_checked(as_alice, draft):
    file = upload(jpeg(exif=camera_exif(Artist="Ada Lens")))
    picture = put(as_alice, draft, file=file)
    assert dog_of(draft)["credit"] == picture.credit == "Ada Lens"
    page = as_alice.get(page_of(draft)).text
    assert "Credit read from the photograph of 11: Ada Lens. Check it." in page
    assert 'value="Ada Lens"' in page


def refused(client, revision, **more):
    """The page after a save that was refused; nothing was saved."""
    before = Revision.objects.values().get(pk=revision.pk)
    response = client.post(page_of(revision), with_photograph(revision, **more))
    assert response.status_code == 422
    assert Revision.objects.values().get(pk=revision.pk) == before
    assert not Picture.objects.exists()
    return response.text


def errors_of(page, field):
    """The errors beside a field."""
    found = re.search(rf'id="id_{field}_error">(.*?)</div>\s*</div>', page, re.S)
    return re.findall(r"<p>(.*?)</p>", found[1]) if found else []


HOSTILE = {
    "page": (b"<!doctype html><script>alert(1)</script>", "a.jpg", "no photograph"),
    "drawing": (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "a.svg", "no photograph"),
    "bomb": (png_header(20000, 20000), "a.png", "40 million pixels"),
    "half": (jpeg()[:2000], "a.jpg", "damaged"),
    "nothing": (b"", "a.jpg", "empty"),
    "large": (jpeg() + bytes(MOST_BYTES), "a.jpg", "5 MB"),
    "name": (jpeg(), "a.png", "The file is a JPEG"),
}


@pytest.mark.parametrize(("data", "name", "says"), HOSTILE.values(), ids=HOSTILE)
def test_bad_file_is_refused_at_its_dog_and_all_that_was_typed_stays(
    as_alice, draft, data, name, says
):
    typed = {"b-ringside": "Typed into another dog.", "title": "A title just typed"}
    page = refused(as_alice, draft, file=upload(data, name), **typed)
    (error,) = errors_of(page, "a-photograph")
    assert says in error
    assert errors_of(page, "b-photograph") == []
    assert "Typed into another dog." in page
    assert "A title just typed" in page
    assert "<title>Error:" in page
    assert 'href="#id_a-photograph"' in page


def test_sound_photograph_beside_a_bad_one_has_to_be_chosen_again(as_alice, draft):
    bad = {"b-photograph": upload(b"no picture"), "b-agreed": "on"}
    page = refused(as_alice, draft, **bad)
    assert errors_of(page, "a-photograph") == [
        "Choose the photograph again. Nothing was saved yet."
    ]
    assert "no photograph" in errors_of(page, "b-photograph")[0]


def test_any_other_mistake_asks_for_the_file_again(as_alice, draft):
    for mistake in ({"b-armband": "11"}, {"title": ""}):
        page = refused(as_alice, draft, **mistake)
        assert "Choose the photograph again." in errors_of(page, "a-photograph")[0]


def test_without_the_tick_there_is_no_photograph(as_alice, draft):
    post = dogs_post(draft, **{"a-photograph": upload()})
    response = as_alice.post(page_of(draft), post)
    assert response.status_code == 422
    assert errors_of(response.text, "a-agreed") == [
        "Tick this, or leave the photograph out."
    ]
    assert not Picture.objects.exists()


def test_tick_without_a_photograph_means_nothing(as_alice, draft):
    response = as_alice.post(page_of(draft), dogs_post(draft, **{"a-agreed": "on"}))
    assert response.status_code == 302
    assert not Picture.objects.exists()
    assert dog_of(draft)["picture"] == ""


def test_full_club_is_told_so(as_alice, club, draft, settings):
    settings.PICTURES_PER_CLUB = 1
    put(as_alice, draft)
    before = dog_of(draft, "b")
    post = with_photograph(draft, dog="b", **{"b-ringside": "Typed."})
    response = as_alice.post(page_of(draft), post)
    assert response.status_code == 422
    assert "The club may keep 1 photographs and has 1." in response.text
    assert "Typed." in response.text
    assert "Choose the photograph again." in response.text
    assert dog_of(draft, "b") == before
    assert club.pictures.count() == 1


def test_save_by_somebody_else_keeps_no_photograph(as_alice, organiser, draft):
    page = with_photograph(draft)
    exercises.save_revision(
        draft, by=organiser, version=draft.version, title="Saved before"
    )
    response = as_alice.post(page_of(draft), page)
    assert response.status_code == 422
    assert "Olive Organiser saved this class" in response.text
    assert "Choose the photograph again." in response.text
    assert not Picture.objects.exists()


def test_posted_id_of_a_picture_is_ignored(as_alice, draft, other_club):
    foreign = PictureFactory(club=other_club)
    post = dogs_post(draft, **{"a-picture": foreign.public_id})
    as_alice.post(page_of(draft), post)
    assert dog_of(draft)["picture"] == ""


def test_outsiders_cannot_put_a_photograph(
    as_bob, as_organiser, as_charlie, client, draft
):
    for other in (as_bob, as_organiser, as_charlie, client):
        response = other.post(page_of(draft), with_photograph(draft))
        assert response.status_code in (302, 404)
        assert not (response.status_code == 302 and "login" not in response.url)
    assert not Picture.objects.exists()


def test_photograph_needs_the_token_of_the_page(alice, draft):
    client = Client(enforce_csrf_checks=True)
    client.force_login(alice)
    assert client.post(page_of(draft), with_photograph(draft)).status_code == 403
    assert not Picture.objects.exists()


def test_saving_again_keeps_the_photograph(as_alice, draft):
    picture = put(as_alice, draft)
    draft.refresh_from_db()
    post = dogs_post(draft, **{"a-credit": "Another credit"})
    assert as_alice.post(page_of(draft), post).status_code == 302
    assert dog_of(draft)["picture"] == str(picture.public_id)
    assert dog_of(draft)["credit"] == "Another credit"


@pytest.mark.parametrize("do", ["no-photograph:a", "remove:a"])
def test_photograph_that_nothing_shows_is_erased(
    as_alice, draft, do, django_capture_on_commit_callbacks
):
    picture = put(as_alice, draft)
    post = dogs_post(Revision.objects.get(pk=draft.pk), do=do)
    post["b-ringside"] = "Typed before the button."
    with django_capture_on_commit_callbacks(execute=True):
        assert as_alice.post(page_of(draft), post).status_code == 302
    assert not Picture.objects.exists()
    assert not default_storage.exists(picture.large.name)
    assert dog_of(draft, "b")["ringside"] == "Typed before the button."
    assert str(picture.public_id) not in str(draft.content)


def test_another_photograph_takes_the_place_of_the_first(as_alice, draft):
    first = put(as_alice, draft)
    second = put(as_alice, draft, file=upload(jpeg(500, 400)))
    assert list(Picture.objects.all()) == [second]
    assert first != second
    assert second.width == 500


def test_photograph_of_a_dog_taken_out_at_once_is_not_kept(as_alice, draft):
    post = with_photograph(draft, do="remove:a")
    assert as_alice.post(page_of(draft), post).status_code == 302
    assert not Picture.objects.exists()


def test_photograph_that_a_class_in_force_shows_stays(as_alice, draft):
    picture = put(as_alice, draft)
    draft.refresh_from_db()
    exercises.publish(draft, now=timezone.now(), regrade=False)
    post = dogs_post(draft, do="no-photograph:a")
    assert as_alice.post(page_of(draft), post).status_code == 302
    newer = draft.exercise.revisions.get(state=Revision.State.DRAFT)
    assert dog_of(newer)["picture"] == ""
    assert dog_of(draft)["picture"] == str(picture.public_id)
    assert as_alice.get(address(picture)).status_code == 200


def test_withdrawn_photograph_is_named_and_forgotten_at_the_next_save(as_alice, draft):
    picture = put(as_alice, draft)
    as_alice.post(f"/pictures/{picture.public_id}/withdraw/")
    page = as_alice.get(page_of(draft)).text
    assert "The photograph of this dog was withdrawn." in page
    assert address(picture) not in page
    draft.refresh_from_db()
    as_alice.post(page_of(draft), dogs_post(draft))
    assert dog_of(draft)["picture"] == ""
    assert "was withdrawn" not in as_alice.get(page_of(draft)).text


def test_page_of_a_class_needs_no_more_queries_for_more_photographs(
    as_alice, draft, django_assert_num_queries
):
    put(as_alice, draft)
    as_alice.get(page_of(draft))
    with CaptureQueriesContext(connection) as one:
        as_alice.get(page_of(draft))
    few = len(one)
    for name in "bcd":
        put(as_alice, draft, dog=name)
    as_alice.get(page_of(draft))
    with django_assert_num_queries(few):
        as_alice.get(page_of(draft))


# On the trainee's pages


@pytest.fixture
def shown(club, cleared):
    """A class in force: a has a photograph, the others stand in words."""
    photograph = {"picture": str(cleared.public_id), "credit": "Photo: Ada Lens"}
    return placing_class(club, by_dog={"a": photograph})


def begun(revision, by):
    return attempts.begin(revision, by=by, now=timezone.now(), rng=random.Random(2))


def images(page):
    """Address and alternative text of the pictures on a page."""
    return re.findall(r'<img src="([^"]+)" alt="([^"]*)"', page)


def test_trainee_sees_the_photograph_where_a_plate_would_stand(
    as_bob, bob, shown, cleared
):
    attempt = begun(shown, bob)
    page = as_bob.get(f"/attempts/{attempt.pk}/").text
    assert (address(cleared), "Photograph of 11") in images(page)
    assert "plate-photo" in page
    assert page.count("Photo: Ada Lens") == 1
    assert "Schematic plates" not in page
    assert as_bob.get(address(cleared)).status_code == 200
    beside = as_bob.get(f"/attempts/{attempt.pk}/compare/?first=a&second=b").text
    assert (address(cleared, "large"), "Photograph of 11") in images(beside)


def test_alternative_text_tells_no_more_than_the_number(as_bob, club, bob, cleared):
    """Whatever place and level a dog has, its text is the same but for the number."""
    several = {
        name: {
            "picture": str(PictureFactory(club=club).public_id),
            "levels": {"priority-1": level},
        }
        for level, name in enumerate("abcd")
    }
    attempt = begun(placing_class(club, by_dog=several), bob)
    page = as_bob.get(f"/attempts/{attempt.pk}/").text
    texts = {re.sub(r"\d+", "N", alt) for _, alt in images(page) if alt}
    assert texts == {"Photograph of N"}
    assert len([alt for _, alt in images(page) if alt]) == 4


def test_photographs_and_plates_stand_side_by_side(as_bob, bob, shown, cleared):
    shown.content["breed"] = next(iter(BREEDS))
    shown.save()
    attempt = begun(shown, bob)
    page = as_bob.get(f"/attempts/{attempt.pk}/").text
    assert f"/attempts/{attempt.pk}/plates/b.svg" in page
    assert f"/attempts/{attempt.pk}/plates/a.svg" not in page
    assert "Schematic plates" in page


def test_withdrawn_photograph_makes_room_for_the_words(
    as_alice, as_bob, bob, shown, cleared
):
    attempt = begun(shown, bob)
    as_alice.post(f"/pictures/{cleared.public_id}/withdraw/")
    page = as_bob.get(f"/attempts/{attempt.pk}/").text
    assert images(page) == []
    assert "a from the ring-side." in page
    assert "Ada Lens" not in page


def test_picture_of_another_club_is_not_shown(as_bob, bob, club, other_club):
    foreign = PictureFactory(club=other_club)
    attempt = begun(
        placing_class(club, by_dog={"a": {"picture": str(foreign.public_id)}}), bob
    )
    assert images(as_bob.get(f"/attempts/{attempt.pk}/").text) == []


def test_result_shows_the_photograph_and_says_what_is_seen(as_bob, bob, shown, cleared):
    attempt = begun(shown, bob)
    attempts.hand_in(attempt, answer=answer("bacd"), now=timezone.now())
    page = as_bob.get(f"/attempts/{attempt.pk}/result/").text
    number = dict(attempt.shown["line"])["a"]
    expected = f"Photograph of {number}. {dog('a', 11)['ringside']}"
    assert (address(cleared), expected) in images(page)
    assert "Photo: Ada Lens" in page


def test_attempt_needs_no_more_queries_for_more_photographs(
    as_bob, bob, club, django_assert_num_queries
):
    def page(names):
        by_dog = {
            name: {"picture": str(PictureFactory(club=club).public_id)}
            for name in names
        }
        return f"/attempts/{begun(placing_class(club, by_dog=by_dog), bob).pk}/"

    few, many = page("a"), page("abcd")
    as_bob.get(few)
    with CaptureQueriesContext(connection) as one:
        as_bob.get(few)
    with django_assert_num_queries(len(one)):
        as_bob.get(many)


@pytest.mark.parametrize("is_in_force", [True, False])
def test_dog_put_back_has_its_photograph_if_a_revision_shows_it(
    as_alice, draft, is_in_force
):
    picture = put(as_alice, draft)
    if is_in_force:
        draft.refresh_from_db()
        exercises.publish(draft, now=timezone.now(), regrade=False)
    draft.refresh_from_db()
    as_alice.post(page_of(draft), dogs_post(draft, do="remove:a"))
    newer = draft.exercise.revisions.get(state=Revision.State.DRAFT)
    assert "Its photograph is gone, unless" in as_alice.get(page_of(newer)).text
    as_alice.post(page_of(newer), dogs_post(newer, do="back"))
    kept = str(picture.public_id) if is_in_force else ""
    assert dog_of(newer)["picture"] == kept


def test_photograph_goes_with_a_draft_that_is_discarded(
    as_alice, draft, django_capture_on_commit_callbacks
):
    picture = put(as_alice, draft)
    with django_capture_on_commit_callbacks(execute=True):
        as_alice.post(f"/workshop/classes/{draft.exercise_id}/discard/")
    assert not Picture.objects.exists()
    assert not default_storage.exists(picture.large.name)


def test_photograph_that_is_in_force_outlives_a_discarded_draft(as_alice, draft):
    picture = put(as_alice, draft)
    draft.refresh_from_db()
    exercises.publish(draft, now=timezone.now(), regrade=False)
    as_alice.post(page_of(draft), dogs_post(draft, title="Begun again"))
    as_alice.post(f"/workshop/classes/{draft.exercise_id}/discard/")
    assert draft.exercise.revisions.count() == 1
    assert as_alice.get(address(picture)).status_code == 200
