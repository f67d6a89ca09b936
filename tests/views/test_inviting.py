"""Invitations to a seminar by link: made, used with and without an account, full, used up, withdrawn; one's own link."""

from datetime import timedelta

import pytest
from django.core import mail
from django.test import Client
from django.utils import timezone

from tests.conftest import signed_in
from tests.factories import UserFactory
from tests.seminars import attendee, seminar
from trainer.seminars import certifying, inviting, services
from trainer.seminars.models import Attendee, Seminar, SeminarInvitation

pytestmark = pytest.mark.django_db
SOON = timezone.now().replace(microsecond=0) + timedelta(days=9)


@pytest.fixture
def coming(club):
    return seminar(club, starts=SOON, capacity=2, guests=False)


def link(of, *, places=None, by=None):
    day = of.ends_at.astimezone(of.zone).date()
    return inviting.invite(of, places=places, until=day, by=by)


def by_name(invitation, client=None, **sent):
    """Enrol with a name, as the page's form would; the answer is followed."""
    client, url = client or Client(), invitation.get_absolute_url()
    page = client.get(url)
    given = {"name": "Ann Nobody", "once": page.context["once"], **sent}
    return client.post(url, given, follow=True)


def main(page, email):
    """What the page says, without the address."""
    return page.text.partition("<main")[2].partition("</main>")[0].replace(email, "")


# made and withdrawn


def test_the_organiser_makes_a_link_and_withdraws_it(client, organiser, coming):
    client.force_login(organiser)
    url = f"/seminars/{coming.pk}/invitations/"
    assert "None is open" in client.get(url).text
    day = SOON.date().isoformat()
    told = client.post(url, {"note": "For Moss Edge", "places": "", "until": day})
    made = SeminarInvitation.objects.get()
    assert told.url == f"{url}#invitation-{made.pk}"
    assert (made.places, made.expires_at) == (None, coming.ends_at)
    page = client.get(url).text
    assert f"http://testserver{made.get_absolute_url()}" in page
    assert "For Moss Edge" in page
    assert "For all who have it, used 0 times" in page
    client.post(f"{url}{made.pk}/withdraw/")
    assert made.get_absolute_url() not in client.get(url).text
    assert Client().get(made.get_absolute_url()).status_code == 410


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({"until": "2020-01-01"}, "That day is past."),
        ({"until": "2999-01-01"}, "The seminar is over by then."),
        ({"until": ""}, "This field is required"),
        ({"until": SOON.date().isoformat(), "places": "0"}, "greater than or equal"),
    ],
)
def test_what_no_link_can_have_is_said(client, organiser, coming, sent, said):
    client.force_login(organiser)
    page = client.post(f"/seminars/{coming.pk}/invitations/", sent)
    assert page.status_code == 422
    assert said in page.text


def test_nobody_is_invited_to_what_is_over(client, organiser, club):
    made = seminar(club, state="over")
    client.force_login(organiser)
    page = client.get(f"/seminars/{made.pk}/invitations/").text
    assert "Nobody can enrol any more" in page
    assert "Make the link" not in page


def test_a_link_ends_with_its_day_by_the_clock_of_the_place(club):
    made = seminar(club, starts=SOON, time_zone="Pacific/Auckland")
    day = (SOON - timedelta(days=4)).date()
    found = inviting.invite(made, places=1, until=day, by=None)
    local = found.expires_at.astimezone(made.zone)
    assert (local.date(), local.hour, local.minute) == (day, 23, 59)


# with an account


def test_whoever_has_the_link_enrols_from_any_club_and_none(coming):
    stranger = UserFactory(name="Sten Outside")
    client, url = signed_in(stranger), link(coming).get_absolute_url()
    assert "You are Sten Outside" in client.get(url).text
    assert not coming.attendees.exists()
    page = client.post(url, follow=True)
    assert "You have a place." in page.text
    place = coming.attendees.get()
    assert (place.person, place.state, place.came) == (stranger, "enrolled", "link")
    assert "You have a place" in client.get(url).text


def test_when_it_is_full_they_wait(coming):
    for _ in range(2):
        attendee(coming)
    invitation = link(coming)
    client = signed_in(UserFactory())
    assert (
        "Put me on the waiting list" in client.get(invitation.get_absolute_url()).text
    )
    page = client.post(invitation.get_absolute_url(), follow=True)
    assert "waiting list" in page.text
    assert coming.attendees.waiting().count() == 1


