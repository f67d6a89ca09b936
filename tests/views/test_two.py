"""Which of two: chosen pair by pair, stored once each, told afterwards, written by a mentor."""

import random
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from quizzes.attempts import hand_in
from quizzes.kinds.two.answering import Run
from quizzes.kinds.two.content import PairsContent
from quizzes.kinds.two.drawable import offers
from quizzes.kinds.two.kind import KIND
from quizzes.kinds.two.making import pair
from quizzes.models import Attempt, Revision
from tests.factories import ModuleFactory, UserFactory
from tests.material import drawn_module
from tests.pairs import BLADE, answered, opened, pairs

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def own_plates(settings, tmp_path):
    settings.VAR_DIR = tmp_path


def press(client, attempt, number, side):
    data = {"pair": number, "chosen": side}
    return client.post(f"/attempts/{attempt.pk}/pairs/", data)


def run_of(attempt):
    attempt.refresh_from_db()
    content = PairsContent.read(attempt.revision.content)
    return Run.of(content, attempt.shown, attempt.answer)


def test_every_press_is_stored_once(client, club, bob):
    attempt = opened(pairs(club), bob)
    client.force_login(bob)
    assert client.get(f"/attempts/{attempt.pk}/").status_code == 200
    for _ in range(3):
        # A double press, the other dog too late, a page that the back button brought back.
        assert press(client, attempt, 1, 0).url == f"/attempts/{attempt.pk}/#pair"
    press(client, attempt, 1, 1)
    assert run_of(attempt).chosen == (0,)
    press(client, attempt, 2, 1)
    assert run_of(attempt).chosen == (0, 1)
    # One that is not due is not taken.
    press(client, attempt, 9, 1)
    assert run_of(attempt).chosen == (0, 1)
    page = client.get(f"/attempts/{attempt.pk}/").content.decode()
    assert "Pair 3 of 24." in page
    trial = attempt.answer["trials"][1]
    assert set(trial) == {"n", "seed", "difference", "side", "chosen"}


@pytest.mark.parametrize(
    ("number", "side"),
    [("1", "2"), ("1", ""), ("", "0"), ("x", "0"), ("-1", "0"), ("1", "\x00")],
)
def test_nonsense_is_no_choice(client, club, bob, number, side):
    attempt = opened(pairs(club), bob)
    client.force_login(bob)
    assert press(client, attempt, number, side).status_code == 422
    assert run_of(attempt).chosen == ()


def test_the_last_pair_leads_to_the_result(client, club, bob):
    attempt = opened(pairs(club), bob)
    client.force_login(bob)
    for number in range(1, 25):
        told = press(client, attempt, number, run_of(attempt).pairs[-1].better)
    assert told.url == f"/attempts/{attempt.pk}/result/"
    page = client.get(told.url).content.decode()
    assert "24 of 24 pairs were right." in page
    assert press(client, attempt, 24, 0).url == told.url
    grade = attempt.grades.get()
    assert (grade.share, grade.chance) == (None, None)
    assert "°" in KIND.outcome(grade)


def test_who_stops_before_twenty_pairs_is_told_what_it_takes(client, club, bob):
    attempt = opened(pairs(club), bob)
    client.force_login(bob)
    for number in range(1, 21):
        if number == 3:
            page = client.post(f"/attempts/{attempt.pk}/hand-in/")
            assert page.status_code == 422
            text = "You have chosen in 2 pairs; it takes 20 to tell anything."
            assert text in page.content.decode()
        press(client, attempt, number, 0)
    told = client.post(f"/attempts/{attempt.pk}/hand-in/")
    assert told.url == f"/attempts/{attempt.pk}/result/"


def test_a_server_that_starts_anew_shows_the_same_pair(club, bob):
    """Everything follows from what is stored."""
    attempt = opened(pairs(club), bob)
    content = PairsContent.read(attempt.revision.content)
    runs = [Run(content, attempt.shown["seed"], (0, 1, 1, 0)) for _ in range(2)]
    assert runs[0].pairs == runs[1].pairs
    assert runs[0].document() == runs[1].document()


