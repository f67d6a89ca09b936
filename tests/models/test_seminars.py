"""Seminars: places, waiting lists, codes, stays and hours; sittings and the answers in them."""

import uuid
from datetime import datetime, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from tests.factories import UserFactory
from tests.placing import answer
from tests.seminars import attendee, seminar, sitting
from trainer.seminars import hours, services, sittings
from trainer.seminars.models import Attendee, Hand, Presence, Seminar, Sitting

NOW = timezone.now()
DAY = datetime(2026, 5, 9)


def at(hour, minute=0):
    return DAY.replace(hour=hour, minute=minute)


# hours, by hand


@pytest.mark.parametrize(
    ("stays", "each", "total"),
    [
        # the whole day, with a break at noon that no part covers
        ([(9, 17)], [3, 3], 6),
        # late by an hour, early away by two
        ([(10, 15)], [2, 2], 4),
        # out for lunch and back late
        ([(9, 12), (14, 17)], [3, 2], 5),
        # two check-ins that overlap count once
        ([(9, 11), (10, 12)], [3, 0], 3),
        # came only for the evening, which is no part
        ([(18, 20)], [0, 0], 0),
        ([], [0, 0], 0),
    ],
)
def test_hours_by_hand(stays, each, total):
    parts = [(at(9), at(12)), (at(13), at(16))]
    found, whole = hours.attended([(at(a), at(b)) for a, b in stays], parts)
    assert [hours.in_hours(one) for one in found] == each
    assert hours.in_hours(whole) == total


def test_parts_at_the_same_time_count_once_in_all():
    parts = [(at(9), at(12)), (at(10), at(11))]
    each, whole = hours.attended([(at(9), at(12))], parts)
    assert [hours.in_hours(one) for one in each] == [3, 1]
    assert hours.in_hours(whole) == 3


def test_hours_are_rounded_down_to_the_quarter():
    assert hours.in_hours(timedelta(minutes=104)) == 1.5
    assert hours.in_hours(timedelta(minutes=105)) == 1.75


MINUTES = st.integers(0, 600)


@given(st.lists(st.tuples(MINUTES, MINUTES)), st.tuples(MINUTES, MINUTES))
def test_hours_are_those_of_counting_minutes(stays, part):
    intervals = [tuple(DAY + timedelta(minutes=n) for n in sorted(s)) for s in stays]
    begin, end = sorted(part)
    minutes = {
        n for a, b in map(sorted, stays) for n in range(a, b) if begin <= n < end
    }
    bounds = (DAY + timedelta(minutes=begin), DAY + timedelta(minutes=end))
    assert hours.there(intervals, bounds) == timedelta(minutes=len(minutes))


# places


@pytest.mark.django_db
def test_whoever_comes_late_waits_and_moves_up(club):
    held = seminar(club, capacity=2)
    first, second, third, fourth = (
        services.enrol(held, UserFactory(), now=NOW + timedelta(seconds=n))
        for n in range(4)
    )
    assert [one.state for one in (first, second, third, fourth)] == [
        "enrolled",
        "enrolled",
        "waiting",
        "waiting",
    ]
    assert services.withdraw(first, now=NOW) == [third]
    third.refresh_from_db()
    assert third.state == "enrolled"


@pytest.mark.django_db
def test_enrolling_twice_is_once(club):
    held, person = seminar(club), UserFactory()
    one = services.enrol(held, person, now=NOW)
    assert services.enrol(held, person, now=NOW) == one
    assert held.attendees.count() == 1


@pytest.mark.django_db
def test_the_roster_knows_who_enrols_by_address(club):
    held, person = seminar(club), UserFactory(email="rosa@example.org")
    listed = Attendee.objects.create(
        seminar=held, name="Rosa", email="Rosa@example.org", enrolled_at=NOW
    )
    assert services.enrol(held, person, now=NOW) == listed
    listed.refresh_from_db()
    assert listed.person == person


@pytest.mark.django_db
def test_nobody_enrols_for_what_is_not_announced(club):
    held = seminar(club, state=Seminar.State.PREPARED)
    with pytest.raises(ValidationError, match="Nobody can enrol"):
        services.enrol(held, UserFactory(), now=NOW)


@pytest.mark.django_db
def test_who_is_in_the_room_has_a_place(club):
    held = seminar(club, capacity=1)
    services.enrol(held, UserFactory(), now=NOW)
    guest = services.guest(held, "Somebody New", now=NOW)
    assert guest.state == "enrolled"
    assert guest.person.is_guest
    assert not guest.person.has_usable_password()
    assert guest.email == ""


