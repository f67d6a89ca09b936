"""The room: hand, stage and rostrum of one sitting, over the network as it is."""

import random
import re
import uuid
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from quizzes.models import Attempt, Exercise, Revision, Tally
from quizzes.panels.services import open_panel
from tests.conftest import member, signed_in
from tests.factories import ModuleFactory
from tests.placing import placing_class
from tests.seminars import attendee, seminar, sitting
from tests.sheets import right, sheet
from trainer.clubs.models import Role
from trainer.seminars import services, sittings
from trainer.seminars.models import Hand, Sitting
from trainer.seminars.room import LOOKS_A_SECOND, seconds_between_looks

pytestmark = pytest.mark.django_db
HTMX = {"HTTP_HX_REQUEST": "true"}
JSON = {"HTTP_ACCEPT": "application/json"}


@pytest.fixture
def held(club, alice):
    return seminar(club, mentors=[alice])


@pytest.fixture
def place(held, bob):
    made = attendee(held, bob)
    services.check_in(made, now=timezone.now())
    return made


@pytest.fixture
def opened(held):
    return sitting(held, open=True, seconds=300)


def send(client, one, placing="11-22-33-44", **more):
    sent = {"sitting": one.pk, "placing": placing, **more}
    return client.post(f"/seminars/{one.seminar_id}/room/hand-in/", sent, **JSON)


def room(client, held, **query):
    return client.get(f"/seminars/{held.pk}/room/", query, **HTMX)


def token(page):
    return re.search(r"\?v=([\d.]+)", page.text)[1]


def shown(one):
    sittings.close(one, now=timezone.now())
    return sittings.show(Sitting.objects.get(pk=one.pk), now=timezone.now())


# the hand


def test_a_hand_follows_the_room_and_is_quiet_when_nothing_changed(as_bob, held, place):
    page = as_bob.get(f"/seminars/{held.pk}/room/")
    assert "Nothing is asked yet." in page.text
    assert room(as_bob, held, v=token(page)).status_code == 204
    one = sitting(held, open=True)
    fresh = room(as_bob, held, v=token(page))
    assert fresh.status_code == 200
    assert "<html" not in fresh.text
    assert "Hand in the placing" in fresh.text
    assert room(as_bob, held, v=token(fresh)).status_code == 204
    sittings.pause(one, now=timezone.now())
    assert "The clock is stopped" in room(as_bob, held, v=token(fresh)).text


def test_a_placing_is_taken_once_with_time_and_receipt(as_bob, held, place, opened):
    one = str(uuid.uuid4())
    said = send(as_bob, opened, submission=one).json()
    assert re.match(r"In at \d\d:\d\d:\d\d, receipt [2-9A-Z]{4}\.", said["said"])
    assert send(as_bob, opened, "44-33-22-11", submission=one).json() == said
    other = send(as_bob, opened, "44-33-22-11", submission=uuid.uuid4())
    assert other.status_code == 409
    assert "in already" in other.json()["said"]
    opened.refresh_from_db()
    assert opened.handed_in == 1
    hand = Hand.objects.get()
    assert hand.answer["order"] == ["a", "b", "c", "d"]
    page = as_bob.get(f"/seminars/{held.pk}/room/")
    assert "Your placing is in" in page.text
    assert hand.receipt in page.text


def test_a_second_tab_learns_that_the_answer_is_in(as_bob, held, place, opened):
    before = token(as_bob.get(f"/seminars/{held.pk}/room/"))
    send(as_bob, opened)
    assert "Your placing is in" in room(as_bob, held, v=before).text


def test_without_scripts_it_is_a_form_like_any_other(as_bob, held, place, opened):
    url = f"/seminars/{held.pk}/room/hand-in/"
    refused = as_bob.post(url, {"sitting": opened.pk, "placing": "11-22-99"})
    assert refused.status_code == 422
    assert "nknown armband 99" in refused.text
    assert 'value="11-22-99"' in refused.text
    kept = as_bob.post(
        url,
        {"sitting": opened.pk, "placing": "22 11 44", "rulings": "33 excused"},
        follow=True,
    )
    assert "In at" in kept.text
    assert Hand.objects.get().answer["rulings"]["c"]["ruling"] == "excused"


