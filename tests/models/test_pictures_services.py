"""Describing, changing and withdrawing photographs, and who is told."""

import pytest
from django.core import mail
from django.core.files.storage import default_storage
from django.utils import timezone
from PIL import Image

from tests.factories import MembershipFactory, UserFactory
from tests.models.test_pictures import keep, sent
from tests.photographs import (
    PictureFactory,
    camera_exif,
    jpeg,
    rights_xmp,
)
from trainer.clubs.models import Role
from trainer.pictures import changing, services
from trainer.pictures.models import CONSENT, Licence, Picture
from trainer.pictures.services import Changed
from trainer.pictures.tools import Box, Cover, Crop, Mirror

MACHINE = (
    '<rdf:Description xmlns:e="http://iptc.org/std/Iptc4xmpExt/2008-02-29/" e:Digital'
    'SourceType="http://cv.iptc.org/newscodes/digitalsourcetype/trainedAlgorithmicMedia"/>'
)


def describe(picture, by, *, agreed=False, **details):
    return services.describe(
        picture, by=by, now=timezone.now(), agreed=agreed, **details
    )


def test_what_the_file_said_is_kept_to_be_confirmed(club, alice):
    data = jpeg(exif=camera_exif(Artist="Ada Lens"), xmp=rights_xmp(MACHINE))
    (picture,) = keep(club, alice, sent(data=data, agreed=False))
    assert picture.said["creator"] == "Ada Lens"
    assert picture.made == picture.said["made"] == "machine"
    assert not picture.is_cleared


def test_large_photograph_is_kept_for_paper_too(club, alice):
    small, large = keep(club, alice, sent(), sent(data=jpeg(2600, 1300)))
    assert small.for_print == ""
    assert small.largest == small.large
    assert large.largest == large.for_print
    assert changing.largest_size(large) == (2400, 1200)
    assert large.bytes == sum(file.size for file in large.files)


def test_agreeing_puts_consent_on_record_once(club, alice, bob):
    picture = PictureFactory(club=club, uploaded_by=alice, uncleared=True)
    picture = describe(picture, alice, agreed=True, licence=Licence.CC0)
    assert picture.is_cleared
    assert (picture.consent_by, picture.consent_words) == (alice, str(CONSENT))
    first = picture.consent_at
    picture = describe(picture, bob, agreed=True, title="Nell, standing")
    picture.refresh_from_db()
    assert (picture.consent_by, picture.consent_at) == (alice, first)
    assert picture.title == "Nell, standing"


def test_describing_without_agreeing_records_nothing(club, alice):
    picture = PictureFactory(club=club, uploaded_by=alice, uncleared=True)
    picture = describe(picture, alice, credit="A. L.", licence=Licence.BY)
    assert picture.consent_at is None
    assert not picture.is_cleared
    assert Picture.objects.needing_consent().get() == picture


def test_what_was_withdrawn_is_not_described_or_changed(club, alice):
    picture = PictureFactory(club=club, withdrawn=True)
    with pytest.raises(Changed):
        describe(picture, alice, title="Nell")
    with pytest.raises(Changed):
        services.place_landmarks(picture, {}, edition=1)


@pytest.fixture
def kept(club, alice):
    (picture,) = keep(club, alice, sent(data=jpeg(1000, 800)))
    return picture


def test_changed_files_take_the_place_of_the_others(
    kept, django_capture_on_commit_callbacks
):
    before = [file.name for file in kept.files]
    with django_capture_on_commit_callbacks(execute=True):
        changing.change(kept, Crop(Box(0, 0, 50, 50)), edition=1)
    kept.refresh_from_db()
    assert (kept.width, kept.height, kept.edition) == (500, 400, 2)
    assert kept.bytes == sum(file.size for file in kept.files)
    assert not any(map(default_storage.exists, before))
    assert all(default_storage.exists(file.name) for file in kept.files)
    assert kept.is_cleared


