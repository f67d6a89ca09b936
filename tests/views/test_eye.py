"""Estimates by eye: told by measuring, never before, with a person's errors over time."""

import random
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from quizzes.attempts import begin, hand_in
from quizzes.demo_sheets import documents, stored
from quizzes.drawing.amounts import unit_of
from quizzes.drawing.sketch import MEASURES
from quizzes.grading.items import FULL, HALF, NONE
from quizzes.kinds.eye.asked import ASKABLE, MARKS, Estimate, Placed
from quizzes.kinds.eye.errors import errors_of
from quizzes.kinds.eye.explained import explained
from quizzes.kinds.eye.kind import KIND
from quizzes.kinds.eye.tolerances import tolerance
from quizzes.kinds.eye.truth import truth_of
from quizzes.models import Revision
from quizzes.plates import conformation, measure
from tests.factories import (
    BuildFactory,
    DrawingFactory,
    ExerciseFactory,
    MembershipFactory,
    ModuleFactory,
    RevisionFactory,
    UserFactory,
)
from tests.models.test_pictures_landmarks import HEIGHT, WIDTH, photographed
from tests.photographs import PictureFactory
from tests.sheets import answered, opened, posted, right, sheet
from tests.views.test_sheets import form_values
from trainer.clubs.models import Role

pytestmark = pytest.mark.django_db
DOG = {"breed": "marlefell-drover", "faults": {"F1": 0.5}, "coat_seed": 4}


@pytest.fixture(autouse=True)
def own_plates(settings, tmp_path):
    settings.VAR_DIR = settings.MEDIA_ROOT = tmp_path


def row(**more):
    return Estimate.read({"id": "r1", "drawing": DOG, "measure": "layback", **more})


def points_sheet(club, **more):
    """The demo's sheet of landmarks, in force."""
    document = next(
        one for one in documents() if one["title"] == "Where the points lie"
    )
    module = more.pop("module", None) or ModuleFactory(club=club)
    exercise = ExerciseFactory(module=module, kind="eye")
    return RevisionFactory(exercise=exercise, size=4, **stored(document), **more)


def photograph(club, facing="left"):
    dog = conformation("unnamed-dog")
    marks = photographed(dog.side, facing=facing)
    size = {"width": WIDTH, "height": HEIGHT}
    return PictureFactory(club=club, landmarks=marks, title="A dog", **size), dog


def test_truth_is_what_is_measured():
    found = measure(conformation("marlefell-drover", {"F1": 0.5}))
    assert truth_of(row(), Placed()).value("layback") == found["layback"].value
    # Full within 3 degrees, half within 6, none beyond (the figures of common practice).
    told = [KIND.points(row(), Placed(), 26 + off) for off in (0, 3, -3, 4, -6, 6.2)]
    assert told == [FULL, FULL, FULL, HALF, HALF, NONE]


def test_lengths_are_per_cent_of_the_height():
    one = row(measure="length")
    assert truth_of(one, Placed()).value("length") == pytest.approx(108, abs=0.1)
    told = [KIND.points(one, Placed(), 108 + off) for off in (2, -2, 3, 4, 4.3)]
    assert told == [FULL, FULL, HALF, HALF, NONE]


def test_no_tolerance_is_finer_than_people_measure():
    truth = truth_of(row(), Placed())
    for name, one in ASKABLE.items():
        within = tolerance(name, truth)
        assert within >= {"degrees": 3, "height": 2, "per cent": 2}[unit_of(one)]


def test_landmarks_on_a_plate_lie_where_they_are_drawn():
    for mirror in (False, True):
        one = row(
            measure="", marks=["withers", "nose"], drawing={**DOG, "mirror": mirror}
        )
        truth = truth_of(one, Placed())
        side = one.sketch.dog.side
        apart = truth.apart(truth.places["withers"], truth.places["nose"])
        (ax, ay), (bx, by) = side["withers"], side["nose"]
        assert apart == pytest.approx(
            ((ax - bx) ** 2 + (ay - by) ** 2) ** 0.5, abs=0.05
        )
        is_left = truth.places["nose"][0] < truth.places["withers"][0]
        assert is_left is not mirror


@pytest.mark.parametrize("facing", ["left", "right"])
def test_a_photograph_is_measured_between_its_landmarks(club, facing):
    picture, dog = photograph(club, facing)
    photo = {"landmarks": picture.landmarks, "width": WIDTH, "height": HEIGHT}
    one = row(photo=str(picture.public_id))
    truth = truth_of(one, Placed(photo=photo))
    assert truth.value("layback") == pytest.approx(measure(dog)["layback"].value)
    assert truth.has_scale
    high = truth.apart(
        truth.places["withers"], (truth.places["withers"][0], 100 * 900 / HEIGHT)
    )
    assert high == pytest.approx(100, abs=0.1)


def test_landmarks_are_graded_by_their_distance(club, bob):
    revision = points_sheet(club)
    one = KIND.sheet(revision.content).rows[0]
    whole = KIND.right(one, Placed())
    assert KIND.points(one, Placed(), whole) == FULL
    moved = {name: [x + 9, y] for name, (x, y) in whole.items()}
    assert KIND.points(one, Placed(), moved) == NONE
    near = {**whole, "withers": moved["withers"]}
    assert KIND.points(one, Placed(), near) == HALF


