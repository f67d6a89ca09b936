"""After a seminar: what attendees say, what they practise next; reminders before it; names taken out in time."""

import uuid
from datetime import UTC, datetime, timedelta
from smtplib import SMTPRecipientsRefused
from unittest.mock import patch

import pytest
from django.core.mail.backends.locmem import EmailBackend
from django.core.management import CommandError, call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from quizzes.models import Review
from tests.factories import UserFactory
from tests.placing import answer, placing_class
from tests.seminars import attendee, seminar, sitting
from tests.sheets import right, sheet
from trainer.accounts.models import User
from trainer.seminars import certifying, following, keeping, services, sittings
from trainer.seminars.models import Attendee, Feedback, Hand, Seminar

pytestmark = pytest.mark.django_db
SOON = timezone.now().replace(microsecond=0) + timedelta(days=9)


@pytest.fixture
def held(club):
    return seminar(club, parts=[(0, 3)])


@pytest.fixture
def place(held, bob):
    return attendee(held, bob)


def shown(held, given, revision=None):
    """A class of the room, its result shown; `given` is who answered what."""
    now = timezone.now()
    made = sitting(held, revision, open=True)
    for who, one in given:
        hand = sittings.hand_of(made, who)
        sittings.take(hand, one, submission=uuid.uuid4(), now=now)
    return sittings.show(sittings.close(made, now=now), now=now)


# what it was like


def test_an_attendee_says_it_once_and_can_change_it(client, place):
    client.force_login(place.person)
    url = f"/seminars/{place.seminar_id}/feedback/"
    assert client.get(url).status_code == 200
    client.post(url, {"useful": "4", "good": "The dogs"})
    client.post(url, {"useful": "", "good": "The dogs", "better": "The chairs"})
    said = Feedback.objects.get()
    assert (said.useful, said.better, said.attendee) == (None, "The chairs", place)
    assert client.post(url, {"useful": "9"}).status_code == 422


def test_nobody_says_what_it_was_like_before_it_was(client, club):
    one = attendee(seminar(club, starts=SOON))
    client.force_login(one.person)
    assert client.get(f"/seminars/{one.seminar_id}/feedback/").status_code == 404


def test_a_guest_says_it_too_and_sees_what_to_practise(client, held):
    guest = services.guest(held, "Guest", now=timezone.now())
    shown(held, [(guest, answer("bacd"))])
    client.force_login(guest.person)
    assert client.get(f"/seminars/{held.pk}/feedback/").status_code == 200
    page = client.get(f"/seminars/{held.pk}/practice/")
    assert "Make an account of the visit" in page.text
    assert client.post(f"/seminars/{held.pk}/practice/").status_code == 404


# what to practise


def test_what_was_wrong_in_the_room_is_to_practise(client, held, place, club):
    revision = placing_class(club)
    name = revision.module_revision.priorities.get(slug="priority-1").name
    shown(held, [(place, answer("bacd"))], revision)
    client.force_login(place.person)
    page = client.get(f"/seminars/{held.pk}/practice/")
    assert name in page.text
    assert "7 / 10" in page.text  # two of the three pairs that the mentor gives for it
    client.post(f"/seminars/{held.pk}/practice/")
    client.post(f"/seminars/{held.pk}/practice/")
    row = Review.objects.get()
    assert (row.person, row.subject) == (place.person, "priority:priority-1")
    assert (row.share, row.times) == (pytest.approx(2 / 3), 1)
    assert (
        "Put it on what comes back"
        not in client.get(f"/seminars/{held.pk}/practice/").text
    )


def test_a_sheet_that_was_all_right_is_not_to_practise(client, held, place, club):
    made = sheet(club)
    shown(held, [(place, right(made))], made)
    assert following.missed(following.hands_of(place)) == []
    client.force_login(place.person)
    page = client.get(f"/seminars/{held.pk}/practice/")
    assert "was as the mentor has it" in page.text


def test_nothing_is_told_before_the_room_sees_it(held, place):
    made = sitting(held, open=True)
    hand = sittings.hand_of(made, place)
    sittings.take(hand, answer("dcba"), submission=uuid.uuid4(), now=timezone.now())
    assert following.hands_of(place) == []


def test_what_to_practise_takes_as_many_queries_however_many_came(
    client, held, place, club
):
    given = [(place, answer("bacd"))]
    counts = []
    client.force_login(place.person)
    for many in (1, 20):
        others = [(attendee(held), answer()) for _ in range(many)]
        shown(held, [*given, *others], placing_class(club, module=None))
        Hand.objects.filter(attendee=place).exclude(
            sitting__number=held.sittings.count()
        ).delete()
        client.get(f"/seminars/{held.pk}/practice/")
        with CaptureQueriesContext(connection) as found:
            client.get(f"/seminars/{held.pk}/practice/")
        counts.append(len(found))
    assert counts[0] == counts[1]


