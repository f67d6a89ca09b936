"""Pages of clubs, with a plain client: everything here works without a script."""

import re
from datetime import timedelta

import pytest
from django.core import mail
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from tests.conftest import signed_in
from tests.factories import (
    PASSWORD,
    AttemptFactory,
    InvitationFactory,
    MembershipFactory,
    ModuleFactory,
    RevisionFactory,
    UserFactory,
)
from trainer.accounts.models import User
from trainer.clubs.models import Club, Invitation, Role

TARN = "/clubs/tarn-valley/"


def roles_of(club, user):
    return set(club.memberships.filter(user=user).values_list("role", flat=True))


def test_list_shows_own_clubs_with_roles(as_bob, club, other_club):
    page = as_bob.get("/clubs/").text
    assert club.name in page
    assert "trainee" in page
    assert other_club.name not in page


def test_without_a_club_the_list_says_what_to_do(as_stranger):
    page = as_stranger.get("/clubs/").text
    assert "You belong to no club yet" in page
    assert 'href="/clubs/found/"' in page


def test_anybody_founds_a_club_and_can_start(as_stranger, stranger):
    data = {"name": "Fell  Top\nDrovers", "about": "We meet on Sundays."}
    answer = as_stranger.post("/clubs/found/", data)
    assert answer.status_code == 302
    assert answer.url == "/clubs/fell-top-drovers/"
    club = Club.objects.get(name="Fell Top Drovers")
    assert roles_of(club, stranger) == {Role.ORGANISER, Role.MENTOR}
    assert "We meet on Sundays." in as_stranger.get(answer.url).text


@pytest.mark.parametrize("name", ["", "Tarn Valley Sheepdog Club", "x" * 121])
def test_bad_name_keeps_what_was_typed(as_stranger, club, name):
    answer = as_stranger.post("/clubs/found/", {"name": name, "about": "Our words"})
    assert answer.status_code == 422
    assert "Our words" in answer.text
    assert "<title>Error:" in answer.text
    assert Club.objects.count() == 1


def test_trainee_sees_neither_people_nor_invitations(as_bob, bob, alice, club):
    InvitationFactory(club=club)
    page = as_bob.get(TARN).text
    assert alice.name not in page
    assert "/clubs/invitations/" not in page
    assert "/members/" not in page


def test_mentor_sees_people_without_addresses(as_alice, bob):
    page = as_alice.get(TARN).text
    assert bob.name in page
    assert bob.email not in page
    assert "/members/" not in page


def test_organiser_sees_people_addresses_and_open_links(as_organiser, bob, club):
    open_link = InvitationFactory(club=club)
    used_up = InvitationFactory(club=club, used=1)
    page = as_organiser.get(TARN).text
    assert bob.email in page
    assert f"http://testserver/clubs/invitations/{open_link.code}/" in page
    assert used_up.code not in page


def test_invitations_stand_above_the_people_with_for_whom_they_are(as_organiser, bob):
    data = {"role": "trainee", "places": "3", "note": "Tuesday's course"}
    as_organiser.post(f"{TARN}invitations/create/", data)
    link = Invitation.objects.get()
    page = as_organiser.get(TARN).text
    assert page.index("Tuesday&#x27;s course") < page.index(bob.email)
    assert f'data-copy="link-{link.pk}"' in page
    assert "course" not in as_organiser.get(f"/clubs/invitations/{link.code}/").text


def test_whoever_is_invited_learns_who_will_see_name_and_address(as_stranger, client):
    link = InvitationFactory()
    for each in (client, as_stranger):
        page = each.get(f"/clubs/invitations/{link.code}/").text
        assert "organisers your e-mail address too" in page


def test_people_are_paged(as_organiser, club):
    for number in range(60):
        MembershipFactory(club=club, user=UserFactory(name=f"Trainee {number:02}"))
    first, second = as_organiser.get(TARN).text, as_organiser.get(f"{TARN}?page=2").text
    assert "61 people" in first
    assert "Trainee 48" in first
    assert "Trainee 55" not in first
    assert "Trainee 55" in second