@pytest.mark.django_db
def test_a_club_that_takes_no_guests_takes_none(club):
    with pytest.raises(ValidationError, match="no guests"):
        services.guest(seminar(club, guests=False), "Somebody", now=NOW)


# the code on the screen


@pytest.mark.django_db
def test_the_code_lets_in_however_it_is_typed(club):
    held = seminar(club)
    code = held.join_code
    for typed in (code, code.lower(), f" {code[:3]}-{code[3:]} "):
        assert services.seminar_with_code(typed, now=NOW) == held


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("more", "when"),
    [
        ({"state": "over"}, NOW),
        ({"state": "called_off"}, NOW),
        ({"state": "prepared"}, NOW),
        ({}, NOW - timedelta(days=3)),
        ({}, NOW + timedelta(days=3)),
    ],
)
def test_a_code_that_is_over_says_no_more_than_a_wrong_one(club, more, when):
    held = seminar(club, **more)
    said = set()
    for code in (held.join_code, "222222", "", "x" * 500):
        with pytest.raises(services.NoSuchCode) as refused:
            services.seminar_with_code(code, now=when)
        said |= set(refused.value.messages)
    assert len(said) == 1


@pytest.mark.django_db
def test_two_announced_seminars_never_share_a_code(club):
    held = seminar(club)
    with pytest.raises(IntegrityError):
        seminar(club, join_code=held.join_code)


@pytest.mark.django_db
def test_announcing_finds_a_free_code(club):
    held = seminar(club)
    other = seminar(club, state=Seminar.State.PREPARED, join_code=held.join_code)
    services.announce(other)
    other.refresh_from_db()
    assert other.is_announced
    assert other.join_code != held.join_code


# stays


@pytest.mark.django_db
def test_checking_in_twice_is_once_and_out_ends_it(club):
    one = attendee(seminar(club))
    stay = services.check_in(one, now=NOW)
    assert services.check_in(one, now=NOW + timedelta(minutes=5)) == stay
    services.check_out(one, now=NOW + timedelta(hours=2))
    stay.refresh_from_db()
    assert stay.out_at == NOW + timedelta(hours=2)
    assert services.check_out(one, now=NOW) is None
    services.check_in(one, now=NOW + timedelta(hours=3))
    assert one.stays.count() == 2


@pytest.mark.django_db
def test_a_correction_needs_a_reason_and_an_order(club, organiser):
    stay = services.check_in(attendee(seminar(club)), now=NOW)
    with pytest.raises(ValidationError, match="Say why"):
        services.correct(stay, in_at=NOW, out_at=None, note=" ", by=organiser)
    with pytest.raises(ValidationError, match="before they came"):
        services.correct(
            stay, in_at=NOW, out_at=NOW - timedelta(1), note="clock", by=organiser
        )
    out = NOW + timedelta(hours=1)
    services.correct(stay, in_at=NOW, out_at=out, note="left unseen", by=organiser)
    stay.refresh_from_db()
    assert (stay.out_at, stay.by) == (out, organiser)


@pytest.mark.django_db
def test_the_end_checks_everybody_out(club):
    held = seminar(club)
    stay = services.check_in(attendee(held), now=NOW)
    services.end(held, state=Seminar.State.OVER, now=NOW + timedelta(hours=1))
    stay.refresh_from_db()
    assert stay.out_at == NOW + timedelta(hours=1)
    assert not Presence.objects.running().exists()


@pytest.mark.django_db
def test_two_organisers_do_not_write_over_each_other(club):
    held = seminar(club)
    other = Seminar.objects.get(pk=held.pk)
    held.title = "First"
    services.save_seminar(held, version=1)
    other.title = "Second"
    with pytest.raises(services.EditedElsewhere):
        services.save_seminar(other, version=1)
    held.refresh_from_db()
    assert (held.title, held.sequence) == ("First", 1)


# sittings


@pytest.fixture
def run(club):
    """An open sitting and an attendee's hand in it."""
    held = seminar(club)
    made = sitting(held, open=True, seconds=60)
    return made, sittings.hand_of(made, attendee(held))