@pytest.mark.parametrize(
    ("placing", "said"),
    [
        ("", "placing is empty"),
        ("11-11-22-33", "twice"),
        ("11=22-33-44", "a place of its own"),
        ("11-22", "3rd is free"),
    ],
)
def test_what_is_no_placing_is_said(as_bob, opened, place, placing, said):
    answer = send(as_bob, opened, placing)
    assert answer.status_code == 422
    assert said in answer.json()["said"]


def test_what_comes_late_is_kept_and_marked(as_bob, held, place, opened):
    Sitting.objects.filter(pk=opened.pk).update(
        state="closed", closed_at=timezone.now() - timedelta(minutes=1)
    )
    assert "marked as late" in as_bob.get(f"/seminars/{held.pk}/room/").text
    assert "It came late" in send(as_bob, opened).json()["said"]
    assert Hand.objects.get().is_late


def test_who_comes_after_the_result_is_told_as_well_and_counts_nowhere(
    as_bob, held, place, opened
):
    shown(opened)
    assert "It came late" in send(as_bob, opened, "22-11-33-44").json()["said"]
    page = as_bob.get(f"/seminars/{held.pk}/room/").text
    assert "5 of 6 pairs as the mentor has them" in page
    assert "it is not in the room&#x27;s counts" in page or "not in the room's" in page
    assert Sitting.objects.get().result["counted"] == 0
    assert not Attempt.objects.exists()


def test_the_time_closes_it_whoever_looks_first(as_bob, held, place, opened):
    known = token(as_bob.get(f"/seminars/{held.pk}/room/"))
    over = timezone.now() - timedelta(seconds=1)
    Sitting.objects.filter(pk=opened.pk).update(closes_at=over)
    assert "It is closed." in room(as_bob, held, v=known).text
    opened.refresh_from_db()
    assert (opened.state, opened.closed_at) == ("closed", over)


def test_an_answer_goes_to_the_class_it_was_made_for(as_bob, held, place, opened):
    sittings.close(opened, now=timezone.now())
    sitting(held, open=True)
    assert send(as_bob, opened).status_code == 200
    assert Hand.objects.get().sitting == opened


def test_nobody_answers_in_another_room(as_bob, club, place, opened):
    elsewhere = sitting(seminar(club), open=True)
    url = f"/seminars/{opened.seminar_id}/room/hand-in/"
    assert as_bob.post(url, {"sitting": elsewhere.pk}).status_code == 404
    assert as_bob.post(url, {"sitting": "x"}).status_code == 404
    assert send(as_bob, elsewhere).status_code == 404


def test_sheets_are_answered_with_their_own_pages(as_bob, club, held, place):
    one = sitting(held, sheet(club, "severity"), open=True)
    page = as_bob.get(f"/seminars/{held.pk}/room/")
    kind_rows = one.revision.content["items"]
    assert all(f"a-{row['id']}" in page.text for row in kind_rows)
    values = {f"a-{row}": value for row, value in right(one.revision)["items"].items()}
    answer = as_bob.post(
        f"/seminars/{held.pk}/room/hand-in/", {"sitting": one.pk, **values}, **JSON
    )
    assert answer.status_code == 200
    assert shown(one).result["kind"] == "sheet"
    told = as_bob.get(f"/seminars/{held.pk}/room/").text
    assert "As the key has it" in told


def test_the_poll_costs_two_small_queries(as_bob, held, place, opened):
    known = token(as_bob.get(f"/seminars/{held.pk}/room/"))
    with CaptureQueriesContext(
        connection,
    ) as asked:
        assert room(as_bob, held, v=known).status_code == 204
    tables = [q["sql"] for q in asked]
    # session, person, place, sitting
    assert len(tables) == 4, tables