def queries(client, url):
    with CaptureQueriesContext(connection) as counted:
        assert client.get(url).status_code == 200
    return len(counted)


@pytest.mark.parametrize("url", ["/clubs/", TARN])
def test_queries_do_not_grow_with_rows(as_organiser, organiser, club, url):
    as_organiser.get(url)  # the first request of a session notes the time
    few = queries(as_organiser, url)
    for _ in range(8):
        MembershipFactory(club=club)
        InvitationFactory(club=club)
        MembershipFactory(user=organiser)
    assert queries(as_organiser, url) == few


def test_organiser_makes_a_link_for_a_group(as_organiser, organiser, club):
    data = {"role": "trainee", "places": "25"}
    answer = as_organiser.post(f"{TARN}invitations/create/", data)
    assert answer.status_code == 302
    made = Invitation.objects.get()
    assert (made.club, made.made_by, made.places) == (club, organiser, 25)
    days = (made.expires_at - timezone.now()) / timedelta(days=1)
    assert 13.9 < days <= 14


@pytest.mark.parametrize(
    ("role", "places", "said"),
    [
        ("mentor", "2", "invited one at a time"),
        ("trainee", "0", "greater than or equal to 1"),
        ("trainee", "201", "less than or equal to 200"),
        ("judge", "1", "Select a valid choice"),
    ],
)
def test_impossible_link_is_refused_in_words(as_organiser, role, places, said):
    data = {"role": role, "places": places}
    answer = as_organiser.post(f"{TARN}invitations/create/", data)
    assert answer.status_code == 422
    assert said in answer.text
    assert not Invitation.objects.exists()


def test_withdrawn_link_says_so(as_organiser, client, club):
    link = InvitationFactory(club=club)
    as_organiser.post(f"{TARN}invitations/{link.pk}/withdraw/")
    answer = client.get(link.get_absolute_url())
    assert answer.status_code == 410
    assert "admits nobody any more" in answer.text
    assert link.code not in as_organiser.get(TARN).text


def test_link_of_another_club_cannot_be_withdrawn(as_organiser, other_club):
    link = InvitationFactory(club=other_club)
    answer = as_organiser.post(f"{TARN}invitations/{link.pk}/withdraw/")
    assert answer.status_code == 404


def test_link_shows_club_and_role_to_anybody(client, club):
    link = InvitationFactory(club=club, role=Role.MENTOR)
    page = client.get(link.get_absolute_url()).text
    assert club.name in page
    assert "as a mentor" in page
    way = f"?next=/clubs/invitations/{link.code}/"
    assert f'href="/account/signup/{way}"' in page
    assert f'href="/account/login/{way}"' in page


def test_unknown_link_is_not_found(client, db):
    assert client.get("/clubs/invitations/aaaaaaaaaaaa/").status_code == 404


def test_looking_at_a_link_uses_nothing(as_stranger, stranger, club):
    link = InvitationFactory(club=club)
    as_stranger.get(link.get_absolute_url())
    link.refresh_from_db()
    assert link.used == 0
    assert roles_of(club, stranger) == set()


def test_joining_takes_two_presses_as_one(as_stranger, stranger, club):
    link = InvitationFactory(club=club)
    for _ in range(2):
        answer = as_stranger.post(link.get_absolute_url())
        assert answer.status_code == 302
        assert answer.url == TARN
    assert roles_of(club, stranger) == {Role.TRAINEE}


def test_used_up_link_says_so_to_the_next(as_charlie, club):
    link = InvitationFactory(club=club, used=1)
    answer = as_charlie.post(link.get_absolute_url())
    assert answer.status_code == 410
    assert "Ask the club for a new one" in answer.text


def test_who_belongs_already_is_led_to_the_club(as_bob, club):
    page = as_bob.get(InvitationFactory(club=club).get_absolute_url()).text
    assert "You belong to this club already" in page
    assert f'href="{TARN}"' in page


