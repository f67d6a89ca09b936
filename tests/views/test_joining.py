"""Signing in to the room: the code, guests and where they may go, personal links, a visit that becomes an account."""

import io
import re
import time
from datetime import timedelta

import openpyxl
import pytest
from django.core import mail
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone

from quizzes.models import Attempt
from tests.conftest import signed_in
from tests.factories import PASSWORD, UserFactory
from tests.seminars import attendee, seminar, sitting
from trainer.accounts.erasing import erase
from trainer.accounts.models import User
from trainer.seminars import services, sittings, throttle
from trainer.seminars.models import Attendee, Certificate, Presence, Sitting

pytestmark = pytest.mark.django_db


@pytest.fixture
def held(club):
    return seminar(club)


@pytest.fixture
def guest(held):
    """A client signed in as a guest named Gwen Pale."""
    client = Client()
    client.post(f"/seminars/join/{held.join_code}/", {"name": "Gwen Pale"})
    return client


def test_the_code_leads_to_the_seminar_and_signs_nobody_in(client, held):
    typed = held.join_code.lower()
    told = client.post("/seminars/join/", {"code": f"{typed[:3]} {typed[3:]}"})
    assert told.url == f"/seminars/join/{held.join_code}/"
    page = client.get(told.url)
    assert held.title in page.text
    assert not Presence.objects.exists()
    assert not User.objects.filter(is_guest=True).exists()


def test_with_an_account_a_button_signs_in_and_checks_in(as_bob, bob, held):
    url = f"/seminars/join/{held.join_code}/"
    assert "You are Bob Trainee" in as_bob.get(url).text
    for _twice in range(2):
        assert as_bob.post(url).url == f"/seminars/{held.pk}/room/"
    stay = Presence.objects.get()
    assert (stay.attendee.person, stay.attendee.came) == (bob, "room")


def test_a_guest_comes_in_by_name_and_sees_the_room(guest, held):
    person = User.objects.get(is_guest=True)
    assert (person.name, person.has_usable_password()) == ("Gwen Pale", False)
    assert Presence.objects.get().attendee.name == "Gwen Pale"
    assert "You are Gwen Pale" in guest.get(f"/seminars/{held.pk}/room/").text


def test_a_club_without_guests_asks_for_an_account(club, client):
    held = seminar(club, guests=False)
    url = f"/seminars/join/{held.join_code}/"
    assert 'name="name"' not in client.get(url).text
    assert client.post(url, {"name": "Gwen"}).status_code == 422
    assert not User.objects.filter(is_guest=True).exists()


@pytest.mark.parametrize(
    "url",
    [
        "/",
        "/modules/",
        "/classes/",
        "/record/",
        "/clubs/",
        "/clubs/new/",
        "/you/profile/",
        "/account/password/set/",
        "/account/password/change/",
        "/account/email/",
        "/account/2fa/",
        "/seminars/",
        "/workshop/",
    ],
)
def test_guests_reach_the_room_and_nothing_else(guest, url):
    for answer in (guest.get(url), guest.post(url, {"email": "g@example.org"})):
        assert answer.status_code in (302, 404)
        assert answer.status_code == 404 or answer.url == "/seminars/as-guest/"


def test_guests_enrol_nowhere_and_see_no_other_room(guest, club):
    other = seminar(club, guests=False)
    assert guest.post(f"/seminars/{other.pk}/enrol/").url == "/seminars/as-guest/"
    assert guest.get(f"/seminars/{other.pk}/room/").status_code == 404
    assert guest.post(f"/seminars/join/{other.join_code}/").status_code == 422


# wrong codes


def miss(client):
    return client.post("/seminars/join/", {"code": "222222"}).status_code


def test_ten_wrong_codes_make_a_device_wait_and_not_its_hall(client, held):
    assert [miss(client) for _n in range(11)] == [422] * 10 + [429]
    held_back = client.get(f"/seminars/join/{held.join_code}/")
    assert held_back.status_code == 429
    assert held_back["Retry-After"]
    other = Client()
    assert other.get(f"/seminars/join/{held.join_code}/").status_code == 200


