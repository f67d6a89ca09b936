"""The pages of an open attempt at a class to place, with a plain client and as the script calls them."""

import json
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from django.db import connection, connections
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from quizzes import attempts
from quizzes.models import Attempt, Grade, Revision
from quizzes.plates import BREEDS
from quizzes.words import duration
from tests.conftest import signed_in
from tests.factories import AttemptFactory
from tests.placing import answer, placing_class

LINE = [["b", 22], ["a", 11], ["d", 44], ["c", 33]]


def open_attempt(club, trainee, *, order="", rulings=None, **more):
    stored = {"order": list(order), "rulings": rulings or {}}
    return AttemptFactory(
        revision=placing_class(club, **more),
        trainee=trainee,
        shown={"line": LINE},
        answer=stored if order or rulings else {},
    )


def drawn(attempt):
    """The attempt with plates of its dogs."""
    revision = attempt.revision
    content = {**revision.content, "breed": next(iter(BREEDS))}
    Revision.objects.filter(pk=revision.pk).update(content=content)
    return attempt


@pytest.fixture
def attempt(club, bob):
    return open_attempt(club, bob)


def url(attempt, rest=""):
    return f"/attempts/{attempt.pk}/{rest}"


def stored(attempt):
    return Attempt.objects.get(pk=attempt.pk)


def press(client, attempt, move, **more):
    return client.post(url(attempt, "board/"), {"move": move, **more})


def save(client, attempt, sent, version=0):
    data = {"answer": json.dumps(sent), "version": version}
    return client.post(url(attempt, "save/"), data)


def hand_in(client, attempt, sent=None):
    data = {"submission": attempt.submission}
    if sent is not None:
        data["answer"] = json.dumps(sent)
    return client.post(url(attempt, "hand-in/"), data)


# The page


def test_page_shows_the_line_as_this_attempt_mixed_it(as_bob, attempt):
    page = as_bob.get(url(attempt)).text
    order = [page.index(f'id="dog-{dog}"') for dog, _armband in LINE]
    assert order == sorted(order)
    assert "a by hand." in page
    assert "Still in the line" in page


def test_board_starts_empty(as_bob, attempt):
    page = as_bob.get(url(attempt)).text
    board = page[page.index("data-board") : page.index("data-moved")]
    assert "data-cell" not in board
    assert board.count("marker-free") == 4
    line = page[page.index("data-line") : page.index("data-board")]
    assert line.count("Place 1st") == 4


def test_what_is_seen_from_the_ring_side_is_not_folded_away(as_bob, bob, club):
    """A drawing says nothing of movement: lameness stands in the words alone."""
    attempt = drawn(open_attempt(club, bob))
    page = as_bob.get(url(attempt)).text
    assert ".svg" in page
    for dog in "abcd":
        before, after = page.split(f"{dog} from the ring-side.")
        assert before.count("<details") == before.count("</details")
        assert after


@pytest.mark.parametrize(
    ("more", "ruled", "asks"),
    [
        ({}, "", "Place all 4."),
        ({}, "a", "Place the other 3."),
        ({}, "abc", "Place the one left."),
        ({}, "abcd", "No dog is left to place."),
        ({"places": 2}, "", "Place the two best."),
        ({"places": 2}, "a", "Place the two best."),
        ({"places": 2}, "abc", "Place the best."),
    ],
)
def test_page_counts_again_after_a_ruling(as_bob, bob, club, more, ruled, asks):
    rulings = {dog: {"ruling": "excused", "reason": "lame"} for dog in ruled}
    attempt = open_attempt(club, bob, rulings=rulings, **more)
    page = as_bob.get(url(attempt)).text
    assert asks in page
    assert page.count("Place all") == (asks == "Place all 4.")


def test_first_few_of_a_class_are_counted_not_listed(as_bob, bob, club):
    attempt = open_attempt(club, bob, order="a", places=3)
    page = as_bob.get(url(attempt)).text
    assert "2nd is free. Place two more of those still in the line." in page
    assert "Press “Place 2nd” under a dog" in page