def test_the_same_person_twice_uses_one_place_of_the_link(coming):
    invitation, person = link(coming, places=1), UserFactory()
    for _twice in range(2):
        inviting.accept(invitation, person, now=timezone.now())
    invitation.refresh_from_db()
    assert invitation.used == 1


def test_a_link_that_is_used_up_admits_nobody_and_who_came_keeps_the_place(coming):
    invitation, first = link(coming, places=1), UserFactory()
    inviting.accept(invitation, first, now=timezone.now())
    other = signed_in(UserFactory())
    for answer in (
        other.get(invitation.get_absolute_url()),
        other.post(invitation.get_absolute_url()),
    ):
        assert answer.status_code == 410
        assert "used up" in answer.text
    assert coming.attendees.count() == 1
    assert signed_in(first).get(invitation.get_absolute_url()).status_code == 200


@pytest.mark.parametrize("state", ["prepared", "over", "called_off"])
def test_a_link_enrols_only_for_what_is_announced(coming, state):
    invitation = link(coming)
    Seminar.objects.filter(pk=coming.pk).update(state=state)
    for client in (Client(), signed_in(UserFactory())):
        assert client.get(invitation.get_absolute_url()).status_code == 410
        assert (
            client.post(invitation.get_absolute_url(), {"name": "A"}).status_code == 410
        )
    assert not coming.attendees.exists()


def test_a_link_tells_nothing_of_what_is_not_announced(coming):
    invitation = link(coming)
    Seminar.objects.filter(pk=coming.pk).update(state="prepared", place="Secret hall")
    assert "Secret hall" not in Client().get(invitation.get_absolute_url()).text


# with a name


def test_with_a_name_alone_one_has_a_place_and_a_link_of_ones_own(coming):
    page = by_name(link(coming))
    place = coming.attendees.get()
    assert (place.name, place.person, place.came) == ("Ann Nobody", None, "link")
    assert page.redirect_chain[-1][0] == f"/seminars/come/{place.code}/"
    assert "You have a place." in page.text
    assert f"http://testserver/seminars/come/{place.code}/" in page.text
    assert mail.outbox == []


def test_the_form_sent_twice_is_one_place(coming):
    client, invitation = Client(), link(coming, places=5)
    once = client.get(invitation.get_absolute_url()).context["once"]
    for _twice in range(2):
        by_name(invitation, client, once=once)
    invitation.refresh_from_db()
    assert (coming.attendees.count(), invitation.used) == (1, 1)


def test_with_an_address_the_link_goes_there_and_nowhere_else(
    coming, django_capture_on_commit_callbacks
):
    with django_capture_on_commit_callbacks(execute=True):
        page = by_name(link(coming), email="Ann@Example.org")
    place = coming.attendees.get()
    assert place.email == "ann@example.org"
    assert place.code not in page.text
    (sent,) = mail.outbox
    assert sent.to == ["ann@example.org"]
    assert f"http://testserver/seminars/come/{place.code}/" in sent.body
    assert "you have a place" in sent.body


def test_an_address_that_has_a_place_is_not_given_away(
    coming, django_capture_on_commit_callbacks
):
    held = attendee(coming, email="ann@example.org")
    invitation = link(coming, places=5)
    with django_capture_on_commit_callbacks(execute=True):
        known = by_name(invitation, email="ann@example.org", name="Somebody else")
        new = by_name(invitation, email="new@example.org")
    assert main(known, "ann@example.org") == main(new, "new@example.org")
    invitation.refresh_from_db()
    assert (coming.attendees.count(), invitation.used) == (2, 1)
    held.refresh_from_db()
    assert held.name != "Somebody else"
    # An account's place is seen to with the account: its own link is in no mail.
    assert held.code not in mail.outbox[0].body
    assert f"/seminars/{coming.pk}/" in mail.outbox[0].body


def test_a_place_that_an_account_gave_up_is_given_back_by_nobody_else(
    coming, django_capture_on_commit_callbacks
):
    held = attendee(coming, email="ann@example.org", state=Attendee.State.WITHDRAWN)
    invitation = link(coming, places=5)
    with django_capture_on_commit_callbacks(execute=True):
        page = by_name(invitation, email="ann@example.org")
    assert "Look at your mail" in page.text
    held.refresh_from_db()
    assert held.state == "withdrawn"
    assert "you have given up your place" in mail.outbox[0].body
    assert held.code not in mail.outbox[0].body