def test_whose_answer_is_in_hears_nothing_new_until_the_result_is_shown(
    as_bob, held, place, opened
):
    send(as_bob, opened)
    known = token(room(as_bob, held))
    sittings.pause(opened, now=timezone.now())
    assert room(as_bob, held, v=known).status_code == 204
    shown(opened)
    assert "Every pair as the mentor has it" in room(as_bob, held, v=known).text


@pytest.mark.parametrize("is_shown", [False, True])
def test_a_phone_costs_the_same_however_many_answer(
    as_bob, held, place, opened, is_shown
):
    def cost():
        with CaptureQueriesContext(connection) as asked:
            assert room(as_bob, held).status_code == 200
        return len(asked)

    send(as_bob, opened)
    if is_shown:
        shown(opened)
    cost()
    few = cost()
    many(held, opened, ["abcd", "dcba"] * 4)
    assert cost() == few


def test_handing_in_costs_the_same_however_many_have(as_bob, held, place, opened):
    again = sitting(held)
    many(held, opened, ["abcd"] * 8)
    as_bob.get(f"/seminars/{held.pk}/room/")
    with CaptureQueriesContext(connection) as asked:
        assert send(as_bob, opened).status_code == 200
    shown(opened)
    sittings.start(again, now=timezone.now())
    with CaptureQueriesContext(connection) as alone:
        assert send(as_bob, again).status_code == 200
    assert len(asked) == len(alone)


# the key stays hidden


MARK = "Zwischenraum"


@pytest.fixture
def telling(club, held):
    """An open sitting whose key has a word that nobody may read yet."""
    revision = placing_class(club)
    key = {**revision.key, "note": MARK}
    key["pairs"] = [{**one, "reason": MARK} for one in key["pairs"]]
    Revision.objects.filter(pk=revision.pk).update(key=key)
    revision.refresh_from_db()
    return sitting(held, revision, open=True)


def test_nothing_of_the_key_is_seen_before_it_is_shown(
    as_bob, as_alice, held, place, telling
):
    urls = [f"/seminars/{held.pk}/{page}/" for page in ("room", "stage", "rostrum")]

    def seen():
        return [
            MARK in client.get(url).text
            for client in (as_bob, as_alice)
            for url in urls
            if client.get(url).status_code == 200
        ]

    assert not any(seen())
    send(as_bob, telling)
    assert not any(seen())
    sittings.close(telling, now=timezone.now())
    assert not any(seen())
    sittings.show(telling, now=timezone.now())
    assert MARK in as_bob.get(urls[0]).text


# the result


def many(held, one, orders):
    """Attendees who hand in these orders of a, b, c, d."""
    numbers = dict(zip("abcd", (11, 22, 33, 44), strict=True))
    made = []
    for order in orders:
        person = attendee(held)
        services.check_in(person, now=timezone.now())
        client = signed_in(person.person)
        sent = send(client, one, "-".join(str(numbers[dog]) for dog in order))
        assert sent.status_code == 200
        made.append(person)
    return made