def test_pages_do_not_fetch_the_key(as_bob, attempt):
    for rest in ("", "rulings/", "rulings/a/", "compare/"):
        with CaptureQueriesContext(
            connection,
        ) as queries:
            assert as_bob.get(url(attempt, rest)).status_code == 200
        asked = [query["sql"] for query in queries]
        assert any('"quizzes_revision"."content"' in sql for sql in asked), rest
        assert not any('"quizzes_revision"."key"' in sql for sql in asked), rest


def test_clock_is_only_there_with_a_pace(as_bob, bob, club, attempt):
    assert "data-clock" not in as_bob.get(url(attempt)).text
    timed = open_attempt(club, bob, pace_seconds=90)
    page = as_bob.get(url(timed)).text
    assert "left of 6" in page
    assert "Two minutes more" in page
    before = as_bob.get(f"/classes/{timed.revision.exercise_id}/").text
    assert "The clock gives 6 minutes, 1½ minutes a dog." in before


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (1, "1 second"),
        (50, "50 seconds"),
        (60, "1 minute"),
        (90, "1½ minutes"),
        (250, "4 min 10 s"),
        (1200, "20 minutes"),
    ],
)
def test_times_are_said_as_people_say_them(seconds, words):
    assert duration(seconds) == words


def test_handed_in_leads_to_the_result(as_bob, attempt):
    attempts.hand_in(attempt, now=timezone.now(), answer=answer())
    for rest in ("", "rulings/", "rulings/a/"):
        assert as_bob.get(url(attempt, rest)).url == url(attempt, "result/")


# Moves by plain buttons


def test_moves_are_stored_and_lead_back_to_their_place(as_bob, attempt):
    assert press(as_bob, attempt, "place:c").url == url(attempt) + "#dog-c"
    press(as_bob, attempt, "place:a")
    press(as_bob, attempt, "place:b")
    assert press(as_bob, attempt, "up:b").url == url(attempt) + "#board"
    assert stored(attempt).answer["order"] == list("cba")
    press(as_bob, attempt, "put", dog="a", to="1")
    press(as_bob, attempt, "back:c")
    assert stored(attempt).answer["order"] == list("ab")
    assert stored(attempt).version == 6


def test_arrows_name_the_place_they_lead_to(as_bob, bob, club):
    page = as_bob.get(url(open_attempt(club, bob, order="abc"))).text
    assert 'aria-label="Move 22 up to 1st"' in page
    assert 'aria-label="Move 22 down to 3rd"' in page
    assert 'aria-label="Move 11 up" aria-disabled="true"' in page
    assert 'aria-label="Move 33 down" aria-disabled="true"' in page


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({"move": "place:x"}, "not in the class"),
        ({"move": "up:d"}, "Place this dog first"),
        ({"move": "put", "dog": "a", "to": "7"}, "Give a place from 1 to 1."),
        ({"move": "put", "dog": "a", "to": "first"}, "Give the place as a number."),
        ({"move": "put", "dog": "a", "to": "9" * 5000}, "Give the place as a number."),
        ({"move": "put", "dog": "a"}, "Give the place as a number."),
        ({"move": "fly:a"}, "Choose a dog and where it goes."),
        ({}, "Choose a dog and where it goes."),
    ],
)
def test_refused_move_shows_the_page_with_the_reason(as_bob, bob, club, data, words):
    attempt = open_attempt(club, bob, order="a")
    refused = as_bob.post(url(attempt, "board/"), data)
    assert refused.status_code == 422
    assert words in refused.text
    assert "<title>Error:" in refused.text
    assert stored(attempt).answer["order"] == ["a"]


def test_full_board_refuses_another_dog(as_bob, bob, club):
    attempt = open_attempt(club, bob, order="ab", places=2)
    assert "Take one back first" in as_bob.get(url(attempt)).text
    assert "All places are taken" in press(as_bob, attempt, "place:c").text


# Saving by the script


def test_save_keeps_the_answer_and_says_when(as_bob, attempt):
    reply = save(as_bob, attempt, {"order": ["c", "a"], "rulings": {}})
    assert reply.status_code == 200
    body, now = reply.json(), stored(attempt)
    assert body["version"] == now.version == 1
    assert body["savedAt"] == timezone.localtime(now.saved_at).strftime("%H:%M")
    assert body["handedIn"] is False
    assert body["left"] is None
    assert now.answer == {"order": ["c", "a"], "rulings": {}}


