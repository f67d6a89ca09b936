"""Every kind of exercise in a seminar's room: answered on the phone, summed on the stage, told, typed in, reported."""

import re

import pytest
from django.utils import timezone

from quizzes.kinds import REGISTERED, kind_named
from quizzes.kinds.two.paper_form import ladder
from quizzes.models import Attempt
from tests.conftest import signed_in
from tests.critiques import TEXT, critique
from tests.examinations import examination, right_answer
from tests.examinations import posted as exam_posted
from tests.factories import UserFactory
from tests.pairs import pairs
from tests.placing import placing_class
from tests.seminars import attendee, seminar, sitting
from tests.sheets import SHEET_KINDS, posted, right, sheet
from trainer.seminars import services, sittings
from trainer.seminars.asking import room_of
from trainer.seminars.models import Hand, Sitting
from trainer.seminars.stage import result_told
from trainer.seminars.stage_pages import pages

pytestmark = pytest.mark.django_db
JSON = {"HTTP_ACCEPT": "application/json"}
MAKERS = {
    "placing": placing_class,
    "critique": critique,
    "examination": examination,
    "two": pairs,
}


@pytest.fixture
def held(club, alice):
    return seminar(club, mentors=[alice])


def made(kind, club):
    return MAKERS[kind](club) if kind in MAKERS else sheet(club, kind)


def as_the_key(revision) -> dict:
    """What the form sends for an answer that is all right."""
    kind = revision.exercise.kind
    if kind in SHEET_KINDS:
        return posted(revision, right(revision))
    if kind == "placing":
        return {"placing": "11 22 33 44"}
    if kind == "critique":
        return {"text": TEXT, "covered": ["0", "1"]}
    if kind == "examination":
        return exam_posted(right_answer(revision), page="a")
    rungs = enumerate(ladder(room_of(revision).pairs), start=1)
    return {f"a-pair-{n}": str(one.better) for n, one in rungs}


def send(client, one, sent):
    url = f"/seminars/{one.seminar_id}/room/hand-in/"
    return client.post(url, {"sitting": one.pk, **sent}, **JSON)


def answered(held, one, times=5):
    """As many people who answer as the key has it; the last one's client."""
    client = None
    for _ in range(times):
        place = attendee(held, UserFactory())
        services.check_in(place, now=timezone.now())
        client = signed_in(place.person)
        said = send(client, one, as_the_key(one.revision))
        assert said.status_code == 200, said.json()
    return client


@pytest.mark.parametrize("kind", REGISTERED)
def test_a_kind_is_run_from_start_to_report(kind, as_alice, organiser, held, club):
    one = sitting(held, made(kind, club), open=True)
    waiting = attendee(held)
    page = signed_in(waiting.person).get(f"/seminars/{held.pk}/room/").text
    fields = set(re.findall(r'name="([^"]+)"', page))
    # Landmarks are sent by their two numbers, everything else by its name.
    assert set(as_the_key(one.revision)) <= fields
    front = [f"/seminars/{held.pk}/{name}/" for name in ("stage", "rostrum")]
    front.append(f"/seminars/{held.pk}/sittings/1/clerk/")
    assert [as_alice.get(url).status_code for url in front] == [200] * 3
    client = answered(held, one)
    assert re.search(
        "is in</p>|answer is in|placing is in",
        client.get(f"/seminars/{held.pk}/room/").text,
    )
    sittings.close(one, now=timezone.now())
    done = sittings.show(Sitting.objects.get(pk=one.pk), now=timezone.now())
    assert done.result["counted"] == 5
    told = client.get(f"/seminars/{held.pk}/room/")
    assert told.status_code == 200
    every = pages(done, result_told(done))
    titles = set()
    for n in range(len(every)):
        as_alice.post(f"/seminars/{held.pk}/sittings/1/turn/", {"page": n})
        shown = as_alice.get(front[0]).text
        titles.add(re.search(r"<h1[^>]*>(.*?)</h1>", shown, re.DOTALL)[1])
        assert not any(place.name in shown for place in held.attendees.all())
        assert every[n].title in as_alice.get(front[1]).text.replace("&#x27;", "'")
    assert titles
    report = signed_in(organiser).get(f"/seminars/{held.pk}/report/")
    assert report.status_code == 200
    kept = Attempt.objects.filter(revision=one.revision)
    assert kept.count() == (5 if room_of(one.revision).is_kept else 0)
    for attempt in kept[:1]:
        result = signed_in(attempt.trainee).get(f"/attempts/{attempt.pk}/result/")
        assert result.status_code == 200


@pytest.mark.parametrize("kind", sorted(set(REGISTERED) - {"critique"}))
def test_an_answer_as_the_key_is_counted_as_such(kind, held, club):
    one = sitting(held, made(kind, club), open=True)
    answered(held, one)
    sittings.close(one, now=timezone.now())
    done = sittings.show(Sitting.objects.get(pk=one.pk), now=timezone.now())
    assert done.result["share"] == 1
    if kind != "placing":
        assert {(row["right"], row["of"]) for row in done.result["rows"]} == {(5, 5)}