def test_the_result_is_summed_once_and_goes_into_records_once(held, opened, as_alice):
    people = many(held, opened, ["abcd", "abcd", "abdc", "bacd", "dcba"])
    done = shown(opened)
    assert done.result["counted"] == 5
    # By hand: 6, 6, 5, 5 and 0 of 6 pairs.
    assert done.result["share"] == pytest.approx(22 / 30)
    first = done.result["rows"][0]
    assert (first["armband"], first["counts"], first["key"]) == (11, [3, 1, 0, 1], [1])
    pair = next(
        one for one in done.result["pairs"] if (one["upper"], one["lower"]) == (33, 44)
    )
    assert (pair["agreed"], pair["of"]) == (3, 5)
    # Rank sums 9, 10, 15, 16 against a mean of 12.5: s = 37, W = 12 * 37 / (25 * 60).
    assert done.result["w"]["w"] == pytest.approx(12 * 37 / 1500)
    assert Attempt.objects.count() == 5
    attempt = Attempt.objects.get(trainee=people[2].person)
    assert attempt.grades.get().pairs_agreed == 5
    assert Tally.objects.get(item="a", value="1").count == 3
    done.revision.refresh_from_db()
    assert done.revision.handed_in == 5
    with pytest.raises(sittings.NotNow):
        sittings.show(done, now=timezone.now())
    assert Attempt.objects.count() == 5
    page = as_alice.get(f"/seminars/{held.pk}/stage/").text
    assert "As a room you agree with the mentor on 6 of 6 pairs" in page
    assert "s W: 0.30" in page
    assert not any(str(one.person) in page for one in people)


def test_fewer_than_five_are_not_shown_on_the_stage(held, opened, as_alice):
    many(held, opened, ["abcd", "dcba"])
    shown(opened)
    page = as_alice.get(f"/seminars/{held.pk}/stage/").text
    assert "Too few to show without showing who." in page
    assert "tally" not in page


def test_the_phone_tells_what_the_room_did_of_five_and_more(
    as_bob, held, place, opened
):
    many(held, opened, ["abcd", "abcd", "abdc", "bacd"])
    send(as_bob, opened, "44-33-22-11")
    shown(opened)
    page = as_bob.get(f"/seminars/{held.pk}/room/").text
    room_part = page[page.index('id="hand-room"') :]
    assert "The room of 5 agrees with the mentor on 6 of 6 pairs." in room_part
    assert "3 of 5" in room_part
    assert not any(str(one) in room_part for one in held.attendees.exclude(pk=place.pk))


def test_the_phone_tells_nothing_of_a_room_of_four(as_bob, held, place, opened):
    many(held, opened, ["abcd", "abcd", "abdc"])
    send(as_bob, opened, "44-33-22-11")
    shown(opened)
    assert "hand-room" not in as_bob.get(f"/seminars/{held.pk}/room/").text


def test_one_sees_the_own_placing_beside_the_key(as_bob, held, place, opened):
    send(as_bob, opened, "22-11-33-44")
    shown(opened)
    page = as_bob.get(f"/seminars/{held.pk}/room/").text
    assert "5 of 6 pairs as the mentor has them" in page
    assert "11 beats 22." in page
    record = Attempt.objects.get(trainee=place.person)
    assert f'href="/attempts/{record.pk}/result/"' in page
    assert as_bob.get(f"/attempts/{record.pk}/result/").status_code == 200


def turned(client, held, number, page):
    """What the stage shows once the rostrum has turned to that page."""
    url = f"/seminars/{held.pk}/sittings/{number}/turn/"
    assert client.post(url, {"page": page}).status_code == 302
    found = client.get(f"/seminars/{held.pk}/stage/").text
    found = re.sub(r"<form.*?</form>", "", found, flags=re.DOTALL)
    return re.search(r"<h1.*</main>", found, re.DOTALL)[0].strip()


def test_before_and_after_the_discussion(held, opened, as_alice):
    people = many(held, opened, ["dcba", "bacd", "abdc", "badc", "abcd"])
    sittings.close(opened, now=timezone.now())
    again = sittings.again(Sitting.objects.get(pk=opened.pk))
    sittings.start(again, now=timezone.now())
    with pytest.raises(sittings.NotNow, match="placed again"):
        sittings.show(opened, now=timezone.now())
    for person in people:
        send(signed_in(person.person), again)
    done = shown(again)
    opened.refresh_from_db()
    assert opened.is_shown
    change = done.result["change"]
    assert (change["n"], change["better"], change["same"]) == (5, 4, 1)
    # Shares 0, 5/6, 5/6, 4/6, 1, then all 1.
    assert change["mean"] == pytest.approx(1 - 20 / 30)
    assert not change["knew"]
    assert Attempt.objects.filter(trainee=people[0].person).count() == 2
    pages = [
        turned(as_alice, held, done.number, n) for n in range(5)
    ]  # orders, where the room parts, every pair, words; after the last it stays
    assert pages[3] == pages[4]
    page = pages[3]
    assert "Before and after, the 5 who placed it twice: 4.00, then 6.00 pairs" in page