def test_save_says_what_is_left_on_the_clock(as_bob, bob, club):
    attempt = open_attempt(club, bob, pace_seconds=90)
    started = timezone.now() - timedelta(seconds=100)
    Attempt.objects.filter(pk=attempt.pk).update(started_at=started)
    assert 0 < save(as_bob, attempt, answer("ab")).json()["left"] <= 260


def test_saving_the_same_again_changes_nothing(as_bob, attempt):
    first = save(as_bob, attempt, answer("ab")).json()
    again = save(as_bob, attempt, answer("ab"), version=0)
    assert again.status_code == 200
    assert again.json() == first


def test_save_on_an_old_version_is_a_conflict(as_bob, attempt):
    save(as_bob, attempt, answer("ab"))
    late = save(as_bob, attempt, answer("ba"), version=0)
    assert late.status_code == 409
    assert late.json()["answer"]["order"] == ["a", "b"]
    assert late.json()["version"] == 1
    assert stored(attempt).answer["order"] == ["a", "b"]
    assert save(as_bob, attempt, answer("ba"), version=1).status_code == 200


@pytest.mark.parametrize(
    "data",
    [
        {},
        {"answer": "{}"},
        {"answer": "{", "version": "0"},
        {"answer": "[" * 100_000, "version": "0"},
        {"answer": "[]", "version": "0"},
        {"answer": "null", "version": "0"},
        {"answer": '{"order": ["x"]}', "version": "0"},
        {"answer": '{"order": ["a", "a"]}', "version": "0"},
        {"answer": '{"rulings": {"a": {"ruling": "excused"}}}', "version": "0"},
        {"answer": "{}", "version": "one"},
        {"answer": "{}", "version": "9" * 5000},
    ],
)
def test_what_is_no_answer_is_refused(as_bob, attempt, data):
    refused = as_bob.post(url(attempt, "save/"), data)
    assert refused.status_code == 422
    assert refused.json()["problem"]
    assert stored(attempt).version == 0


def test_reason_with_what_no_database_keeps(as_bob, attempt):
    entry = {"ruling": "excused", "reason": "lame\x00 \ud800fore"}
    reply = save(as_bob, attempt, {"order": [], "rulings": {"a": entry}})
    assert reply.status_code == 200
    assert stored(attempt).answer["rulings"]["a"]["reason"] == "lame fore"


# Handing in


def test_hand_in_grades_and_leads_to_the_result(as_bob, attempt):
    reply = hand_in(as_bob, attempt, answer("abdc"))
    assert reply.url == url(attempt, "result/")
    assert stored(attempt).is_handed_in
    grade = Grade.objects.get(attempt=attempt)
    # One of the six pairs is the other way round.
    assert (grade.pairs_agreed, grade.pairs_counted) == (5, 6)


def test_without_a_script_the_stored_answer_is_handed_in(as_bob, bob, club):
    attempt = open_attempt(club, bob, order="dcba")
    assert hand_in(as_bob, attempt).url == url(attempt, "result/")
    assert stored(attempt).answer["order"] == list("dcba")


def test_handing_in_again_changes_nothing(as_bob, attempt):
    hand_in(as_bob, attempt, answer("abcd"))
    before = stored(attempt)
    assert hand_in(as_bob, attempt, answer("dcba")).url == url(attempt, "result/")
    after = stored(attempt)
    assert after.answer == before.answer
    assert after.handed_in_at == before.handed_in_at
    assert Grade.objects.count() == 1
    assert attempt.revision.tallies.count() == 4


def test_incomplete_placing_is_not_handed_in(as_bob, bob, club):
    attempt = open_attempt(club, bob, order="ab")
    refused = hand_in(as_bob, attempt)
    assert refused.status_code == 422
    assert "3rd is free. Place 44, 33, or give it a ruling below." in refused.text
    assert not stored(attempt).is_handed_in


@pytest.mark.parametrize("sent", ["{", '"abcd"', "[1]"])
def test_placing_that_did_not_arrive_whole_is_not_handed_in(as_bob, bob, club, sent):
    attempt = open_attempt(club, bob, order="abcd")
    data = {"submission": attempt.submission, "answer": sent}
    refused = as_bob.post(url(attempt, "hand-in/"), data)
    assert refused.status_code == 422
    assert "<title>Error:" in refused.text
    assert not stored(attempt).is_handed_in