@pytest.mark.parametrize("kind", REGISTERED)
def test_what_is_not_whole_is_refused_and_what_was_given_stays(kind, held, club, bob):
    one = sitting(held, made(kind, club), open=True)
    services.check_in(attendee(held, bob), now=timezone.now())
    sent = as_the_key(one.revision)
    part = dict(list(sent.items())[:1]) | (
        {"placing": "11"} if kind == "placing" else {}
    )
    part |= {"text": "Short."} if kind == "critique" else {}
    url = f"/seminars/{held.pk}/room/hand-in/"
    page = signed_in(bob).post(url, {"sitting": one.pk, **part})
    assert page.status_code == 422
    assert not Hand.objects.handed_in().exists()
    name, value = next(iter(part.items()))
    kept = (
        rf'name="{name}"[^>]*value="{value}"[^>]* checked',
        rf'name="{name}"[^>]*value="{value}"',
        r"Short\.</textarea>",
    )
    assert any(re.search(one, page.text) for one in kept)


def test_without_scripts_a_step_is_moved_and_nothing_handed_in(held, club, bob):
    one = sitting(held, examination(club), open=True)
    services.check_in(attendee(held, bob), now=timezone.now())
    url = f"/seminars/{held.pk}/room/hand-in/"
    moved = {"sitting": one.pk, "a-order-Neck": "1", "do": "next:Bite"}
    names = {step["name"]: step["id"] for step in one.revision.content["steps"]}
    moved = {"sitting": one.pk, f"a-order-{names['Neck']}": "1"}
    page = signed_in(bob).post(url, {**moved, "do": f"next:{names['Bite']}"})
    assert page.status_code == 200
    assert re.search(rf'name="a-order-{names["Bite"]}"[^>]*value="2"', page.text)
    assert not Hand.objects.handed_in().exists()


def test_the_missing_step_is_left_out_where_it_would_give_away_the_order(
    as_alice, held, club
):
    one = sitting(held, examination(club))
    assert (
        "The missing step is left out"
        in as_alice.get(f"/seminars/{held.pk}/rostrum/").text
    )
    sittings.start(one, now=timezone.now())
    client = answered(held, one)
    page = client.get(f"/seminars/{held.pk}/room/").text
    assert "gap" not in Hand.objects.first().shown["gap"]
    sittings.close(one, now=timezone.now())
    sittings.show(Sitting.objects.get(pk=one.pk), now=timezone.now())
    attempt = Attempt.objects.first()
    page = signed_in(attempt.trainee).get(f"/attempts/{attempt.pk}/result/").text
    assert "was missing" not in page


def test_nobody_reads_another_ones_critique(as_alice, held, club):
    one = sitting(held, critique(club), open=True)
    answered(held, one)
    sittings.close(one, now=timezone.now())
    done = sittings.show(Sitting.objects.get(pk=one.pk), now=timezone.now())
    assert TEXT[:20] not in str(done.result)
    # They wait to be marked as those that were written alone.
    attempt = Attempt.objects.first()
    assert str(attempt.trainee) in as_alice.get("/workshop/marking/").text
    assert as_alice.get(f"/workshop/marking/{attempt.pk}/").status_code == 200
    assert done.result["share"] is None
    assert "Half of the critiques have 13 words or more." in done.result["figures"]
    ticked = done.result["rows"][-1]["answers"]
    assert {one["said"]: one["count"] for one in ticked} == {
        "Head": 5,
        "Coat": 5,
        "A fault": 0,
    }


def test_the_room_sees_as_small_a_difference_as_its_answers_say(held, club):
    """Whoever sees the four largest differences of the ladder and guesses at the others: half of those are right."""
    revision = pairs(club)
    room = room_of(revision)
    by_size = sorted(range(8), key=lambda n: -room.rungs[n].difference)
    answers = []
    for person in range(40):
        chosen = {}
        for rank, n in enumerate(by_size):
            better = room.rungs[n].better
            is_right = rank < 4 or (person + rank) % 2
            chosen[n] = better if is_right else 1 - better
        answers.append({"ladder": [chosen[n] for n in range(8)]})
    found = room.gathered(answers)
    assert [row["right"] for row in found["rows"]] == [40] * 4 + [20] * 4
    assert found["figures"][0].startswith("The smallest difference that the room sees")
    # It lies between the smallest that all saw and the largest at which all guessed.
    low, high = (room.rungs[by_size[n]].difference for n in (4, 3))
    told = float(re.search(r"about ([\d.]+)", found["figures"][0])[1])
    assert low / 2 < told < high


def test_every_kind_is_offered_by_name(as_alice, held, club):
    kinds = [made(kind, club).exercise.kind for kind in REGISTERED]
    page = as_alice.get(f"/seminars/{held.pk}/rostrum/").text
    assert all(f"({kind_named(kind).label})" in page for kind in kinds)