def test_joining_without_an_account_leads_through_sign_up_and_back(client, club):
    """From the link to the club: sign up, type the code of the mail, press join."""
    link = InvitationFactory(club=club).get_absolute_url()
    assert client.post(link).url == f"/account/login/?next={link}"
    data = {
        "name": "Nell New",
        "email": "nell@example.org",
        "password1": PASSWORD,
        "next": link,
    }
    assert client.post("/account/signup/", data).url == "/account/confirm-email/"
    code = re.search(r"^\w{4}-\w{4}$", mail.outbox[0].body, re.MULTILINE).group()
    answer = client.post("/account/confirm-email/", {"code": code})
    assert (answer.status_code, answer.url) == (302, link)
    assert client.post(link).url == TARN
    assert roles_of(club, User.objects.get(name="Nell New")) == {Role.TRAINEE}


def test_joining_leads_through_sign_in_and_back(client, club):
    person = UserFactory(verified=True)
    link = InvitationFactory(club=club).get_absolute_url()
    data = {"login": person.email, "password": PASSWORD, "next": link}
    assert client.post("/account/login/", data).url == link


def test_organiser_gives_and_takes_roles(as_organiser, club, bob):
    url = f"{TARN}members/{bob.pk}/"
    assert 'value="trainee" id="id_roles_0" checked' in as_organiser.get(url).text
    as_organiser.post(url, {"roles": ["trainee", "mentor"]})
    assert roles_of(club, bob) == {Role.TRAINEE, Role.MENTOR}
    assert "Take Bob Trainee out of the club" in as_organiser.get(url).text
    asked = as_organiser.post(url, {})
    assert "Take Bob Trainee out of the club?" in asked.text
    assert "leaves the club" in asked.text
    assert roles_of(club, bob) == {Role.TRAINEE, Role.MENTOR}
    assert as_organiser.post(url, {"leave": "1"}).status_code == 302
    assert roles_of(club, bob) == set()


def test_links_that_would_admit_again_are_withdrawn_if_ticked(as_organiser, club, bob):
    url = f"{TARN}members/{bob.pk}/"
    assert "To come back takes a new invitation" in as_organiser.post(url, {}).text
    group = InvitationFactory(club=club, places=9, note="Course")
    kept = InvitationFactory(club=club)
    asked = as_organiser.post(url, {}).text
    assert "To come back takes a new invitation" not in asked
    assert "9 places left of 9: Course" in " ".join(asked.split())
    elsewhere = InvitationFactory()
    ticked = [group.pk, elsewhere.pk, "x"]
    done = as_organiser.post(url, {"leave": "1", "withdraw": ticked}, follow=True)
    assert "Bob Trainee is out of the club." in done.text
    still_open = Invitation.objects.open(timezone.now())
    assert set(still_open) == {kept, elsewhere}


def test_saving_roles_says_whose_and_lands_at_the_row(as_organiser, club):
    people = [UserFactory(name=f"Trainee {number:02}") for number in range(60)]
    for person in people:
        MembershipFactory(club=club, user=person)
    for person, page in ((people[0], 1), (people[-1], 2)):
        url = f"{TARN}members/{person.pk}/"
        done = as_organiser.post(url, {"roles": ["trainee", "mentor"]})
        assert done.url == f"{TARN}?page={page}#person-{person.pk}"
        landed = as_organiser.get(done.url).text
        assert f"{person.name} is in the club as: trainee, mentor." in landed
        assert f'id="person-{person.pk}"' in landed


def test_people_are_found_by_name_and_by_organisers_by_address(
    as_organiser, as_alice, club
):
    assert 'type="search"' not in as_organiser.get(TARN).text
    for number in range(25):
        user = UserFactory(name=f"Trainee {number:02}", email=f"t{number}@example.org")
        MembershipFactory(club=club, user=user)
    page = as_organiser.get(f"{TARN}?q=trainee+07").text
    assert "Trainee 07" in page
    assert "Trainee 08" not in page
    assert "One person found." in page
    assert "27 people" in page
    assert "Trainee 11" in as_organiser.get(f"{TARN}?q=t11@").text
    assert "0 people found." in as_alice.get(f"{TARN}?q=t11@").text