def test_some_landmarks_are_kept_and_asked_for(client, club, bob):
    revision = points_sheet(club)
    attempt = opened(revision, bob)
    answer = right(revision)
    first = attempt.shown["order"][0]
    gone = next(iter(answer["items"][first]))
    del answer["items"][first][gone]
    client.force_login(bob)
    data = {"version": attempt.version, "do": "hand-in", **posted(revision, answer)}
    page = client.post(f"/attempts/{attempt.pk}/sheet/", data)
    assert page.status_code == 422
    assert "One thing is not answered yet: number 1." in page.content.decode()
    attempt.refresh_from_db()
    assert set(attempt.answer["items"][first]) == set(answer["items"][first])


@pytest.mark.parametrize(
    ("typed", "kept"), [("31,5", 31.5), ("31°", 31.0), (" 7 ", 7.0)]
)
def test_numbers_are_taken_as_people_type_them(typed, kept):
    assert KIND.check_one(row(), typed) == kept


def test_nothing_true_leaves_before_the_answer_is_in(client, club, bob):
    revision = sheet(club, "eye")
    attempt = opened(revision, bob)
    client.force_login(bob)
    page = client.get(f"/attempts/{attempt.pk}/").content.decode()
    assert "measured=1" not in page
    assert "F1" not in re.sub(r'name="csrf[^>]+>', "", page).partition("data-sheet")[2]
    for one in revision.content["items"]:
        plate = client.get(f"/attempts/{attempt.pk}/eye/{one['id']}.svg?measured=1")
        assert plate.status_code == 200
        assert "<text" not in plate.content.decode()
    client.force_login(UserFactory())
    assert client.get(f"/attempts/{attempt.pk}/eye/r1.svg").status_code == 404


def test_afterwards_the_plate_is_measured_and_the_error_has_its_sign(client, club, bob):
    revision = sheet(club, "eye")
    answer = right(revision)
    answer["items"]["r2"] = round(answer["items"]["r2"] - 4, 1)
    attempt = answered(revision, bob, answer)
    client.force_login(bob)
    page = client.get(f"/attempts/{attempt.pk}/result/").content.decode()
    assert "\N{MINUS SIGN}4°" in page
    assert "too little" in page
    assert "Half right" in page
    plate = client.get(f"/attempts/{attempt.pk}/eye/r2.svg?measured=1")
    assert "<text" in plate.content.decode()


def test_kept_measuring_layers_are_never_shown():
    drawn = {**DOG, "measures": ["layback"], "landmarks": True, "ideal": True}
    found = row(drawing=drawn).drawing
    assert (found["measures"], found["landmarks"], found["ideal"]) == ([], False, False)


def test_one_estimate_alone_is_told_without_a_picture(client, club, bob):
    revision = sheet(club, "eye")
    answer = right(revision)
    first = next(iter(revision.content["items"]))
    revision.content["items"] = [first]
    revision.save()
    one = answered(
        revision, bob, {"items": {first["id"]: answer["items"][first["id"]]}}
    )
    client.force_login(bob)
    page = client.get(f"/attempts/{one.pk}/result/").content.decode()
    assert "One estimate so far" in page
    assert 'class="eye-errors"' not in page
    assert "the one that there is stands in the table" in page


def test_errors_are_taken_together_over_all_attempts(
    client, club, bob, django_assert_num_queries
):
    """Ten are needed; a mentor of another club sees none of them."""
    revision = sheet(club, "eye")
    answer = right(revision)
    wrong = {pk: round(value + 2, 1) for pk, value in answer["items"].items()}
    first = answered(revision, bob, {"items": wrong})
    client.force_login(bob)
    page = client.get(f"/attempts/{first.pk}/result/").content.decode()
    assert "5 estimates so far" in page
    assert 'class="eye-errors"' in page
    second = answered(revision, bob, {"items": wrong})
    url = f"/attempts/{second.pk}/result/"
    page = client.get(url).content.decode()
    assert "On average they are 2° too much." in page
    with CaptureQueriesContext(connection) as few:
        client.get(url)
    for _ in range(3):
        answered(revision, bob, {"items": wrong})
    with django_assert_num_queries(len(few)):
        client.get(url)
    stranger = MembershipFactory(role=Role.MENTOR).user
    assert len(errors_of(second, bob)["layback"]) == 25
    assert not errors_of(second, stranger)


def test_a_trial_is_told_by_itself(club, alice):
    revision = sheet(club, "eye")
    now, rng = timezone.now(), random.Random(1)
    attempt = begin(revision, by=alice, now=now, rng=rng, preview=True)
    attempt = hand_in(attempt, now=now, answer=right(revision))
    answered(revision, alice)
    assert len(errors_of(attempt, alice)["layback"]) == 5