def test_without_cookies_the_address_is_what_counts(held):
    answers = {miss(Client()) for _n in range(301)}
    assert answers == {422, 429}


def test_the_time_of_a_limit_runs_from_the_first_miss(client, monkeypatch):
    kept = []
    monkeypatch.setattr(throttle.cache, "set", lambda *said: kept.append(said))
    at = time.time()
    monkeypatch.setattr(throttle.time, "time", lambda: at)
    miss(client)
    # As the cache has it a minute before the time is up.
    until = at + 60
    counted = {key: (1, until) for key, _count, _seconds in kept}
    monkeypatch.setattr(throttle.cache, "get_many", lambda keys: counted)
    miss(client)
    assert [(*count, left) for _key, count, left in kept] == [
        *[(1, at + 600, 600)] * 2,
        *[(2, until, 60)] * 2,
    ]


def test_right_codes_never_make_anybody_wait(held):
    url = f"/seminars/join/{held.join_code}/"
    assert {Client().get(url).status_code for _n in range(40)} == {200}


def test_links_with_a_wrong_code_count_as_well(client):
    answers = [client.get("/seminars/join/222222/").status_code for _n in range(11)]
    assert answers == [404] * 10 + [429]
    assert Client().get("/seminars/come/nobody/").status_code == 404


# personal links


def test_a_guests_link_goes_on_elsewhere_once_the_button_is_pressed(guest, held):
    place = Attendee.objects.get()
    url = f"/seminars/come/{place.code}/"
    assert url in guest.get("/seminars/as-guest/").text
    other = Client()
    assert "go on" in other.get(url).text
    assert other.get(f"/seminars/{held.pk}/room/").status_code == 302  # to sign in
    assert other.post(url).url == f"/seminars/{held.pk}/room/"
    assert "You are Gwen Pale" in other.get(f"/seminars/{held.pk}/room/").text


def test_the_roster_lets_somebody_in_who_has_no_account(client, held):
    place = services.add_to_roster(held, name="Ann Marsh", now=timezone.now())
    client.post(f"/seminars/come/{place.code}/")
    assert client.get(f"/seminars/{held.pk}/room/").status_code == 200
    place.refresh_from_db()
    assert place.person.is_guest


def test_a_link_is_no_way_around_a_password(client, held):
    place = attendee(held)
    client.post(f"/seminars/come/{place.code}/")
    answer = client.get(f"/seminars/{held.pk}/room/")
    assert answer.url.startswith("/account/login/")


def test_an_old_link_lets_nobody_in(client, guest, held):
    place = Attendee.objects.get()
    services.renew_code(place)
    old = Attendee.objects.get().code
    services.renew_code(place)
    assert client.post(f"/seminars/come/{old}/").status_code == 404


# leaving


def test_checking_out_ends_the_stay_and_the_code_begins_another(guest, held):
    assert guest.post(f"/seminars/{held.pk}/check-out/").status_code == 302
    assert Presence.objects.get().out_at
    page = guest.get(f"/seminars/{held.pk}/room/").text
    assert "your hours do not count now" in page
    guest.post(f"/seminars/join/{held.join_code}/")
    assert Presence.objects.running().count() == 1


# a visit becomes an account


def become_account(client, **more):
    sent = {
        "name": "Gwen Pale",
        "email": "gwen@example.org",
        "password1": PASSWORD,
        **more,
    }
    return client.post("/seminars/as-guest/", sent, follow=True)


def placed(client, held):
    one = sitting(held, open=True)
    sent = {"sitting": one.pk, "placing": "11-22-33-44"}
    client.post(f"/seminars/{held.pk}/room/hand-in/", sent)
    sittings.close(one, now=timezone.now())
    return sittings.show(Sitting.objects.get(pk=one.pk), now=timezone.now())