def test_what_is_sent_changes_nothing_but_the_choices(club, bob):
    attempt = opened(pairs(club), bob)
    lies = [{"n": 1, "difference": 0.01, "side": 0, "chosen": 0}] * 20
    done = hand_in(attempt, now=timezone.now(), answer={"trials": lies})
    content = PairsContent.read(attempt.revision.content)
    honest = Run(content, attempt.shown["seed"], (0,) * 20).document()
    assert done.answer == honest


@pytest.mark.parametrize(
    "answer", [None, [], {"trials": 3}, {"trials": [3]}, {"trials": [{"chosen": True}]}]
)
def test_what_is_no_answer_is_refused(club, bob, answer):
    from django.core.exceptions import ValidationError

    attempt = opened(pairs(club), bob)
    with pytest.raises(ValidationError):
        KIND.check(attempt.revision.content, attempt.shown, answer)


def test_nothing_on_the_page_tells_the_dogs_apart(client, club, bob):
    """Words and addresses of the two are the same but for first and second, whichever is better."""
    revision = pairs(club)
    seen = {0: set(), 1: set()}
    for seed in range(8):
        someone = UserFactory()
        attempt = opened(revision, someone, seed=seed)
        attempt.trainee = bob
        Attempt.objects.filter(trainee=bob).delete()
        attempt.save()
        client.force_login(bob)
        page = client.get(f"/attempts/{attempt.pk}/").content.decode()
        form = page[page.index("data-pair") : page.index("two-count")]
        first, second = form.split('class="two-dog"')[1:]
        alike = re.compile(r"/\d\.svg|first|second|value=\"\d\"|The ")
        assert (
            alike.sub("", first).split("</button>")[0]
            == alike.sub("", second).split("</button>")[0]
        )
        assert attempt.shown["seed"] not in page
        assert "F1" not in first + second
        better = run_of(attempt).pairs[-1].better
        seen[better].add(str(attempt.pk))
    assert seen[0]
    assert seen[1]


def test_plates_tell_nothing_and_stay_closed(client, club, bob):
    attempt = opened(pairs(club), bob)
    client.force_login(bob)
    path = f"/attempts/{attempt.pk}/pairs"
    plates = [client.get(f"{path}/1/{side}.svg?measured=1") for side in (0, 1)]
    texts = [one.content.decode() for one in plates]
    assert all("<text" not in text and "F1" not in text for text in texts)
    assert texts[0] != texts[1]
    boxes = {re.search(r'viewBox="[^"]+"', text)[0] for text in texts}
    assert len(boxes) == 1
    # Not a pair that is not due yet, nor a third dog.
    assert client.get(f"{path}/2/0.svg").status_code == 404
    assert client.get(f"{path}/1/2.svg").status_code == 404
    assert client.get(f"{path}/1/0.svg?theme=neon").status_code == 404
    client.force_login(UserFactory())
    assert client.get(f"{path}/1/0.svg").status_code == 404


def test_a_plate_is_measured_once_the_answer_is_in(client, club, bob):
    attempt = answered(pairs(club), bob)
    client.force_login(bob)
    plate = client.get(f"/attempts/{attempt.pk}/pairs/1/0.svg?measured=1")
    assert "<text" in plate.content.decode()


@pytest.mark.parametrize("asks", ["forehand:F1", "hindquarters:F13", "all"])
def test_pairs_differ_by_what_is_wanted(club, asks):
    content = PairsContent.read(pairs(club, BLADE | {"asks": asks}).content)
    for number in range(1, 12):
        for share in (1, 0.5, 0.2, 0.06):
            wanted = content.largest * share
            made = pair(content, "seed", number, wanted)
            assert made.difference == pytest.approx(wanted, abs=content.smallest)
            assert made.difference > 0
            same = [(d.sex, d.coat_seed, d.mirror) for d in made.dogs]
            assert same[0] == same[1]


