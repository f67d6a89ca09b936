"""Seminars before they are held: prepared, announced, enrolled for, and in calendars."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import icalendar
import pytest
from django.utils import timezone

from tests.factories import UserFactory
from tests.seminars import attendee, seminar
from trainer.seminars import services
from trainer.seminars.models import Attendee, Seminar

pytestmark = pytest.mark.django_db
SOON = timezone.now().replace(microsecond=0) + timedelta(days=9)


@pytest.fixture
def as_organiser(client, organiser):
    client.force_login(organiser)
    return client


def form(**more):
    given = {
        "title": "A day on the breed",
        "starts_at": "2027-05-08T09:30",
        "ends_at": "2027-05-08T17:00",
        "time_zone": "Europe/Dublin",
        "place": "The hall, Long Lane",
        "months_kept": 24,
        "remind_days": 3,
        "parts-TOTAL_FORMS": 2,
        "parts-INITIAL_FORMS": 0,
        "parts-0-title": "Talk",
        "parts-0-starts_at": "2027-05-08T09:30",
        "parts-0-ends_at": "2027-05-08T11:00",
        "parts-0-who": "Alice",
    }
    return {name: value for name, value in {**given, **more}.items() if value != ""}


def test_a_seminar_is_prepared_announced_and_read_by_anybody(
    as_organiser, client, club
):
    told = as_organiser.post(f"/seminars/clubs/{club.slug}/new/", form())
    made = Seminar.objects.get()
    assert told.url == f"/seminars/{made.pk}/"
    # Half past nine in Dublin in May is half past eight in UTC.
    assert made.starts_at == datetime(2027, 5, 8, 8, 30, tzinfo=UTC)
    assert [one.title for one in made.sessions.all()] == ["Talk"]
    client.logout()
    assert client.get(told.url).status_code == 404
    services.announce(made)
    page = client.get(told.url)
    assert "Saturday 8 May 2027, 09:30" in page.text
    assert "The hall, Long Lane" in page.text
    assert "no qualification" in page.text


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"ends_at": "2027-05-08T09:00"}, "A seminar ends after it begins."),
        ({"ends_at": "2028-05-08T09:00"}, "longer than two weeks"),
        ({"time_zone": "Mars/Olympus"}, "is no time zone"),
        ({"place": ""}, "Say where it is held"),
        ({"parts-0-ends_at": ""}, "Fill this in, or clear the whole row."),
        ({"parts-0-ends_at": "2027-05-08T08:00"}, "A part ends after it begins."),
        ({"title": ""}, "This field is required"),
        ({"starts_at": "soon"}, "valid date"),
        ({"capacity": "0"}, "greater than or equal to 1"),
    ],
)
def test_what_can_not_be_is_said_and_what_was_typed_is_kept(
    as_organiser, club, more, said
):
    page = as_organiser.post(
        f"/seminars/clubs/{club.slug}/new/", form(about="All I typed", **more)
    )
    assert page.status_code == 422
    assert said in page.text
    assert "All I typed" in page.text
    assert not Seminar.objects.exists()


def test_the_next_seminar_begins_with_what_stood_on_the_last(as_organiser, club):
    words = {"certificate_words": "With thanks.", "emblem": "abcd"}
    seminar(club, starts=SOON, time_zone="Europe/Oslo", **words)
    url = f"/seminars/clubs/{club.slug}/new/"
    shown = as_organiser.get(url).context["form"]
    assert shown["time_zone"].value() == "Europe/Oslo"
    assert shown["certificate_words"].value() == "With thanks."
    as_organiser.post(url, form(certificate_words="With thanks."))
    assert Seminar.objects.latest("pk").emblem == "abcd"


def test_a_place_is_not_asked_for_online(as_organiser, club):
    sent = form(place="", is_online="on")
    assert (
        as_organiser.post(f"/seminars/clubs/{club.slug}/new/", sent).status_code == 302
    )


def test_two_organisers_do_not_write_over_each_other(as_organiser, club):
    made = seminar(club, starts=SOON)
    url = f"/seminars/{made.pk}/edit/"
    assert as_organiser.post(url, form(version=1, title="First")).status_code == 302
    page = as_organiser.post(url, form(version=1, title="Second"))
    assert page.status_code == 422
    assert "Somebody else saved this seminar" in page.text
    assert "Second" in page.text
    made.refresh_from_db()
    assert made.title == "First"


def test_editing_shows_what_is_stored_by_the_clock_of_the_place(as_organiser, club):
    starts = datetime(2027, 5, 8, 9, 30, tzinfo=ZoneInfo("Europe/Dublin"))
    made = seminar(club, starts=starts, parts=[(0, 1)], time_zone="Europe/Dublin")
    page = as_organiser.get(f"/seminars/{made.pk}/edit/").text
    assert page.count('value="2027-05-08T09:30"') == 2


def test_a_person_enrols_and_gives_the_place_up(client, club):
    made, person = seminar(club, starts=SOON), UserFactory()
    client.force_login(person)
    page = client.post(f"/seminars/{made.pk}/enrol/", follow=True)
    assert "You have a place." in page.text
    assert client.get(f"/seminars/{made.pk}/withdraw/").status_code == 200
    client.post(f"/seminars/{made.pk}/withdraw/")
    assert Attendee.objects.get().state == "withdrawn"
    client.post(f"/seminars/{made.pk}/enrol/")
    assert Attendee.objects.get().state == "enrolled"


def test_who_moves_up_hears_by_mail(
    client, club, mailoutbox, django_capture_on_commit_callbacks
):
    made, first = seminar(club, starts=SOON, capacity=1), UserFactory()
    waits = UserFactory(email="waits@example.org")
    services.enrol(made, first, now=timezone.now())
    services.enrol(made, waits, now=timezone.now())
    client.force_login(first)
    with django_capture_on_commit_callbacks(execute=True):
        client.post(f"/seminars/{made.pk}/withdraw/")
    (mail,) = mailoutbox
    assert mail.to == ["waits@example.org"]
    assert "a place became free and it is yours" in mail.body
    assert f"/seminars/{made.pk}/" in mail.body


def test_the_link_to_join_online_is_for_those_with_a_place(client, club):
    made = seminar(club, starts=SOON, is_online=True, link="https://meet.example.org/x")
    client.force_login(UserFactory())
    assert "meet.example.org" not in client.get(f"/seminars/{made.pk}/").text
    held = attendee(made)
    client.force_login(held.person)
    assert "meet.example.org" in client.get(f"/seminars/{made.pk}/").text


def test_calling_off_strikes_it_out_in_calendars(as_organiser, club):
    made = seminar(club, starts=SOON)
    as_organiser.post(f"/seminars/{made.pk}/end/", {"state": "called_off"})
    made.refresh_from_db()
    assert made.state == "called_off"
    event = events(as_organiser.get(f"/seminars/{made.pk}/calendar.ics"))[0]
    assert event["STATUS"] == "CANCELLED"
    assert event["SEQUENCE"] == 1


def events(response):
    return icalendar.Calendar.from_ical(response.content).walk("VEVENT")


def test_the_calendar_keeps_the_clock_of_the_place_over_the_change_of_time(
    client, club
):
    """RFC 5545: a local time with its zone; lines of at most 75 octets; text escaped."""
    zone = ZoneInfo("Europe/Dublin")
    # The clocks go back in the night between the two days.
    made = seminar(
        club,
        starts=datetime(2026, 10, 24, 9, tzinfo=zone),
        hours=33,
        time_zone="Europe/Dublin",
        title="Feet, pasterns; caf\u00e9 at noon " + "and a long title " * 3,
        place="Hall, first floor",
    )
    response = client.get(f"/seminars/{made.pk}/calendar.ics")
    assert response["Content-Type"] == "text/calendar; charset=utf-8"
    lines = response.content.split(b"\r\n")
    assert max(map(len, lines)) <= 75
    assert b"BEGIN:VTIMEZONE" in lines
    (event,) = events(response)
    assert str(event["SUMMARY"]) == made.title
    start, end = event["DTSTART"], event["DTEND"]
    assert start.params["TZID"] == "Europe/Dublin"
    assert (start.dt.hour, start.dt.utcoffset()) == (9, timedelta(hours=1))
    assert (end.dt.hour, end.dt.utcoffset()) == (18, timedelta(0))
    assert "attendee" not in response.text.lower()


def test_online_it_is_a_moment(client, club):
    made = seminar(club, starts=SOON, is_online=True)
    (event,) = events(client.get(f"/seminars/{made.pk}/calendar.ics"))
    assert event["DTSTART"].dt == made.starts_at
    assert event["DTSTART"].dt.utcoffset() == timedelta(0)


def test_the_feed_holds_what_is_announced_and_nothing_else(client, club, other_club):
    shown = seminar(club, starts=SOON, title="Shown")
    seminar(club, starts=SOON, title="Prepared", state="prepared")
    seminar(other_club, starts=SOON, title="Elsewhere")
    found = events(client.get(f"/seminars/clubs/{club.slug}/calendar.ics"))
    assert [str(one["SUMMARY"]) for one in found] == ["Shown"]
    assert str(found[0]["UID"]).startswith(f"seminar-{shown.pk}@")


@pytest.mark.parametrize("many", [1, 12])
def test_the_list_takes_as_many_queries_for_many(
    client, club, organiser, many, django_assert_num_queries
):
    client.force_login(organiser)
    for _ in range(many):
        attendee(seminar(club, starts=SOON), organiser)
    client.get("/seminars/")
    with django_assert_num_queries(8):
        client.get("/seminars/")