def test_a_visit_becomes_an_account_and_loses_nothing(guest, held):
    placed(guest, held)
    assert not Attempt.objects.exists()
    person = User.objects.get(is_guest=True)
    page = become_account(guest)
    person.refresh_from_db()
    assert person.is_guest  # until the address is confirmed
    code = re.search(r"^\s*([A-Z0-9-]{6,})\s*$", mail.outbox[-1].body, re.M)[1]
    before = guest.session.session_key
    done = guest.post(page.request["PATH_INFO"], {"code": code}, follow=True)
    assert done.status_code == 200
    assert guest.session.session_key != before
    person.refresh_from_db()
    assert not person.is_guest
    assert person.email == "gwen@example.org"
    assert Attempt.objects.get().trainee == person
    assert Attendee.objects.get().email == "gwen@example.org"
    assert guest.get("/record/").status_code == 200
    assert "Every pair" in guest.get(f"/seminars/{held.pk}/room/").text


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"password1": "password"}, "too common"),
        ({"password1": "short"}, "too short"),
        ({"email": "nonsense"}, "name@example.org"),
        ({"name": ""}, "required"),
    ],
)
def test_an_account_of_a_visit_follows_the_rules_of_every_account(guest, more, said):
    page = become_account(guest, **more)
    assert page.status_code == 422
    assert said in page.text
    assert User.objects.get(is_guest=True).email.endswith("@guest.invalid")


def test_an_address_that_has_an_account_is_not_told_and_the_visit_stays(guest):
    UserFactory(email="gwen@example.org", verified=True)
    new = become_account(guest, email="new@example.org").redirect_chain
    place = Attendee.objects.get()
    again = Client()
    again.post(f"/seminars/come/{place.code}/")
    taken = become_account(again).redirect_chain
    assert taken == new
    assert User.objects.get(is_guest=True).name == "Gwen Pale"


# erasing


def test_who_is_erased_is_in_no_room_any_more(held, bob):
    place = attendee(held, bob)
    services.check_in(place, now=timezone.now())
    Certificate.objects.create(
        seminar=held,
        attendee=place,
        number=1,
        says={"name": "Bob Trainee"},
        issued_at=timezone.now(),
    )
    erase(bob, now=timezone.now())
    assert not Attendee.objects.exists()
    kept = Certificate.objects.get()
    assert "Bob" not in str(kept.says)
    assert kept.withdrawn_at


# the roster


def test_the_organiser_puts_people_in_checks_them_in_and_corrects(club, organiser):
    client = signed_in(organiser)
    starts = timezone.now().replace(microsecond=0) - timedelta(hours=3)
    held = seminar(club, starts=starts, parts=[(0, 1), (1, 3)])
    url = f"/seminars/{held.pk}/roster/"
    sent = {"name": "Ann Marsh", "email": "Ann@example.org", "number": "17"}
    assert client.post(url, sent).status_code == 302
    again = client.post(url, {**sent, "name": "Anne"})
    assert again.status_code == 422
    assert "on the roster already" in again.text
    place = Attendee.objects.get()
    client.post(f"{url}{place.pk}/in/")
    stay = Presence.objects.get()
    assert stay.by == organiser
    corrected = client.post(
        f"{url}stays/{stay.pk}/",
        {
            "in_at": (starts + timedelta(minutes=30)).strftime("%Y-%m-%dT%H:%M:%S"),
            "out_at": (starts + timedelta(hours=2)).strftime("%Y-%m-%dT%H:%M:%S"),
            "note": "came late, left early",
        },
    )
    assert corrected.status_code == 302
    page = client.get(url, {"q": "17"}).text
    assert "came late, left early" in page
    cells = re.findall(r'<td class="number"[^>]*>([\d.]+)</td>', page)
    assert cells == ["0.5", "1", "1.5"]
    assert "Nobody on the roster is called so." in client.get(url, {"q": "zz"}).text