def test_whoever_waits_without_account_hears_and_comes_by_their_own_link(
    coming, django_capture_on_commit_callbacks
):
    first = attendee(coming)
    attendee(coming)
    with django_capture_on_commit_callbacks(execute=True):
        by_name(link(coming), email="ann@example.org")
    waits = coming.attendees.waiting().get()
    assert "on the waiting list" in mail.outbox[0].body
    with django_capture_on_commit_callbacks(execute=True):
        signed_in(first.person).post(f"/seminars/{coming.pk}/withdraw/")
    assert f"/seminars/come/{waits.code}/" in mail.outbox[1].body
    waits.refresh_from_db()
    assert waits.state == "enrolled"


def test_too_many_places_from_one_device_have_to_wait(coming):
    client, invitation = Client(), link(coming)
    answers = [by_name(invitation, client).status_code for _n in range(11)]
    assert answers == [200] * 10 + [429]


def test_an_unknown_link_is_a_404(client):
    assert client.get("/seminars/invited/nothing/").status_code == 404


# a place by its own link


def test_before_the_day_the_own_link_says_what_is_coming_and_lets_nobody_in(coming):
    place = attendee(coming, person=None, name="Ann", email="")
    place.person = None
    place.save()
    client, url = Client(), f"/seminars/come/{place.code}/"
    page = client.get(url).text
    assert "Ann, who has a place" in page
    assert "go on to the room" not in page
    client.post(url)
    place.refresh_from_db()
    assert place.person is None


def test_the_own_link_gives_the_place_up_and_the_next_moves_up(coming):
    place, other = attendee(coming, email=""), attendee(coming)
    Attendee.objects.filter(pk=place.pk).update(person=None)
    waits = services.enrol(coming, UserFactory(), now=timezone.now())
    assert waits.state == "waiting"
    client, url = Client(), f"/seminars/come/{place.code}/give-up/"
    assert "Give it up" in client.get(url).text
    assert client.post(url).url == f"/seminars/{coming.pk}/"
    waits.refresh_from_db()
    assert waits.state == "enrolled"
    assert client.get(f"/seminars/come/{place.code}/").status_code == 404
    # The place of an account is given up with the account.
    assert Client().post(f"/seminars/come/{other.code}/give-up/").url == (
        f"/seminars/{coming.pk}/withdraw/"
    )
    other.refresh_from_db()
    assert other.state == "enrolled"


def test_what_is_called_off_is_said_on_the_own_link(club):
    place = attendee(seminar(club, state="called_off"), email="")
    Attendee.objects.filter(pk=place.pk).update(person=None)
    page = Client().get(f"/seminars/come/{place.code}/")
    assert "It is called off." in page.text
    assert "go on to the room" not in page.text
    Client().post(f"/seminars/come/{place.code}/")
    place.refresh_from_db()
    assert place.person is None


def test_afterwards_the_own_link_leads_to_the_certificate(club, organiser):
    held = seminar(club, state="over")
    place = attendee(held, name="Ann", email="")
    Attendee.objects.filter(pk=place.pk).update(person=None)
    place.stays.create(in_at=held.starts_at, out_at=held.ends_at)
    certifying.issue(held, by=organiser, now=timezone.now())
    client, url = Client(), f"/seminars/come/{place.code}/"
    assert "what came of it" in client.get(url).text
    page = client.post(url, follow=True)
    assert page.redirect_chain == [(f"/seminars/{held.pk}/practice/", 302)]
    certificate = f"/seminars/{held.pk}/my-certificate.pdf"
    assert certificate in page.text
    assert client.get(certificate).content.startswith(b"%PDF-")
    # A guest's visit, which may become an account.
    assert "Make an account of the visit" in page.text


@pytest.mark.parametrize("many", [1, 12])
def test_the_page_of_links_takes_as_many_queries_for_many(
    client, organiser, coming, many, django_assert_num_queries
):
    client.force_login(organiser)
    for _ in range(many):
        link(coming)
    url = f"/seminars/{coming.pk}/invitations/"
    client.get(url)
    with django_assert_num_queries(QUERIES):
        client.get(url)


QUERIES = 5
