"""Clubs: who reaches what, invitations, roles."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from tests.factories import (
    ClubFactory,
    InvitationFactory,
    MembershipFactory,
    UserFactory,
)
from trainer.clubs.models import Club, Invitation, Membership, Role, reached_by
from trainer.clubs.services import (
    InvitationUsedUp,
    accept_invitation,
    found_club,
    invite,
    set_roles,
    withdraw_invitation,
)

NOW = timezone.now()


def roles_of(club, user):
    return set(club.memberships.filter(user=user).values_list("role", flat=True))


def test_each_role_reaches_its_own_club_only(club, other_club, alice, bob, organiser):
    reached = {
        person: (
            list(Club.objects.joined_by(person)),
            list(Club.objects.taught_by(person)),
            list(Club.objects.run_by(person)),
            list(Club.objects.led_by(person)),
        )
        for person in (alice, bob, organiser)
    }
    assert reached == {
        alice: ([club], [club], [], [club]),
        bob: ([club], [], [], []),
        organiser: ([club], [], [club], [club]),
    }


def test_site_staff_reach_every_club(club, other_club):
    staff = UserFactory(is_staff=True)
    assert set(Club.objects.run_by(staff)) == {club, other_club}


def test_several_roles_do_not_double_a_club(club, alice):
    MembershipFactory(club=club, user=alice, role=Role.TRAINEE)
    assert list(Club.objects.joined_by(alice)) == [club]
    assert [person for person in club.people() if person == alice] == [alice]


def test_trainee_sees_no_membership_but_their_own(club, alice, bob):
    assert [row.user for row in Membership.objects.visible_to(bob)] == [bob]
    assert {row.user for row in Membership.objects.visible_to(alice)} == {alice, bob}


def test_people_carry_the_roles_of_this_club_alone(club, other_club, bob):
    MembershipFactory(club=other_club, user=bob, role=Role.ORGANISER)
    (person,) = club.people()
    assert [held.role for held in person.held] == [Role.TRAINEE]


def test_founder_runs_the_club_and_teaches_in_it(stranger):
    club = found_club(name="Fell Top Drovers", about="", by=stranger)
    assert club.slug == "fell-top-drovers"
    assert roles_of(club, stranger) == {Role.ORGANISER, Role.MENTOR}


@pytest.mark.parametrize(
    ("name", "slug"),
    [("Found", "found-2"), ("羊", "club"), ("Tarn Valley", "tarn-valley-2")],
)
def test_short_name_is_free_and_no_page(club, stranger, name, slug):
    assert found_club(name=name, about="", by=stranger).slug == slug


def test_second_club_of_a_name_is_refused_and_leaves_nothing(club, stranger):
    with pytest.raises(ValidationError) as refusal:
        found_club(name=club.name, about="", by=stranger)
    assert refusal.value.code == "name-taken"
    assert Club.objects.count() == 1


@pytest.mark.parametrize("role", [Role.MENTOR, Role.ORGANISER])
def test_leaders_are_invited_one_at_a_time(club, organiser, role):
    with pytest.raises(ValidationError, match="one at a time"):
        invite(club, role=role, places=2, by=organiser, now=NOW)


@pytest.mark.parametrize("places", [0, Invitation.MOST_PLACES + 1])
def test_number_of_places_has_limits(club, organiser, places):
    with pytest.raises(ValidationError):
        invite(club, role=Role.TRAINEE, places=places, by=organiser, now=NOW)


def test_invitation_code_has_at_least_128_random_bits(club, organiser):
    made = [
        invite(club, role=Role.TRAINEE, places=1, by=organiser, now=NOW).code
        for _ in range(20)
    ]
    # Each letter of the code carries six bits.
    assert min(len(code) for code in made) * 6 >= 128
    assert len(set(made)) == 20


def test_accepting_gives_the_role_and_uses_a_place(club, stranger):
    invitation = InvitationFactory(club=club, places=2)
    accept_invitation(invitation, user=stranger, now=NOW)
    invitation.refresh_from_db()
    assert roles_of(club, stranger) == {Role.TRAINEE}
    assert invitation.places_left == 1


def test_accepting_twice_uses_one_place(club, stranger):
    invitation = InvitationFactory(club=club, places=2)
    for _ in range(2):
        accept_invitation(invitation, user=stranger, now=NOW)
    invitation.refresh_from_db()
    assert invitation.used == 1


def test_last_place_is_given_once(club, stranger, charlie):
    """Both requests have read the invitation while its one place was free."""
    first, second = InvitationFactory(club=club), Invitation.objects.get()
    accept_invitation(first, user=stranger, now=NOW)
    with pytest.raises(InvitationUsedUp):
        accept_invitation(second, user=charlie, now=NOW)
    assert roles_of(club, charlie) == set()


def test_expired_link_gives_nothing(club, stranger):
    invitation = InvitationFactory(club=club)
    late = invitation.expires_at + timedelta(seconds=1)
    with pytest.raises(InvitationUsedUp):
        accept_invitation(invitation, user=stranger, now=late)
    assert roles_of(club, stranger) == set()


def test_withdrawn_link_gives_nothing(club, stranger):
    invitation = InvitationFactory(club=club)
    withdraw_invitation(invitation, now=NOW)
    with pytest.raises(InvitationUsedUp):
        accept_invitation(invitation, user=stranger, now=NOW)


def test_setting_roles_gives_takes_and_keeps(club, bob):
    since = club.memberships.get(user=bob).since
    set_roles(club, bob, {Role.TRAINEE, Role.MENTOR})
    assert roles_of(club, bob) == {Role.TRAINEE, Role.MENTOR}
    assert club.memberships.get(user=bob, role=Role.TRAINEE).since == since
    set_roles(club, bob, set())
    assert roles_of(club, bob) == set()


def test_last_organiser_cannot_step_down(club, organiser, alice):
    with pytest.raises(ValidationError) as refusal:
        set_roles(club, organiser, {Role.MENTOR})
    assert refusal.value.code == "last-organiser"
    assert roles_of(club, organiser) == {Role.ORGANISER}
    set_roles(club, alice, {Role.ORGANISER})
    set_roles(club, organiser, set())
    assert roles_of(club, organiser) == set()


def test_database_refuses_what_the_services_refuse(club, bob):
    wrong = [
        lambda: MembershipFactory(club=club, user=bob, role=Role.TRAINEE),
        lambda: MembershipFactory(club=club, role="judge"),
        lambda: InvitationFactory(role=Role.MENTOR, places=2),
        lambda: InvitationFactory(places=1, used=2),
        lambda: ClubFactory(name=club.name),
    ]
    for make in wrong:
        with pytest.raises(IntegrityError), transaction.atomic():
            make()


def test_roles_read_already_reach_what_a_query_reaches(club, alice, bob, stranger):
    for user in (alice, bob, stranger):
        for roles in ((), (Role.MENTOR,), (Role.MENTOR, Role.ORGANISER)):
            asked = set(reached_by(user, *roles))
            user.roles_held = Membership.objects.roles_by_club(user)
            assert set(reached_by(user, *roles)) == asked
            del user.roles_held
    assert set(reached_by(alice, Role.MENTOR)) == {club.pk}