def test_covered_part_is_gone_from_every_size(club, alice):
    (picture,) = keep(club, alice, sent(data=jpeg(2400, 1800)))
    changing.change(picture, Cover([Box(0, 0, 50, 50)]), edition=1)
    picture.refresh_from_db()
    for file in picture.files:
        with file.open("rb") as opened:
            seen = Image.open(opened).convert("L")
            inside = seen.crop((8, 8, seen.width // 2 - 8, seen.height // 2 - 8))
            darkest, lightest = inside.getextrema()
        assert lightest - darkest <= 4
    assert len(picture.files) == 3


def test_second_change_of_one_edition_is_refused(kept):
    changing.change(kept, Mirror(), edition=1)
    with pytest.raises(Changed) as refused:
        changing.change(kept, Mirror(), edition=1)
    assert refused.value.code == "changed"
    with pytest.raises(Changed):
        services.place_landmarks(kept, {}, edition=1)


def test_landmarks_move_with_the_picture(kept):
    marks = {"facing": "left", "points": {"withers": [20, 40], "nose": [90, 90]}}
    services.place_landmarks(kept, marks, edition=1)
    kept.refresh_from_db()
    changing.change(kept, Crop(Box(0, 0, 50, 50)), edition=1)
    kept.refresh_from_db()
    assert kept.landmarks == {"facing": "left", "points": {"withers": [40, 80]}}


def test_address_changes_with_the_files(kept):
    before = kept.address("small")
    changing.change(kept, Mirror(), edition=1)
    kept.refresh_from_db()
    assert kept.address("small") != before


# Who is told of a withdrawal


@pytest.fixture
def colleague(club):
    return MembershipFactory(club=club, role=Role.MENTOR, user__name="Cora").user


def withdraw(picture, capture, by=None):
    with capture(execute=True):
        services.withdraw(picture, now=timezone.now(), by=by)


def test_other_mentors_of_the_club_are_told_each_in_a_mail_of_their_own(
    club,
    other_club,
    kept,
    alice,
    bob,
    organiser,
    colleague,
    django_capture_on_commit_callbacks,
):
    elsewhere = MembershipFactory(club=other_club, role=Role.MENTOR).user
    gone = MembershipFactory(club=club, role=Role.MENTOR, user__is_active=False).user
    second = MembershipFactory(club=club, role=Role.MENTOR).user
    kept = describe(kept, alice, title="Nell, <standing>", credit="A & D Lens")
    withdraw(kept, django_capture_on_commit_callbacks, by=alice)
    told = [message.to for message in mail.outbox]
    assert sorted(told) == sorted([[colleague.email], [second.email]])
    for person in (alice, bob, organiser, elsewhere, gone):
        assert [person.email] not in told
    first = mail.outbox[0]
    assert first.subject == "Placing Room: a photograph was withdrawn"
    for words in ("Nell, <standing>", "A & D Lens", club.name, "Alice Mentor"):
        assert words in first.body


def test_withdrawal_by_the_site_tells_every_mentor(
    kept, alice, colleague, django_capture_on_commit_callbacks
):
    withdraw(kept, django_capture_on_commit_callbacks)
    assert sorted(mail.to[0] for mail in mail.outbox) == sorted(
        [alice.email, colleague.email]
    )


def test_nobody_is_told_of_what_only_its_sender_saw(
    club, alice, colleague, django_capture_on_commit_callbacks
):
    picture = PictureFactory(club=club, uploaded_by=alice, uncleared=True)
    withdraw(picture, django_capture_on_commit_callbacks, by=alice)
    assert mail.outbox == []


def test_second_withdrawal_tells_nobody_again(
    kept, colleague, django_capture_on_commit_callbacks
):
    for _ in range(2):
        withdraw(kept, django_capture_on_commit_callbacks)
    assert len(mail.outbox) == 2


def test_mail_server_that_is_down_keeps_no_photograph_in_use(
    kept, colleague, settings, django_capture_on_commit_callbacks
):
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 1
    names = [file.name for file in kept.files]
    withdraw(kept, django_capture_on_commit_callbacks)
    kept.refresh_from_db()
    assert kept.withdrawn_at is not None
    assert not any(map(default_storage.exists, names))


def test_title_can_begin_no_second_header(
    kept, alice, colleague, django_capture_on_commit_callbacks
):
    UserFactory()
    kept.title = "Nell\r\nBcc: everybody@example.org"
    kept.save()
    withdraw(kept, django_capture_on_commit_callbacks, by=alice)
    (message,) = mail.outbox
    assert message.recipients() == [colleague.email]
    assert "everybody" not in str(message.message()["Subject"])
