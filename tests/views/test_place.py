"""One place on the roster, put right by the organiser; the next step on the seminar's page."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from tests.factories import UserFactory
from tests.seminars import attendee, seminar
from trainer.seminars import certifying, services
from trainer.seminars.models import Attendee, Presence, Seminar

pytestmark = pytest.mark.django_db
SOON = timezone.now().replace(microsecond=0) + timedelta(days=9)


@pytest.fixture
def as_organiser(client, organiser):
    client.force_login(organiser)
    return client


@pytest.fixture
def held(club):
    return seminar(club, hours=6)


def here(place):
    return f"/seminars/{place.seminar_id}/roster/{place.pk}/"


def test_a_stay_that_nobody_noted_is_added_with_a_reason_when_it_is_over(
    as_organiser, organiser, club
):
    began = timezone.now().replace(second=0, microsecond=0) - timedelta(days=2)
    held = seminar(club, starts=began, hours=3, state="over", time_zone="Europe/Dublin")
    place = attendee(held, name="Ann Marsh")
    local = [
        f"{one.astimezone(held.zone):%Y-%m-%dT%H:%M}" for one in (began, held.ends_at)
    ]
    sent = {"do": "stay", "in_at": local[0], "out_at": local[1], "note": ""}
    page = as_organiser.post(here(place), sent)
    assert page.status_code == 422
    page = as_organiser.post(here(place), {**sent, "note": "On the sheet"}, follow=True)
    assert "On the sheet" in page.text
    stay = Presence.objects.get()
    assert (stay.in_at, stay.out_at, stay.by) == (began, held.ends_at, organiser)
    (made,) = certifying.issue(held, by=organiser, now=timezone.now())
    assert made.says["hours"] == 3


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({"out_at": "2020-01-01T09:00"}, "Nobody leaves before they came."),
        ({"out_at": ""}, "This field is required"),
        ({"in_at": "soon"}, "valid date"),
    ],
)
def test_a_stay_that_can_not_be_is_refused(as_organiser, held, sent, said):
    place = attendee(held)
    given = {"do": "stay", "in_at": "2026-05-01T09:00", "out_at": "2026-05-01T10:00"}
    page = as_organiser.post(here(place), {**given, "note": "door", **sent})
    assert page.status_code == 422
    assert said in page.text
    assert not Presence.objects.exists()


def test_name_address_and_number_are_put_right(as_organiser, held):
    place, other = attendee(held), attendee(held, email="other@example.org")
    sent = {
        "do": "person",
        "name": "Ann  Marsh",
        "email": "Ann@example.org",
        "number": "7",
    }
    as_organiser.post(here(place), sent)
    place.refresh_from_db()
    assert (place.name, place.email, place.number) == (
        "Ann Marsh",
        "ann@example.org",
        "7",
    )
    page = as_organiser.post(here(place), {**sent, "email": other.email})
    assert page.status_code == 422
    assert "on the roster already" in page.text
    assert "<h1>Ann Marsh" in page.text.replace('<h1 class="page-title">', "<h1>")


def test_the_own_link_is_shown_for_who_has_no_account_and_renewed(as_organiser, held):
    with_account, without = attendee(held), attendee(held, email="")
    Attendee.objects.filter(pk=without.pk).update(person=None)
    assert with_account.code not in as_organiser.get(here(with_account)).text
    assert f"/seminars/come/{without.code}/" in as_organiser.get(here(without)).text
    as_organiser.post(f"{here(without)}new-link/")
    assert without.code not in as_organiser.get(here(without)).text


def test_the_organiser_gives_a_place_up_and_puts_somebody_in(
    as_organiser, club, mailoutbox, django_capture_on_commit_callbacks
):
    held = seminar(club, starts=SOON, capacity=1)
    first = services.enrol(held, UserFactory(), now=timezone.now())
    second, third = (
        services.enrol(held, UserFactory(), now=timezone.now() + timedelta(seconds=n))
        for n in (1, 2)
    )
    with django_capture_on_commit_callbacks(execute=True):
        as_organiser.post(f"{here(third)}enrol/")
        as_organiser.post(f"{here(first)}give-up/")
    states = [Attendee.objects.get(pk=one.pk).state for one in (first, second, third)]
    assert states == ["withdrawn", "waiting", "enrolled"]
    assert [one.to for one in mailoutbox] == [[third.email]]


def test_the_roster_leads_to_each_place(as_organiser, held):
    place = attendee(held)
    assert here(place) in as_organiser.get(f"/seminars/{held.pk}/roster/").text


# the next step


@pytest.mark.parametrize(
    ("state", "begins_in", "capacity", "step"),
    [
        ("prepared", 9, None, "announce/"),
        ("announced", 9, None, "invitations/"),
        ("announced", 9, 1, "papers/"),
        ("announced", 0.5, 1, "rostrum/"),
        ("announced", -3, None, "end/"),
        ("over", -3, None, "certificates/"),
    ],
)
def test_the_organiser_is_led_to_the_next_step(
    as_organiser, club, state, begins_in, capacity, step
):
    starts = timezone.now() + timedelta(days=begins_in)
    held = seminar(club, starts=starts, state=state, capacity=capacity)
    attendee(held)
    page = as_organiser.get(f"/seminars/{held.pk}/")
    assert page.context["step"].url == f"/seminars/{held.pk}/{step}"
    assert "1 has a place" in page.text


def test_once_certified_the_report_is_next_and_what_is_called_off_has_no_step(
    as_organiser, organiser, club
):
    held = seminar(club, state="over")
    attendee(held).stays.create(in_at=held.starts_at, out_at=held.ends_at)
    certifying.issue(held, by=organiser, now=timezone.now())
    page = as_organiser.get(f"/seminars/{held.pk}/")
    assert page.context["step"].url.endswith("/report/")
    Seminar.objects.filter(pk=held.pk).update(state="called_off")
    assert as_organiser.get(f"/seminars/{held.pk}/").context["step"] is None


@pytest.mark.parametrize("path", ["", "roster/", "certificates/"])
def test_the_organisers_pages_take_as_many_queries_for_many(as_organiser, club, path):
    counts = []
    for many in (2, 20):
        held = seminar(club, parts=[(0, 3)])
        for _ in range(many):
            attendee(held).stays.create(in_at=held.starts_at, out_at=held.ends_at)
        url = f"/seminars/{held.pk}/{path}"
        as_organiser.get(url)
        with CaptureQueriesContext(connection) as found:
            as_organiser.get(url)
        counts.append(len(found))
    assert counts[0] == counts[1]
