"""Photographs as the club keeps them: who sees them, their record, their number, their end."""

import uuid
from datetime import UTC, datetime

import pytest
from django.contrib.auth.models import AnonymousUser
from django.core.files.storage import default_storage
from django.db import IntegrityError, transaction
from django.utils import timezone

from tests.factories import MembershipFactory, UserFactory
from tests.photographs import PictureFactory, camera_exif, jpeg, upload
from trainer.clubs.models import Role
from trainer.pictures import services
from trainer.pictures.intake import take_in
from trainer.pictures.models import CONSENT, Licence, Picture
from trainer.pictures.services import NoRoom, Sent


@pytest.fixture
def staff(db):
    return UserFactory(is_staff=True)


@pytest.fixture
def colleague(club):
    """Another mentor of the club."""
    return MembershipFactory(club=club, role=Role.MENTOR).user


def sent(**how):
    file = upload(how.pop("data", None))
    return Sent(uuid.uuid4(), take_in(file, file.name), **{"agreed": True, **how})


def keep(club, by, *several):
    return services.keep(several, club=club, by=by, now=timezone.now())


def who_sees(picture, *people):
    return [
        person
        for person in people
        if Picture.objects.visible_to(person).filter(pk=picture.pk).exists()
    ]


def who_edits(picture, *people):
    return [
        person
        for person in people
        if Picture.objects.editable_by(person).filter(pk=picture.pk).exists()
    ]


# Who sees what


@pytest.fixture
def everybody(alice, bob, organiser, colleague, charlie, stranger, staff):
    return [alice, bob, organiser, colleague, charlie, stranger, staff]


def test_members_see_what_is_cleared(
    club, everybody, alice, bob, organiser, colleague, staff
):
    picture = PictureFactory(club=club, uploaded_by=alice)
    members = [alice, bob, organiser, colleague, staff]
    assert who_sees(picture, *everybody, AnonymousUser()) == members
    assert who_edits(picture, *everybody, AnonymousUser()) == [alice, colleague, staff]


@pytest.mark.parametrize(
    "lacks",
    [
        {"uncleared": True},
        {"licence": ""},
        {"consent_at": None, "consent_words": ""},
    ],
    ids=["right and consent", "right", "consent"],
)
def test_only_the_sender_sees_a_picture_that_lacks(club, everybody, alice, lacks):
    picture = PictureFactory(club=club, uploaded_by=alice, **lacks)
    assert who_sees(picture, *everybody) == [alice]
    assert who_edits(picture, *everybody) == [alice]
    assert not picture.is_cleared
    assert Picture.objects.shown_in(club, [picture.public_id]) == set()


def test_nobody_sees_what_was_withdrawn(club, everybody, alice):
    picture = PictureFactory(club=club, uploaded_by=alice, withdrawn=True)
    assert who_sees(picture, *everybody) == []
    assert who_edits(picture, *everybody) == []
    assert Picture.objects.shown_in(club, [picture.public_id]) == set()


def test_whoever_leaves_the_club_keeps_sight_of_their_own_only(club, alice, colleague):
    own = PictureFactory(club=club, uploaded_by=alice)
    others = PictureFactory(club=club, uploaded_by=colleague)
    alice.memberships.all().delete()
    assert who_sees(own, alice) == [alice]
    assert who_edits(own, alice) == [alice]
    assert who_sees(others, alice) == []


def test_person_of_two_roles_finds_a_picture_once(club, alice):
    PictureFactory(club=club, uploaded_by=alice)
    MembershipFactory(club=club, user=alice, role=Role.ORGANISER)
    assert Picture.objects.visible_to(alice).count() == 1
    assert Picture.objects.editable_by(alice).count() == 1


def test_pictures_of_another_club_are_not_shown_in_this_one(club, other_club):
    here, there = PictureFactory(club=club), PictureFactory(club=other_club)
    ids = [str(here.public_id), str(there.public_id)]
    assert Picture.objects.shown_in(club, ids) == {str(here.public_id)}


# The record


def test_tick_records_right_consent_and_person(club, alice):
    now = timezone.now()
    (picture,) = services.keep(
        [sent(credit="Photo: Alice")], club=club, by=alice, now=now
    )
    assert picture.uploaded_by == picture.consent_by == alice
    assert picture.consent_at == picture.uploaded_at == now
    assert picture.consent_words == str(CONSENT)
    assert picture.licence == Licence.PERMISSION
    assert picture.credit == "Photo: Alice"
    assert picture.is_cleared


def test_without_the_tick_nothing_is_recorded(club, alice, bob):
    (picture,) = keep(club, alice, sent(agreed=False))
    assert (picture.licence, picture.consent_at, picture.consent_by) == ("", None, None)
    assert who_sees(picture, alice, bob) == [alice]


def test_credit_in_the_file_stands_in_for_one_that_was_not_given(club, alice):
    data = jpeg(exif=camera_exif(Artist="Ada Lens", Copyright="Lens and Daughters"))
    kept, given = keep(club, alice, sent(data=data), sent(data=data, credit="A. L."))
    assert (kept.credit, kept.rights_holder) == ("Ada Lens", "Lens and Daughters")
    assert (given.credit, given.rights_holder) == ("A. L.", "Lens and Daughters")