def test_a_guest_can_end_the_visit_and_is_gone(guest, mailoutbox):
    assert "What goes" in guest.get("/seminars/as-guest/erase/").text
    assert guest.post("/seminars/as-guest/erase/").status_code == 302
    assert not User.objects.filter(is_guest=True).exists()
    assert not Attendee.objects.exists()
    assert not mailoutbox
    assert guest.get("/seminars/").url.startswith("/account/login/")


# the roster as a table


CSV = (
    "Name;E-mail;Email;Number\r\nAnn Marsh;;ann@example.org;17\r\nBo;;nonsense;\r\n;;c@example.org;\r\n"
    "Ann again;;ANN@example.org;\r\nDee Known;;known@example.org;\r\nEd Plain;;;9\r\n"
)


def workbook():
    book = openpyxl.Workbook()
    for row in (
        ["name", "email", "number"],
        ["Ann Marsh", None, 17.0],
        ["=1+1", "", ""],
    ):
        book.active.append(row)
    written = io.BytesIO()
    book.save(written)
    return written.getvalue()


def looked_at(client, held, data, name="roster.csv"):
    sent = {"table": SimpleUploadedFile(name, data)}
    return client.post(f"/seminars/{held.pk}/roster/from-a-table/", sent)


def hidden(page):
    return re.search(r'name="rows" value="([^"]+)"', page.text)[1]


def test_a_table_is_shown_before_anything_is_changed(as_organiser, held):
    services.add_to_roster(
        held, name="Dee", email="known@example.org", now=timezone.now()
    )
    page = looked_at(as_organiser, held, CSV.encode())
    for said in (
        "Line 3: nonsense is no e-mail address.",
        "Line 4: the name is missing.",
        "Line 5: the same as line 2.",
        "2 would be added",
        "passed over: Dee.",
    ):
        assert said in " ".join(page.text.split())
    assert held.attendees.count() == 1
    url = f"/seminars/{held.pk}/roster/from-a-table/"
    for _twice in range(2):
        told = as_organiser.post(url, {"rows": hidden(page)})
        assert told.url == f"/seminars/{held.pk}/roster/"
    names = set(held.attendees.values_list("name", "number"))
    assert names == {("Dee", ""), ("Ann Marsh", "17"), ("Ed Plain", "9")}
    # The same table once more: those without an address are known by name and number.
    again = " ".join(looked_at(as_organiser, held, CSV.encode()).text.split())
    assert "0 would be added" in again
    assert "passed over: Ann Marsh, Dee, Ed Plain." in again


def test_a_workbook_is_read_as_well_and_nothing_becomes_a_formula(as_organiser, held):
    page = looked_at(as_organiser, held, workbook(), "roster.xlsx")
    as_organiser.post(
        f"/seminars/{held.pk}/roster/from-a-table/", {"rows": hidden(page)}
    )
    assert held.attendees.get(name="Ann Marsh").number == "17"
    services.add_to_roster(held, name='=HYPERLINK("x")', now=timezone.now())
    table = as_organiser.get(f"/seminars/{held.pk}/roster/roster.csv").content.decode()
    assert "'=HYPERLINK" in table
    assert not re.search(r'(^|,)"?=', table, re.M)


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"nothing,here\n1,2\n", "column name is missing"),
        (b"PK\x03\x04broken", "read. Save it as CSV"),
        (b"name\n" + b"A\n" * 1001, "at most 1000"),
    ],
)
def test_what_is_no_roster_is_refused(as_organiser, held, data, said):
    page = looked_at(as_organiser, held, data)
    assert page.status_code == 422
    assert said in page.text


def test_rows_of_another_seminar_or_by_hand_are_refused(as_organiser, held, club):
    page = looked_at(as_organiser, held, CSV.encode())
    other = seminar(club)
    for rows in (hidden(page), "made-up"):
        as_organiser.post(f"/seminars/{other.pk}/roster/from-a-table/", {"rows": rows})
    assert not other.attendees.exists()