# reminders


@pytest.fixture
def coming(club):
    made = seminar(club, starts=SOON, title="=A day\r\nBcc: x@example.org"[:6])
    for n in range(3):
        attendee(made, email=f"one{n}@example.org")
    attendee(made, email="")
    attendee(made, email="waits@example.org", state=Attendee.State.WAITING)
    return made


def test_the_organiser_sees_how_many_and_reminds_each_once(
    client, organiser, coming, mailoutbox
):
    client.force_login(organiser)
    url = f"/seminars/{coming.pk}/remind/"
    page = client.get(url)
    assert "Send 3 mails" in page.text
    assert "1 has no address here." in page.text
    page = client.post(url, follow=True)
    assert "3 are reminded." in page.text
    assert "Nobody is left to remind." in page.text
    client.post(url)
    assert len(mailoutbox) == 3
    assert {len(one.to) for one in mailoutbox} == {1}
    assert f"/seminars/{coming.pk}/" in mailoutbox[0].body


def test_when_mails_can_not_be_sent_nobody_counts_as_reminded(
    client, organiser, coming
):
    client.force_login(organiser)
    with patch.object(EmailBackend, "send_messages", side_effect=OSError("no")):
        page = client.post(f"/seminars/{coming.pk}/remind/", follow=True)
    assert "could not be sent" in page.text
    assert not coming.attendees.exclude(reminded_at=None).exists()


def test_nobody_is_reminded_of_what_is_over(client, organiser, held, place, mailoutbox):
    services.end(held, state="over", now=timezone.now())
    client.force_login(organiser)
    client.post(f"/seminars/{held.pk}/remind/")
    assert mailoutbox == []


def test_reminding_takes_as_many_queries_for_many(client, organiser, club):
    client.force_login(organiser)
    counts = []
    for many in (1, 30):
        made = seminar(club, starts=SOON)
        for _ in range(many):
            attendee(made)
        client.get(f"/seminars/{made.pk}/remind/")
        with CaptureQueriesContext(connection) as found:
            client.post(f"/seminars/{made.pk}/remind/")
        counts.append(len(found))
    assert counts[0] == counts[1]


@pytest.mark.parametrize(
    ("days", "before", "reminded"),
    [(3, 4, 0), (3, 3, 3), (3, 1, 3), (0, 1, 0), (9, 9, 3), (3, -1, 0)],
)
def test_the_site_reminds_by_itself_as_many_days_before_as_the_seminar_says(
    coming, mailoutbox, days, before, reminded
):
    Seminar.objects.filter(pk=coming.pk).update(remind_days=days)
    now = coming.starts_at - timedelta(days=before)
    with patch("django.utils.timezone.now", return_value=now):
        call_command("remind_attendees")
        call_command("remind_attendees")
    assert len(mailoutbox) == reminded


def test_whoever_enrols_after_the_reminders_is_reminded_the_next_day(
    coming, mailoutbox, settings
):
    settings.SITE = "https://room.example.org"
    now = coming.starts_at - timedelta(days=2)
    with patch("django.utils.timezone.now", return_value=now):
        call_command("remind_attendees")
    without = attendee(coming, email="late@example.org")
    Attendee.objects.filter(pk=without.pk).update(person=None)
    with patch("django.utils.timezone.now", return_value=now + timedelta(days=1)):
        call_command("remind_attendees")
    assert [one.to for one in mailoutbox[3:]] == [["late@example.org"]]
    # Without an account the link is the person's own.
    own = f"https://room.example.org/seminars/come/{without.code}/"
    assert own in mailoutbox[3].body
    assert f"https://room.example.org/seminars/{coming.pk}/" in mailoutbox[0].body


@pytest.mark.parametrize("state", ["prepared", "over", "called_off"])
def test_nobody_is_reminded_by_itself_of_what_is_not_announced(
    coming, mailoutbox, state
):
    Seminar.objects.filter(pk=coming.pk).update(state=state)
    now = coming.starts_at - timedelta(days=1)
    with patch("django.utils.timezone.now", return_value=now):
        call_command("remind_attendees")
    assert mailoutbox == []


def test_when_the_connection_breaks_the_rest_are_reminded_the_next_time(
    coming, mailoutbox
):
    now, send = coming.starts_at - timedelta(days=1), EmailBackend.send_messages

    def break_after_two(backend, sent):
        if len(mailoutbox) == 2:
            raise OSError("gone")
        return send(backend, sent)

    with patch("django.utils.timezone.now", return_value=now):
        with (
            patch.object(EmailBackend, "send_messages", break_after_two),
            pytest.raises(CommandError, match="gone"),
        ):
            call_command("remind_attendees")
        assert coming.attendees.filter(reminded_at=None, state="enrolled").count() == 2
        call_command("remind_attendees")
    assert len(mailoutbox) == 3
    assert len({one.to[0] for one in mailoutbox}) == 3


