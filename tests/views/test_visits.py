"""Attendance from seminar to seminar: of everybody at a club's, and one's own."""

import csv
import io
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from tests.factories import UserFactory
from tests.seminars import attendee, seminar
from trainer.seminars import certifying, keeping
from trainer.seminars.models import Attendee

pytestmark = pytest.mark.django_db
LAST_YEAR = timezone.now().replace(microsecond=0) - timedelta(days=400)
LAST_MONTH = LAST_YEAR + timedelta(days=370)


@pytest.fixture
def first(club):
    return seminar(club, starts=LAST_YEAR, parts=[(0, 3)], title="First", state="over")


@pytest.fixture
def second(club):
    return seminar(club, starts=LAST_MONTH, title="Second", state="over")


def came(held, person=None, hours=2, **more):
    """Somebody who was there for so many hours; `person=False` for nobody with an account."""
    place = attendee(held, person or UserFactory(), **more)
    if person is False:
        Attendee.objects.filter(pk=place.pk).update(person=None)
    if hours:
        out = held.starts_at + timedelta(hours=hours)
        place.stays.create(in_at=held.starts_at, out_at=out)
    return place


@pytest.fixture
def as_organiser(client, organiser):
    client.force_login(organiser)
    return client


def table(response):
    return list(csv.reader(io.StringIO(response.text.lstrip("\ufeff"))))


def here(club, rest=""):
    return f"/seminars/clubs/{club.slug}/attendance/{rest}"


def test_a_person_is_known_again_by_account_address_or_name(
    as_organiser, club, first, second
):
    rosa = UserFactory(name="Rosa", email="rosa@example.org")
    came(first, rosa)
    # On the roster of the second by address alone, which is that of her account.
    came(second, False, name="R. Marsh", email="rosa@example.org")
    came(first, False, name="Ann", email="ann@example.org")
    came(second, False, name="Ann Fell", email="ann@example.org")
    came(first, False, name="Ben", email="", number="7")
    came(second, False, name="ben", email="", number="7")
    came(second, False, name="Ben", email="", number="8")
    rows = as_organiser.get(here(club)).context["page"].object_list
    assert sorted((row["called"], row["times"]) for row in rows) == [
        ("Ann Fell", 2),
        ("Ben", 1),
        ("Rosa", 2),
        ("ben", 2),
    ]


def test_a_person_shows_seminars_hours_parts_and_certificates(
    as_organiser, club, organiser, first, second
):
    person = UserFactory(name="Rosa")
    place = came(first, person, hours=2.6)
    came(second, person, hours=0)
    given = {"by": organiser, "now": timezone.now()}
    (old,) = certifying.issue(first, **given)
    certifying.issue_anew(old, "The name was wrong", **given)
    page = as_organiser.get(here(club, f"{place.pk}/")).text
    assert "At 1 seminar of the club" in page
    assert "2.5 hours in all" in page
    assert "Part 1 2.5" in page
    assert "Certificate 1 withdrawn on" in page
    assert "The name was wrong" in page
    assert "Certificate 2, issued on" in page
    assert "Was not there." in page
    assert "Known again by their account." in page
    until = keeping.kept_until(first)
    assert f"{until.day} {until:%B %Y}" in page


def test_people_are_found_by_name_address_and_number(as_organiser, club, first):
    came(first, False, name="Ann Marsh", email="am@example.org", number="J-17")
    came(first, False, name="Ben Stone", email="")
    for words in ("ann", "marsh ann", "am@example", "j-17"):
        rows = as_organiser.get(here(club), {"q": words}).context["page"].object_list
        assert [row["called"] for row in rows] == ["Ann Marsh"]
    assert "Nobody is called so." in as_organiser.get(here(club), {"q": "zzz"}).text


def test_the_table_is_safe_and_says_certificate_and_how_long_names_are_kept(
    as_organiser, club, organiser, first, second
):
    came(first, False, name="=1+1", email="", number="@x")
    came(second, False, name="Ben", email="", hours=0)
    certifying.issue(first, by=organiser, now=timezone.now())
    head, ben, evil = table(as_organiser.get(here(club, "attendance.csv")))
    row = dict(zip(head, evil, strict=True))
    assert (row["name"], row["number"], row["hours"]) == ("'=1+1", "'@x", "2")
    assert (row["certificate"], row["certificate_state"]) == ("1", "holds")
    assert row["kept_until"] == keeping.kept_until(first).date().isoformat()
    assert row["parts"] == "Part 1: 2"
    assert dict(zip(head, ben, strict=True))["hours"] == "0"
    assert len(table(as_organiser.get(here(club, "attendance.csv"), {"q": "ben"}))) == 2