def test_a_second_placing_after_the_reveal_says_so(held, opened):
    many(held, opened, ["dcba"] * 5)
    again = sittings.again(shown(opened))
    sittings.start(again, now=timezone.now())
    for person in held.attendees.all():
        send(signed_in(person.person), again)
    assert shown(again).result["change"]["knew"]


# the rostrum


def do(client, held, number, step, **sent):
    url = f"/seminars/{held.pk}/sittings/{number}/{step}/"
    return client.post(url, sent, follow=True).text


def test_the_mentor_runs_a_class_and_a_second_device_is_told(as_alice, held, club):
    placing_class(club, title="Open class")
    chosen = Revision.objects.get()
    url = f"/seminars/{held.pk}/sittings/add/"
    assert (
        as_alice.post(url, {"revision": chosen.pk, "seconds": "2"}).status_code == 302
    )
    one = Sitting.objects.get()
    assert one.seconds == 120
    assert "Close it" in do(as_alice, held, 1, "start")
    assert "another screen was quicker" in do(as_alice, held, 1, "start")
    assert "Let the clock run" in do(as_alice, held, 1, "pause")
    do(as_alice, held, 1, "resume")
    do(as_alice, held, 1, "more")
    one.refresh_from_db()
    assert one.seconds_left(timezone.now()) > 200
    assert "Open it again" in do(as_alice, held, 1, "close")
    assert "Close it" in do(as_alice, held, 1, "reopen")
    do(as_alice, held, 1, "close")
    assert (
        "change anything after this"
        in as_alice.get(f"/seminars/{held.pk}/sittings/1/show/").text
    )
    assert "Result shown" in do(as_alice, held, 1, "show")
    line = as_alice.post(
        f"/seminars/{held.pk}/sittings/1/line/", {"line": "Mind the feet."}, follow=True
    )
    assert "Mind the feet." in line.text
    assert as_alice.post(f"/seminars/{held.pk}/sittings/1/fly/").status_code == 404


def test_live_dogs_are_numbers_keyed_before_they_are_shown(
    as_alice, as_bob, held, club, place
):
    ModuleFactory(club=club)
    url = f"/seminars/{held.pk}/sittings/add/"
    live = {"what": "live", "title": "Open bitch"}
    refused = as_alice.post(url, {**live, "numbers": "7 7"})
    assert refused.status_code == 422
    assert "A number is there twice." in refused.text
    as_alice.post(url, {**live, "numbers": "31, 7 and 12"})
    one = Sitting.objects.get()
    do(as_alice, held, 1, "start")
    assert send(as_bob, one, "7-31-12").status_code == 200
    do(as_alice, held, 1, "close")
    assert "has no key yet" in do(as_alice, held, 1, "show")
    key = f"/seminars/{held.pk}/sittings/1/key/"
    assert as_alice.post(key, {"placing": "7-31"}).status_code == 422
    sent = {"placing": "7-12", "rulings": "31 excused", "note": "31 was lame."}
    assert as_alice.post(key, sent).status_code == 302
    assert 'value="7-12"' in as_alice.get(key).text
    assert "Result shown" in do(as_alice, held, 1, "show")
    assert as_alice.get(key).status_code == 404
    assert Exercise.objects.get().kept_back
    assert "31 was lame." in as_bob.get(f"/seminars/{held.pk}/room/").text
    record = Attempt.objects.get()
    assert as_bob.get(f"/attempts/{record.pk}/result/").status_code == 200