@pytest.mark.django_db
def test_an_answer_is_stored_once(run):
    made, hand = run
    sent = uuid.uuid4()
    first = sittings.take(hand, answer(), submission=sent, now=NOW)
    again = sittings.take(hand, answer("dcba"), submission=sent, now=NOW)
    assert again.answer == first.answer
    made.refresh_from_db()
    assert made.handed_in == 1
    with pytest.raises(sittings.NotTaken, match="already"):
        sittings.take(hand, answer(), submission=uuid.uuid4(), now=NOW)


@pytest.mark.django_db
def test_an_answer_that_is_not_whole_is_saved_and_not_handed_in(run):
    made, hand = run
    half = {"order": ["a"], "rulings": {}}
    kept = sittings.take(hand, half, submission=None, now=NOW, handing_in=False)
    assert kept.handed_in_at is None
    with pytest.raises(sittings.NotTaken, match="2nd is free"):
        sittings.take(hand, half, submission=uuid.uuid4(), now=NOW)
    made.refresh_from_db()
    assert made.handed_in == 0


@pytest.mark.django_db
@pytest.mark.parametrize(("after", "late"), [(5, False), (19, False), (25, True)])
def test_late_answers_are_marked_and_kept(run, after, late):
    made, hand = run
    sittings.close(made, now=NOW)
    moment = NOW + timedelta(seconds=after)
    kept = sittings.take(hand, answer(), submission=uuid.uuid4(), now=moment)
    assert kept.is_late is late
    assert Hand.objects.counted().count() == (not late)


@pytest.mark.django_db
def test_before_the_start_nothing_is_taken_and_after_the_reveal_it_is_late(run):
    made, hand = run
    Sitting.objects.filter(pk=made.pk).update(state="waiting")
    with pytest.raises(sittings.NotTaken):
        sittings.take(hand, answer(), submission=uuid.uuid4(), now=NOW)
    Sitting.objects.filter(pk=made.pk).update(state="shown")
    assert sittings.take(hand, answer(), submission=uuid.uuid4(), now=NOW).is_late


@pytest.mark.django_db
def test_a_paper_card_is_never_late(run, organiser):
    made, hand = run
    sittings.close(made, now=NOW)
    kept = sittings.take(
        hand, answer(), submission=None, now=NOW + timedelta(hours=1), clerk=organiser
    )
    assert not kept.is_late
    assert kept.clerk == organiser


@pytest.mark.django_db
def test_the_clock_stops_goes_on_and_gets_more(run):
    made, _hand = run
    opened = made.opened_at
    assert made.seconds_left(opened) == 60
    paused = sittings.pause(made, now=opened + timedelta(seconds=20))
    assert paused.seconds_left(opened + timedelta(hours=1)) == 40
    later = opened + timedelta(minutes=10)
    going = sittings.resume(made, now=later)
    assert going.seconds_left(later) == 40
    more = sittings.more_time(made, 30, now=later)
    assert more.seconds_left(later) == 70
    assert (
        sittings.more_time(made, 30, now=later + timedelta(hours=1)).seconds_left(
            later + timedelta(hours=1)
        )
        == 30
    )


@pytest.mark.django_db
def test_whoever_looks_first_closes_what_is_over(run):
    made, _hand = run
    at_end = made.closes_at
    assert sittings.close_when_over(made, now=at_end - timedelta(seconds=1)).is_open
    closed = sittings.close_when_over(made, now=at_end + timedelta(minutes=3))
    assert closed.state == "closed"
    assert closed.closed_at == at_end


@pytest.mark.django_db
def test_a_button_pressed_twice_or_on_two_screens_does_it_once(run):
    made, _hand = run
    sittings.close(made, now=NOW)
    with pytest.raises(sittings.NotNow):
        sittings.close(made, now=NOW)
    with pytest.raises(sittings.NotNow):
        sittings.start(made, now=NOW)


@pytest.mark.django_db
def test_one_thing_at_a_time(run):
    made, _hand = run
    other = sitting(made.seminar)
    with pytest.raises(sittings.NotNow, match="Another class is open"):
        sittings.start(other, now=NOW)
    sittings.close(made, now=NOW)
    assert sittings.start(other, now=NOW).is_open
    with pytest.raises(sittings.NotNow, match="Another class is open"):
        sittings.reopen(made, now=NOW)


@pytest.mark.django_db
def test_every_change_counts_the_version_up(run):
    made, _hand = run
    before = made.version
    sittings.pause(made, now=NOW)
    sittings.resume(made, now=NOW)
    assert sittings.close(made, now=NOW).version == before + 3