def test_files_are_kept_under_names_that_say_nothing(club, alice):
    (picture,) = keep(club, alice, sent())
    names = [picture.large.name, picture.small.name]
    assert len(set(names)) == 2
    for name in names:
        stem = name.removeprefix("pictures/").removesuffix(".jpg")
        assert len(stem) == 32
        assert int(stem, 16)
        assert picture.public_id.hex != stem
    assert picture.bytes == picture.large.size + picture.small.size
    assert picture.public_id.version == 4


def test_sent_bytes_are_not_kept(club, alice):
    secret = b"the file as it was sent"
    (picture,) = keep(club, alice, sent(data=jpeg() + secret))
    for file in (picture.large, picture.small):
        assert secret not in file.read()


@pytest.mark.parametrize(
    "wrong",
    [
        {"bytes": 0},
        {"large": ""},
        {"small": ""},
        {"withdrawn_at": datetime(2026, 3, 1, tzinfo=UTC)},
        {"consent_words": ""},
        {"consent_at": None},
        {"width": 0},
        {"height": 0},
        {"sha256": "short"},
        {"sha256": "G" * 64},
        {"licence": "all rights"},
    ],
    ids=str,
)
def test_database_refuses(club, wrong):
    with pytest.raises(IntegrityError), transaction.atomic():
        PictureFactory(club=club, **wrong)


def test_consent_of_somebody_needs_a_time(club, alice):
    with pytest.raises(IntegrityError), transaction.atomic():
        PictureFactory(club=club, uncleared=True, consent_by=alice)


def test_record_outlives_the_person(club, alice):
    (picture,) = keep(club, alice, sent())
    alice.delete()
    picture.refresh_from_db()
    assert picture.consent_by is None
    assert picture.is_cleared


# How many


def refusal(club, by, *several):
    with pytest.raises(NoRoom) as refused:
        keep(club, by, *several)
    return refused.value


def test_number_of_pictures_is_limited(club, alice, settings):
    settings.PICTURES_PER_CLUB = 2
    keep(club, alice, sent(), sent())
    refused = refusal(club, alice, sent())
    assert refused.code == "too-many"
    assert "2 photographs" in refused.messages[0]
    assert club.pictures.count() == 2


def test_bytes_of_pictures_are_limited(club, alice, settings):
    settings.PICTURE_BYTES_PER_CLUB = sent().photograph.bytes * 2
    keep(club, alice, sent(), sent())
    assert refusal(club, alice, sent()).code == "no-room"
    assert club.pictures.count() == 2


def test_what_is_sent_together_is_kept_together_or_not_at_all(club, alice, settings):
    settings.PICTURES_PER_CLUB = 1
    before = default_storage.listdir("pictures")[1] if stored() else []
    refusal(club, alice, sent(), sent())
    assert not club.pictures.exists()
    assert (default_storage.listdir("pictures")[1] if stored() else []) == before


def stored():
    return default_storage.exists("pictures")


def test_other_clubs_have_room_of_their_own(club, other_club, alice, settings):
    settings.PICTURES_PER_CLUB = 1
    keep(club, alice, sent())
    assert keep(other_club, alice, sent())


def test_withdrawn_pictures_take_no_room(club, alice, settings):
    settings.PICTURES_PER_CLUB = 1
    (picture,) = keep(club, alice, sent())
    services.withdraw(picture, now=timezone.now())
    assert keep(club, alice, sent())


# The end


def test_withdrawing_erases_the_files_and_keeps_the_record(
    club, alice, django_capture_on_commit_callbacks
):
    (picture,) = keep(club, alice, sent(credit="Photo: Alice"))
    names = [picture.large.name, picture.small.name]
    assert all(map(default_storage.exists, names))
    now = timezone.now()
    with django_capture_on_commit_callbacks(execute=True):
        services.withdraw(picture, now=now)
    assert not any(map(default_storage.exists, names))
    picture.refresh_from_db()
    assert (picture.withdrawn_at, picture.bytes) == (now, 0)
    assert picture.consent_by == alice
    assert picture.credit == "Photo: Alice"
    services.withdraw(picture, now=timezone.now())
    picture.refresh_from_db()
    assert picture.withdrawn_at == now


def test_files_stay_when_withdrawing_fails(
    club, alice, django_capture_on_commit_callbacks
):
    (picture,) = keep(club, alice, sent())
    with django_capture_on_commit_callbacks(execute=True), transaction.atomic():
        services.withdraw(picture, now=timezone.now())
        transaction.set_rollback(True)
    assert default_storage.exists(picture.large.name)
    picture.refresh_from_db()
    assert picture.withdrawn_at is None


def test_erasing_leaves_nothing(club, alice, django_capture_on_commit_callbacks):
    (picture,) = keep(club, alice, sent())
    names = [picture.large.name, picture.small.name]
    with django_capture_on_commit_callbacks(execute=True):
        services.erase(picture)
    assert not any(map(default_storage.exists, names))
    assert not Picture.objects.exists()