def test_nothing_changes_once_it_is_handed_in(as_bob, attempt):
    attempts.hand_in(attempt, now=timezone.now(), answer=answer())
    result = url(attempt, "result/")
    assert press(as_bob, attempt, "back:a").url == result
    assert as_bob.post(url(attempt, "more-time/")).url == result
    assert as_bob.post(url(attempt, "rulings/"), {"reason": "none"}).url == result
    late = save(as_bob, attempt, answer("dcba"), version=1)
    assert late.status_code == 409
    assert late.json()["handedIn"] is True
    assert stored(attempt).answer["order"] == list("abcd")


@pytest.mark.django_db(transaction=True)
def test_two_hand_ins_at_once_are_one(bob, attempt):
    clients = [signed_in(bob) for _device in range(4)]

    def press_hand_in(client):
        try:
            return hand_in(client, attempt, answer("abdc")).url
        finally:
            connections.close_all()

    with ThreadPoolExecutor(4) as pool:
        answers = list(pool.map(press_hand_in, clients))
    assert set(answers) == {url(attempt, "result/")}
    assert Grade.objects.count() == 1
    attempt.revision.refresh_from_db()
    assert attempt.revision.handed_in == 1
    assert {tally.count for tally in attempt.revision.tallies.all()} == {1}


# Rulings


def test_ruling_with_its_reason(as_bob, bob, club):
    attempt = open_attempt(club, bob, order="ab")
    data = {"ruling": "excused", "reason": "lame, right fore"}
    reply = as_bob.post(url(attempt, "rulings/a/"), data)
    assert reply.url == url(attempt) + "#dog-a"
    page = as_bob.get(url(attempt)).text
    assert "lame, right fore" in page
    assert "Back in the line" in page
    assert stored(attempt).answer["order"] == ["b"]
    press(as_bob, attempt, "clear:a")
    assert stored(attempt).answer["rulings"] == {}


@pytest.mark.parametrize(
    "data",
    [
        {"reason": ""},
        {"ruling": "scolded", "reason": "loud"},
        {"ruling": "excused"},
        {"ruling": "excused", "reason": "\u200b \x07"},
    ],
)
def test_ruling_that_is_not_whole_is_asked_again(as_bob, attempt, data):
    refused = as_bob.post(url(attempt, "rulings/a/"), data)
    assert refused.status_code == 422
    assert "<title>Error:" in refused.text
    assert stored(attempt).answer == {}


@pytest.mark.parametrize("rest", ["rulings/", "rulings/a/"])
def test_the_modules_faults_are_offered_as_a_rulings_reason(as_bob, bob, club, rest):
    attempt = open_attempt(club, bob, order="ab")
    fault = attempt.revision.module_revision.faults.first()
    page = as_bob.get(url(attempt, rest)).text
    assert 'list="module-faults"' in page
    assert f'<option value="{fault.name}">' in page


def test_withholding_what_is_left(as_bob, bob, club):
    attempt = open_attempt(club, bob, order="ab")
    assert "Withhold 3rd and below" in as_bob.get(url(attempt, "rulings/")).text
    reply = as_bob.post(url(attempt, "rulings/"), {"reason": "no merit"})
    assert reply.url == url(attempt) + "#board"
    kept = stored(attempt).answer
    assert kept["order"] == ["a", "b"]
    assert {entry["ruling"] for entry in kept["rulings"].values()} == {"withheld"}
    assert hand_in(as_bob, attempt).url == url(attempt, "result/")


def test_ruling_page_says_what_is_there_and_what_it_needs(as_bob, bob, club):
    excused = {"c": {"ruling": "excused", "reason": "lame"}}
    attempt = open_attempt(club, bob, order="ab", rulings=excused)
    placed, ruled, waiting = (
        as_bob.get(url(attempt, f"rulings/{dog}/")).text for dog in "bcd"
    )
    assert "<title>A ruling for 22 ·" in placed
    assert "Keep 22 at 2nd" in placed
    assert "<title>Another ruling for 33 ·" in ruled
    assert "Leave 33 as it is" in ruled
    assert "<title>A ruling for 44 ·" in waiting
    assert "Leave 44 in the line" in waiting
    for page in (placed, ruled, waiting):
        assert "Every ruling but Absent needs one." in page
        assert "(optional)" not in page