def test_words_of_the_tallies_tell_landmarks_apart():
    short = {name[:12] for name in MARKS}
    assert len(short) == len(MARKS)
    put = dict.fromkeys(MARKS, (100.0, 100.0))
    assert all(len(word) <= 20 for word in KIND.tallied(put))


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"drawing": {}}, "Choose a dog or a photograph."),
        ({"measure": ""}, "Say what is estimated"),
        ({"marks": ["withers"]}, "Say what is estimated"),
        ({"view": "front"}, "Choose the view that shows it."),
        ({"measure": "", "marks": ["withers"], "view": "rear"}, "not on the picture"),
        ({"photo": "x"}, "Choose a dog or a photograph."),
    ],
)
def test_what_a_row_lacks_is_said(change, said):
    assert said in " ".join(KIND.lacks(row(**change), Placed()))


def test_every_measurement_can_be_asked_and_explained():
    for name, one in ASKABLE.items():
        asked = row(measure=name, view=one.view)
        assert KIND.lacks(asked, Placed()) == []
        assert explained(asked, Placed(), 50.0)["off"]
    assert set(ASKABLE) < set(MEASURES)


def save(client, revision, **changes):
    url = f"/workshop/sheets/{revision.exercise_id}/"
    data = form_values(client.get(url).context) | {"do": "save", **changes}
    assert client.post(url, data).status_code == 302
    return Revision.objects.get(exercise=revision.exercise, state="draft")


def test_a_mentor_builds_a_dog_with_faults(client, club, alice):
    revision = sheet(club, "eye")
    client.force_login(alice)
    changes = {
        "row-r1-fault1": "F13",
        "row-r1-strength1": "40",
        "row-r1-measure": "stifle",
    }
    draft = save(client, revision, **changes, **{"row-r1-mirror": "on"})
    made = draft.content["items"][0]
    assert made["drawing"]["faults"] == {"F13": 0.4}
    assert made["drawing"]["mirror"] is True
    path = f"/workshop/eye/{revision.exercise_id}/r1.svg"
    assert client.get(path).status_code == 200
    page = client.get(f"/workshop/sheets/{revision.exercise_id}/").content.decode()
    is_true = truth_of(Estimate.read(made), Placed()).value("stifle")
    assert f"Measured: <b>{is_true:.0f}°</b>" in page


def test_a_mentor_takes_over_a_kept_drawing(client, club, alice):
    document = {**DOG, "faults": {"F9": 0.8}, "measures": ["pelvis"]}
    drawing = DrawingFactory(club=club, document=document)
    BuildFactory(club=club)
    revision = sheet(club, "eye")
    client.force_login(alice)
    draft = save(client, revision, **{"row-r1-kept": drawing.pk})
    made = draft.content["items"][0]["drawing"]
    assert (made["faults"], made["measures"]) == ({"F9": 0.8}, [])


def test_a_photographs_landmarks_stay_as_they_were(client, club, alice, bob):
    """What is published keeps the truth it was published with, whatever is placed anew."""
    picture, _dog = photograph(club)
    revision = sheet(club, "eye")
    client.force_login(alice)
    changes = {"row-r1-photo": str(picture.public_id), "row-r1-measure": "stifle"}
    draft = save(client, revision, **changes)
    assert KIND.problems(draft.content, draft.key) == []
    kept = draft.key["items"]["r1"]["photo"]
    assert kept["landmarks"] == picture.landmarks
    draft.state, draft.published_at = "published", timezone.now()
    Revision.objects.filter(pk=revision.pk).update(state="superseded")
    draft.save()
    attempt = opened(draft, bob)
    client.force_login(bob)
    page = client.get(f"/attempts/{attempt.pk}/").content.decode()
    assert str(picture.public_id) in page
    # The landmarks stand in the key, so nothing of them is on the page.
    assert not [name for name in ("stifle", "hock_joint") if f'"{name}"' in page]
    done = hand_in(attempt, now=timezone.now(), answer=right(draft))
    told = client.get(f"/attempts/{done.pk}/result/").content.decode()
    assert "<line" in told


def test_a_withdrawn_photograph_is_said_to_be_gone(client, club, bob):
    one = {**row(photo="5f9c1c1e-0000-4000-8000-000000000000").document()}
    exercise = ExerciseFactory(module=ModuleFactory(club=club), kind="eye")
    content = {"items": [one], "mixed": False}
    revision = RevisionFactory(
        exercise=exercise, content=content, key={"items": {}}, size=1
    )
    attempt = opened(revision, bob)
    client.force_login(bob)
    assert "was withdrawn" in client.get(f"/attempts/{attempt.pk}/").content.decode()


def test_the_mentors_page_asks_as_often_for_many_rows(
    client, club, alice, django_assert_num_queries
):
    revision = sheet(club, "eye")
    client.force_login(alice)
    url = f"/workshop/sheets/{revision.exercise_id}/"
    rows = revision.content["items"]
    Revision.objects.filter(pk=revision.pk).update(
        content={**revision.content, "items": rows[:1]}
    )
    client.get(url)
    with CaptureQueriesContext(connection) as few:
        client.get(url)
    Revision.objects.filter(pk=revision.pk).update(content=revision.content)
    with django_assert_num_queries(len(few)):
        client.get(url)