def test_the_table_of_one_person_holds_theirs_alone(as_organiser, club, first):
    one = came(first, name="Ann")
    came(first, name="Ben")
    found = table(as_organiser.get(here(club, "attendance.csv"), {"person": one.pk}))
    assert [row[0] for row in found[1:]] == ["Ann"]
    assert (
        as_organiser.get(here(club, "attendance.csv"), {"person": "x"}).status_code
        == 404
    )


def test_another_clubs_people_are_not_there(as_organiser, club, other_club):
    elsewhere = came(seminar(other_club, starts=LAST_YEAR, state="over"), name="Ann")
    assert "Ann" not in as_organiser.get(here(club)).text
    assert as_organiser.get(here(club, f"{elsewhere.pk}/")).status_code == 404
    assert as_organiser.get(here(other_club)).status_code == 404
    person = {"person": elsewhere.pk}
    assert as_organiser.get(here(club, "attendance.csv"), person).status_code == 404


def test_names_that_are_taken_out_are_nobodys(as_organiser, club, first):
    came(first, name="Ann Gone")
    keeping.take_names_out(first, timezone.now())
    page = as_organiser.get(here(club)).text
    assert "Gone" not in page
    assert "names are taken out" in page


def test_new_seminars_keep_names_as_long_as_the_club_says(as_organiser, club):
    sent = {"name": club.name, "about": "", "months_kept": 7}
    as_organiser.post(f"/clubs/{club.slug}/edit/", sent)
    form = as_organiser.get(f"/seminars/clubs/{club.slug}/new/").context["form"]
    assert form["months_kept"].value() == 7
    assert "for 7 months" not in as_organiser.get(here(club)).text  # no seminar yet
    seminar(club)
    assert "for 7 months" in as_organiser.get(here(club)).text


# one's own


def test_ones_own_seminars_hours_and_certificate(client, organiser, first, second):
    person = UserFactory()
    came(first, person)
    came(second, person, hours=0)
    (made,) = certifying.issue(first, by=organiser, now=timezone.now())
    client.force_login(person)
    page = client.get("/seminars/mine/").text
    assert page.index("Second") < page.index("First")
    assert "2 hours" in page
    assert f"/seminars/{first.pk}/my-certificate.pdf" in page
    assert f"/seminars/certificates/{made.code}/" in page
    assert "/seminars/mine/" in client.get("/seminars/").text


def test_ones_own_can_be_taken_away(client, first):
    person = UserFactory(name="Rosa")
    came(first, person)
    came(first, name="Ann")
    client.force_login(person)
    head, row = table(client.get("/seminars/mine/seminars.csv"))
    told = dict(zip(head, row, strict=True))
    assert (told["name"], told["seminar"], told["hours"]) == ("Rosa", "First", "2")


def test_nobody_sees_anothers(client, first):
    came(first, name="Ann")
    client.force_login(UserFactory())
    page = client.get("/seminars/mine/").text
    assert "You were at no seminar yet." in page
    assert "First" not in page


# how much is asked for


def counted(client, url):
    client.get(url)
    with CaptureQueriesContext(connection) as found:
        assert client.get(url).status_code == 200
    return len(found)


@pytest.mark.parametrize("rest", ["", "attendance.csv", "person"])
def test_many_people_and_seminars_take_as_many_queries_as_few(
    as_organiser, club, organiser, rest
):
    person, counts, place = UserFactory(), [], None
    for many in (1, 6):
        for n in range(many):
            starts = LAST_YEAR + timedelta(days=n)
            held = seminar(club, starts=starts, state="over", parts=[(0, 1), (1, 2)])
            place = came(held, person)
            for _ in range(many):
                came(held)
            certifying.issue(held, by=organiser, now=timezone.now())
        url = here(club, f"{place.pk}/" if rest == "person" else rest)
        counts.append(counted(as_organiser, url))
    assert counts[0] == counts[1]


def test_ones_own_take_as_many_queries_for_many(client, club, organiser):
    person, counts = UserFactory(), []
    client.force_login(person)
    for many in (1, 6):
        for _ in range(many):
            held = seminar(club, starts=LAST_YEAR, state="over", parts=[(0, 1)])
            came(held, person)
            certifying.issue(held, by=organiser, now=timezone.now())
        counts.append(counted(client, "/seminars/mine/"))
    assert counts[0] == counts[1]