def test_absent_needs_no_reason(as_bob, attempt):
    reply = as_bob.post(url(attempt, "rulings/a/"), {"ruling": "absent", "reason": ""})
    assert reply.status_code == 302
    assert stored(attempt).answer["rulings"] == {
        "a": {"ruling": "absent", "reason": ""}
    }


# Two dogs side by side


def test_compare_shows_both_dogs_and_no_one_else(as_bob, attempt):
    page = as_bob.get(url(attempt, "compare/?first=c&second=b")).text
    assert "c by hand." in page
    assert "b by hand." in page
    assert "a by hand." not in page


@pytest.mark.parametrize("query", ["", "?first=c&second=c", "?first=x&second=y"])
def test_compare_always_finds_two_dogs(as_bob, attempt, query):
    page = as_bob.get(url(attempt, "compare/") + query)
    assert page.status_code == 200
    assert page.text.count('class="compare-dog"') == 2


def test_compare_leads_back_to_the_dog_it_came_from(as_bob, attempt):
    came = as_bob.get(url(attempt, "compare/?first=c")).text
    assert f'href="{url(attempt)}#dog-c"' in came
    assert '<input type="hidden" name="from" value="c">' in came
    went_on = as_bob.get(url(attempt, "compare/?first=a&second=b&from=c")).text
    assert f'href="{url(attempt)}#dog-c"' in went_on
    nonsense = as_bob.get(url(attempt, "compare/?first=a&second=b&from=x")).text
    assert f'href="{url(attempt)}#dog-a"' in nonsense


def test_compare_keeps_the_view(as_bob, attempt):
    page = as_bob.get(url(drawn(attempt), "compare/?first=a&view=side")).text
    assert '<input type="hidden" name="view" value="side">' in page


def test_more_time_counts_from_now_once_it_is_up(as_bob, bob, club):
    attempt = open_attempt(club, bob, pace_seconds=60)
    long_ago = timezone.now() - timedelta(minutes=20)
    Attempt.objects.filter(pk=attempt.pk).update(started_at=long_ago)
    assert as_bob.post(url(attempt, "more-time/")).url == url(attempt)
    left = stored(attempt).seconds_left(timezone.now())
    assert 100 < left <= 120


# Who and how

GETS = ["", "rulings/", "rulings/a/", "compare/"]
POSTS = ["board/", "save/", "hand-in/", "more-time/", "rulings/", "rulings/a/"]


@pytest.mark.parametrize("rest", GETS)
def test_outsider_gets_404(as_charlie, attempt, rest):
    assert as_charlie.get(url(attempt, rest)).status_code == 404


@pytest.mark.parametrize("rest", POSTS)
def test_outsider_changes_nothing(as_charlie, as_alice, attempt, rest):
    data = {"move": "place:a", "answer": "{}", "version": "0", "reason": "no"}
    for client in (as_charlie, as_alice):
        assert client.post(url(attempt, rest), data).status_code == 404
    assert stored(attempt).answer == {}


@pytest.mark.parametrize("rest", ["board/", "save/", "hand-in/", "more-time/"])
def test_writes_are_posts(as_bob, attempt, rest):
    assert as_bob.get(url(attempt, rest)).status_code == 405


def test_page_and_compare_take_no_posts(as_bob, attempt):
    assert as_bob.post(url(attempt)).status_code == 405
    assert as_bob.post(url(attempt, "compare/")).status_code == 405


def test_ruling_for_a_dog_that_is_not_there(as_bob, attempt):
    assert as_bob.get(url(attempt, "rulings/x/")).status_code == 404


def test_deeply_nested_answer_is_a_refusal(as_bob, attempt):
    answer = "[" * 100_000
    response = as_bob.post(f"/attempts/{attempt.pk}/hand-in/", {"answer": answer})
    assert response.status_code == 422
    assert "did not arrive whole" in response.text