def test_the_better_dog_stands_first_as_often_as_second(club):
    content = PairsContent.read(pairs(club).content)
    first = sum(pair(content, f"s{n}", 1, 6).better == 0 for n in range(200))
    assert 70 < first < 130


def test_a_module_that_cannot_be_drawn_says_so(client, club, alice):
    module = ModuleFactory(club=club)
    client.force_login(alice)
    data = {"module": module.pk, "title": "Mine", "note": ""}
    told = client.post("/workshop/pairs/new/", data)
    page = client.get(told.url).content.decode()
    assert "No priority of this module can be drawn" in page
    assert KIND.problems(Revision.objects.get(title="Mine").content, {})


def test_the_mentor_chooses_what_pairs_differ_in(client, club, alice):
    module = drawn_module(club, alice)
    client.force_login(alice)
    data = {"module": module.pk, "title": "Blades", "note": ""}
    told = client.post("/workshop/pairs/new/", data)
    page = client.get(told.url)
    assert "Movement" in page.content.decode()
    version = page.context["version"]
    sent = {"title": "Blades", "note": "", "asks": "forehand:F1", "down": 3}
    sent |= {"pairs": 30, "version": version, "do": "save"}
    assert client.post(told.url, sent).status_code == 302
    draft = Revision.objects.get(title="Blades")
    content = PairsContent.read(draft.content)
    assert (content.measure, content.down, content.pairs) == ("layback", 3, 30)
    assert KIND.problems(draft.content, {}) == []
    # Another window is not written over.
    assert client.post(told.url, sent).status_code == 422
    example = client.get(f"/workshop/pairs/{draft.exercise_id}/largest-0.svg")
    assert example.status_code == 200


def test_what_is_offered_can_be_seen(club, alice):
    found = offers(drawn_module(club, alice).revisions.in_force().get())
    assert found.named("all").unit == "points"
    assert sum(part.weight for part in found.named("all").of) == pytest.approx(100)
    assert found.named("outline:F4").unit == "height"
    assert {name for name, _why in found.left_out} >= {"Movement", "Coat"}


def test_earlier_attempts_stand_beside(client, club, bob, django_assert_num_queries):
    revision = pairs(club)
    answered(revision, bob, seed=1)
    last = answered(revision, bob, seed=2)
    client.force_login(bob)
    url = f"/attempts/{last.pk}/result/"
    client.get(url)
    with CaptureQueriesContext(connection) as few:
        page = client.get(url).content.decode()
    assert "Over time" in page
    for seed in range(3, 7):
        answered(revision, bob, seed=seed)
    with django_assert_num_queries(len(few)):
        client.get(url)


def test_the_list_and_the_room_say_what_was_seen(
    client, club, alice, bob, django_assert_num_queries
):
    revision = pairs(club)
    for n in range(4):
        answered(revision, UserFactory(), seed=n)
    answered(revision, bob, seed=9)
    client.force_login(bob)
    page = client.get(f"/classes/{revision.exercise_id}/").content.decode()
    assert re.search(r"(about|less than) [\d.]+°", page)
    assert "At random" not in page
    client.force_login(alice)
    url = f"/workshop/classes/{revision.exercise_id}/attempts/"
    client.get(url)
    with CaptureQueriesContext(connection) as few:
        assert "half lie between" in client.get(url).content.decode()
    for n in range(5):
        answered(revision, UserFactory(), seed=20 + n)
    with django_assert_num_queries(len(few)):
        client.get(url)


def test_a_trial_of_the_mentor_counts_nowhere(client, club, alice):
    revision = pairs(club)
    client.force_login(alice)
    told = client.post(f"/workshop/classes/{revision.exercise_id}/preview/")
    attempt = Attempt.objects.get(preview=True)
    assert told.url == f"/attempts/{attempt.pk}/"
    rng = random.Random(1)
    for number in range(1, 25):
        press(client, attempt, number, rng.randrange(2))
    page = client.get(f"/attempts/{attempt.pk}/result/")
    assert page.status_code == 200
    assert Revision.objects.get(pk=revision.pk).handed_in == 0