def test_making_a_link_lands_at_it_and_says_how_many_places_are_left(
    as_organiser, as_stranger
):
    data = {"role": "trainee", "places": "2"}
    url = as_organiser.post(f"{TARN}invitations/create/", data).url
    link = Invitation.objects.get()
    assert url == f"{TARN}#invitation-{link.pk}"
    assert f'id="invitation-{link.pk}"' in as_organiser.get(TARN).text
    as_stranger.post(link.get_absolute_url())
    page = " ".join(as_organiser.get(TARN).text.split())
    assert "As trainee, one place left of 2" in page
    assert "Mentors teach, make classes" in page


def test_who_has_joined_is_told_where_to_start(as_bob, bob, as_alice, club):
    assert "No module stands here yet." in as_bob.get(TARN).text
    module = ModuleFactory(club=club, breed__name="Fell Drover")
    page = as_bob.get(TARN).text
    assert "Start here" in page
    assert f'href="/modules/{module.pk}/"' in page
    assert "Start here" not in as_alice.get(TARN).text
    revision = RevisionFactory(exercise__module=module)
    AttemptFactory(revision=revision, trainee=bob)
    assert "Start here" not in as_bob.get(TARN).text


def test_last_organiser_is_told_what_to_do_first(as_organiser, organiser, club):
    url = f"{TARN}members/{organiser.pk}/"
    answer = as_organiser.post(url, {"roles": ["mentor"]})
    assert answer.status_code == 422
    assert "needs at least one organiser" in answer.text
    assert roles_of(club, organiser) == {Role.ORGANISER}


def test_roles_of_a_person_outside_the_club_are_not_found(as_organiser, charlie):
    url = f"{TARN}members/{charlie.pk}/"
    assert as_organiser.get(url).status_code == 404
    assert as_organiser.post(url, {"roles": ["trainee"]}).status_code == 404


def test_mentor_cannot_change_roles(as_alice, alice, club, bob):
    answer = as_alice.post(f"{TARN}members/{alice.pk}/", {"roles": ["organiser"]})
    assert answer.status_code == 404
    assert roles_of(club, alice) == {Role.MENTOR}


def test_leaving_asks_once(as_bob, bob, club):
    assert "Leave the club" in as_bob.get(f"{TARN}leave/").text
    assert roles_of(club, bob) == {Role.TRAINEE}
    assert as_bob.post(f"{TARN}leave/").url == "/clubs/"
    assert roles_of(club, bob) == set()
    assert as_bob.get(TARN).status_code == 404


def test_last_organiser_cannot_leave(as_organiser, organiser, club):
    page = as_organiser.post(f"{TARN}leave/", follow=True).text
    assert "needs at least one organiser" in page
    assert roles_of(club, organiser) == {Role.ORGANISER}


def test_organiser_changes_name_and_description(as_organiser, club):
    sent = {"name": "Tarn", "about": "New", "months_kept": 12}
    answer = as_organiser.post(f"{TARN}edit/", sent)
    assert answer.url == TARN
    club.refresh_from_db()
    assert (club.name, club.about, club.slug) == ("Tarn", "New", "tarn-valley")
    assert as_organiser.post(f"{TARN}edit/", {"name": ""}).status_code == 422


def test_founding_many_clubs_is_slowed_down(as_stranger):
    for number in range(5):
        answer = as_stranger.post("/clubs/found/", {"name": f"Club of {number}"})
        assert answer.status_code == 302
    answer = as_stranger.post("/clubs/found/", {"name": "One too many"})
    assert answer.status_code == 429
    assert int(answer["Retry-After"]) > 0
    assert signed_in(UserFactory()).get("/clubs/found/").status_code == 200