def test_who_a_panel_asks_sees_no_other_key_of_live_dogs(as_alice, held, club, alice):
    second = member(club, Role.MENTOR, "Ada Mentor")
    ModuleFactory(club=club)
    url = f"/seminars/{held.pk}/sittings/add/"
    as_alice.post(url, {"what": "live", "title": "Open bitch", "numbers": "7 12 31"})
    key = f"/seminars/{held.pk}/sittings/1/key/"
    as_alice.post(key, {"placing": "7-12-31", "note": MARK})
    assert MARK in as_alice.get(key).text
    panel = open_panel(
        Revision.objects.get(),
        mentors=[alice, second],
        message="",
        by=alice,
        now=timezone.now(),
        rng=random.Random(1),
        address=str,
    )
    held.mentors.add(second)
    theirs = signed_in(second).get(key)
    assert theirs.status_code == 302
    assert theirs.url == panel.keys.get(mentor=second).get_absolute_url()


def test_rostrum_and_stage_poll_quietly(as_alice, held, place, opened, as_bob):
    for page in ("rostrum", "stage"):
        url = f"/seminars/{held.pk}/{page}/"
        known = token(as_alice.get(url))
        assert as_alice.get(url, {"v": known}, **HTMX).status_code == 204
        fresh = as_alice.get(url, {"v": "0.0"}, **HTMX)
        assert fresh.status_code == 200
        assert "<html" not in fresh.text


@pytest.mark.parametrize("page", ["stage", "rostrum", "roster", "sittings/1/clerk"])
def test_pages_cost_the_same_however_many_come(as_alice, held, opened, page):
    url = f"/seminars/{held.pk}/{page}/"

    def cost():
        with CaptureQueriesContext(connection) as asked:
            assert as_alice.get(url).status_code == 200
        return len(asked)

    many(held, opened, ["abcd"])
    cost()  # the first visit of a session notes when it began
    few = cost()
    many(held, opened, ["abcd", "dcba"] * 4)
    assert cost() == few
    shown(opened)
    assert cost() <= few + 1


# the grace after the close


def test_who_shows_at_once_is_told_that_answers_may_be_on_their_way(
    as_alice, as_bob, held, place, opened
):
    do(as_alice, held, 1, "close")
    show = f"/seminars/{held.pk}/sittings/1/show/"
    assert "Answers may still be on their way" in as_alice.get(show).text
    # The plain button waits; nothing is shown yet, and what arrives now counts.
    assert "Answers may still be on their way" in do(as_alice, held, 1, "show")
    assert send(as_bob, opened).status_code == 200
    assert not Hand.objects.get().is_late
    # Everybody's answer is in: there is nobody to wait for.
    assert "on their way" not in as_alice.get(show).text
    assert "Result shown" in do(as_alice, held, 1, "show")


def test_after_the_grace_nobody_waits_and_who_wants_shows_before(
    as_alice, as_bob, held, place, opened
):
    do(as_alice, held, 1, "close")
    over = timezone.now() - timedelta(seconds=21)
    Sitting.objects.update(closed_at=over)
    show = f"/seminars/{held.pk}/sittings/1/show/"
    assert "on their way" not in as_alice.get(show).text
    Sitting.objects.update(closed_at=timezone.now())
    assert "Result shown" in do(as_alice, held, 1, "show", anyway="1")
    assert "It came late" in send(as_bob, opened).json()["said"]
    assert Hand.objects.get().is_late


def test_a_full_hall_looks_less_often_and_so_does_who_is_done():
    state = Sitting.State
    assert seconds_between_looks(state.OPEN, 60) == 4
    assert seconds_between_looks(state.OPEN, 60, is_in=True) == 8
    assert seconds_between_looks(state.SHOWN, 60, is_in=True) == 6
    for n in (300, 1000, 2000):
        assert n / seconds_between_looks(state.OPEN, n) <= LOOKS_A_SECOND