def test_an_address_that_is_refused_keeps_nobody_from_theirs(coming, mailoutbox):
    now, send = coming.starts_at - timedelta(days=1), EmailBackend.send_messages

    def refuse_one(backend, sent):
        if sent[0].to == ["one1@example.org"]:
            raise SMTPRecipientsRefused({"one1@example.org": (550, b"no")})
        return send(backend, sent)

    with (
        patch("django.utils.timezone.now", return_value=now),
        patch.object(EmailBackend, "send_messages", refuse_one),
    ):
        call_command("remind_attendees")
    assert len(mailoutbox) == 2
    left = coming.attendees.enrolled().filter(reminded_at=None).exclude(email="")
    assert [one.email for one in left] == ["one1@example.org"]


# names taken out


def test_names_are_kept_as_many_months_as_the_club_says(club):
    ends = datetime(2026, 1, 31, 17, tzinfo=UTC)
    made = seminar(club, starts=ends - timedelta(hours=6), months_kept=13)
    assert keeping.kept_until(made) == datetime(2027, 2, 28, 17, tzinfo=UTC)


def test_then_names_are_taken_out_and_counts_stay(client, club, organiser, capsys):
    held = seminar(club, months_kept=6, title="Old")
    ann = attendee(held, name="Ann Gone", email="ann@example.org", number="J-1")
    guest = services.guest(held, "Guest Gone", now=timezone.now())
    for one in (ann, guest):
        stay = services.check_in(one, now=held.starts_at)
        services.check_out(one, now=held.ends_at)
        stay.note = "Ann left by the back door"
        stay.save(update_fields=["note"])
    made = shown(held, [(ann, answer()), (guest, answer("bacd"))])
    Feedback.objects.create(
        seminar=held, attendee=ann, good="Fine", given_at=timezone.now()
    )
    services.end(held, state="over", now=held.ends_at)
    certificate = certifying.issue(held, by=organiser, now=timezone.now())[0]
    young = attendee(seminar(club, months_kept=60), name="Ann Stays", person=ann.person)

    before = keeping.kept_until(held) - timedelta(minutes=1)
    with patch("django.utils.timezone.now", return_value=before):
        call_command("take_names_out")
    ann.refresh_from_db()
    assert ann.name == "Ann Gone"
    with patch("django.utils.timezone.now", return_value=before + timedelta(minutes=2)):
        call_command("take_names_out")
        call_command("take_names_out")
    assert capsys.readouterr().out.count(": 2.") == 1

    rows = held.attendees.values_list("name", "email", "number", "person")
    assert set(rows) == {("", "", "", None)}
    assert not User.objects.filter(pk=guest.person_id).exists()
    assert User.objects.filter(pk=ann.person_id).exists()
    young.refresh_from_db()
    assert young.name == "Ann Stays"
    assert not Hand.objects.filter(sitting=made).exists()
    made.refresh_from_db()
    assert (made.handed_in, made.result["counted"]) == (2, 2)

    client.force_login(organiser)
    for path in ("report/", "report/attendance.csv", "certificates/", "roster/"):
        page = client.get(f"/seminars/{held.pk}/{path}")
        assert page.status_code == 200
        assert "Gone" not in page.text
        assert "back door" not in page.text
    assert (
        "2 of 2 with a place were there"
        in client.get(f"/seminars/{held.pk}/report/").text
    )
    page = client.get(f"/seminars/certificates/{certificate.code}/")
    assert "taken out" in page.text
    assert "Gone" not in page.text


def test_a_guest_of_two_visits_stays_until_the_last(club):
    first, second = seminar(club, months_kept=1), seminar(club, months_kept=9)
    guest = services.guest(first, "Guest", now=timezone.now())
    attendee(second, guest.person, email="")
    keeping.take_names_out(first, timezone.now())
    assert User.objects.filter(pk=guest.person_id).exists()
    keeping.take_names_out(second, timezone.now())
    assert not User.objects.filter(pk=guest.person_id).exists()


def test_the_seminar_leads_to_what_comes_after(client, held, place, organiser):
    client.force_login(place.person)
    page = client.get(f"/seminars/{held.pk}/").text
    assert f"/seminars/{held.pk}/practice/" in page
    assert f"/seminars/{held.pk}/report/" not in page
    client.force_login(organiser)
    page = client.get(f"/seminars/{held.pk}/").text
    for path in ("report", "certificates", "papers", "remind"):
        assert f"/seminars/{held.pk}/{path}/" in page
    client.force_login(UserFactory())
    assert (
        f"/seminars/{held.pk}/practice/" not in client.get(f"/seminars/{held.pk}/").text
    )
