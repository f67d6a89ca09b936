"""Exercises of every kind go out in a bundle and come in whole; what a kind can't hold is refused in words."""

import contextlib
import json
import random
import uuid

import jsonschema
import pytest
from django.db import transaction
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from quizzes.bundles import importing, schema
from quizzes.bundles.kinds import KINDS
from quizzes.drawing.sketch import Sketch
from quizzes.kinds import REGISTERED, kind_named, shapes
from quizzes.kinds.examination.content import MARKS
from quizzes.kinds.examination.safety import Mark
from quizzes.models import Exercise, Revision
from tests.any_module import ANYTHING, FILES, PHOTOGRAPHS, with_media
from tests.any_rows import SHEETS, exercises_of
from tests.bundling import (
    alike,
    at,
    document_of,
    exported,
    files_of,
    places,
    refusal,
    take,
    with_document,
    with_manifests,
    zipped,
)
from tests.critiques import critique
from tests.examinations import examination
from tests.factories import ExerciseFactory, MembershipFactory, RevisionFactory
from tests.pairs import pairs
from tests.photographs import PictureFactory
from tests.placing import content as class_content
from tests.placing import key as class_key
from tests.sheets import sheet
from trainer.clubs.models import Role
from trainer.pictures.models import Licence, Picture

ANY_CASE = settings(
    deadline=None,
    max_examples=5,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow, HealthCheck.data_too_large],
)  # fmt: skip

pytestmark = pytest.mark.once


def placing(club):
    exercise = ExerciseFactory(module__club=club)
    levels = {"levels": {"priority-1": 3}}
    content, _key = KINDS["placing"].settled(class_content(a=levels), {})
    return RevisionFactory(
        exercise=exercise, content=content, key=class_key(note="Said after."), size=4
    )


MADE = {
    "placing": placing,
    "critique": critique,
    "examination": examination,
    "two": pairs,
}


def any_exercise(club, slug) -> Revision:
    """An exercise of that kind in force, alone in its module."""
    return MADE[slug](club) if slug in MADE else sheet(club, slug)


def bundle_of(revision, profile="authoring") -> bytes:
    return exported(revision.module_revision, profile)


def with_exercise(data, exercise) -> bytes:
    """The bundle with that exercise alone, and the photographs that it shows."""
    document = document_of(data)
    document = with_media(document["module"], [exercise])
    files = files_of(data) | {
        f"data/{one['path']}": FILES[one["id"]] for one in document["media"]
    }
    files["data/module.json"] = json.dumps(document).encode()
    return zipped(with_manifests(files))


# every kind


def test_every_registered_kind_travels():
    assert set(KINDS) == set(REGISTERED)


def test_published_schema_says_what_the_kinds_hold():
    """After a change of a kind's documents: manage.py write_schema."""
    published = schema.published()
    jsonschema.Draft202012Validator.check_schema(published)
    assert schema.with_kinds(published) == published
    assert schema.path().read_text(encoding="utf-8") == schema.written(published)


def test_marks_of_steps_are_those_of_the_rules_of_safety():
    assert tuple(Mark.values) == MARKS


@pytest.mark.parametrize("slug", KINDS)
def test_it_goes_out_and_comes_in_whole(club, other_club, alice, slug):
    data = bundle_of(any_exercise(club, slug))
    report = take(data, other_club, alice)
    assert [one.outcome for one in report.exercises] == [importing.NEW]
    came = Revision.objects.get(exercise__club=other_club)
    assert alike(document_of(exported(report.revision))) == alike(document_of(data))
    assert kind_named(slug).problems(came.content, came.key) == []
    assert came.size == Revision.objects.get(exercise__club=club).size
    assert take(data, club, alice).makes_nothing
    assert take(data, other_club, alice).makes_nothing


@pytest.mark.parametrize("slug", KINDS)
def test_it_is_stored_as_it_was(club, other_club, alice, slug):
    sent = any_exercise(club, slug)
    take(bundle_of(sent), other_club, alice)
    came = Revision.objects.get(exercise__club=other_club)
    kind = KINDS[slug]
    stored = kind.stored(*kind.settled(sent.content, sent.key))
    assert [came.content, came.key] == json.loads(json.dumps(stored))


@pytest.mark.parametrize("slug", KINDS)
def test_an_older_bundle_still_comes_in(club, other_club, alice, slug):
    data = bundle_of(any_exercise(club, slug))
    older = with_document(data, at("formatVersion")("1.0"))
    assert not take(older, other_club, alice).makes_nothing


@pytest.mark.parametrize("slug", KINDS)
@ANY_CASE
@given(data=st.data())
def test_any_exercise_survives_the_round_trip(club, other_club, alice, slug, data):
    with transaction.atomic():
        sound = bundle_of(any_exercise(club, "severity"))
        first = with_exercise(sound, data.draw(exercises_of(slug)))
        Exercise.objects.all().delete()
        once = take(first, club, alice, agreed=True)
        second = exported(once.revision)
        again = take(second, other_club, alice, agreed=True)
        third = exported(again.revision)
        assert alike(document_of(second)) == alike(document_of(first))
        assert alike(document_of(third)) == alike(document_of(first))
        assert take(second, club, alice).makes_nothing
        transaction.set_rollback(True)


# photographs


def pictured(club, slug):
    """A sheet whose first row shows a photograph that may leave the club."""
    picture = PictureFactory(club=club, licence=Licence.BY, credit="Wren Holloway")
    revision = sheet(club, slug)
    kind, photo = kind_named(slug), str(picture.public_id)
    (first, *rest) = kind.sheet(revision.content)
    more = {
        "eye": {"photo": photo},
        "grade": {"picture": photo, "pictures": {"front": photo}},
    }
    shown = more.get(slug, {"image": {"photo": photo}, "alt": "A dog."})
    row = kind.asked.read({**first.document(), **shown})
    found = kind.sheet(revision.content)
    changed = type(found)((row, *rest), found.mixed, found.more)
    Revision.objects.filter(pk=revision.pk).update(
        **kind.stored(changed, kind.key(revision.key))
    )
    revision.refresh_from_db()
    return revision, picture


PICTURED = [one for one in SHEETS if one != "severity"]


@pytest.mark.parametrize("slug", PICTURED)
def test_photographs_of_rows_come_along(club, other_club, alice, slug):
    revision, picture = pictured(club, slug)
    take(bundle_of(revision), other_club, alice, agreed=True)
    came = Revision.objects.get(exercise__club=other_club)
    theirs = Picture.objects.get(club=other_club)
    kind = KINDS[slug]
    content, _key = kind.settled(came.content, came.key)
    assert kind.pictures(content) == {str(theirs.public_id)}
    assert str(picture.public_id) not in json.dumps([came.content, came.key])


@pytest.mark.parametrize("slug", PICTURED)
def test_photographs_that_stay_leave_their_places_empty(club, slug):
    revision, picture = pictured(club, slug)
    Picture.objects.update(licence=Licence.PERMISSION)
    assert str(picture.public_id).encode() not in b"".join(
        files_of(bundle_of(revision)).values()
    )


@pytest.mark.parametrize("slug", PICTURED)
def test_missing_photographs_of_rows_are_told(club, other_club, alice, slug):
    revision, _picture = pictured(club, slug)
    data = with_document(bundle_of(revision), lambda d: d["media"].clear())
    assert "A photograph is shown that is not there" in refusal(data, other_club, alice)


def test_photographs_of_options_come_along_though_a_number_is_asked(club):
    """What is not offered at the moment is kept, and so are its pictures."""
    photo = PHOTOGRAPHS[0]
    option = {"id": "o1", "image": {"photo": photo}}
    row = {"id": "r1", "answer": "number", "options": [option]}
    kind = KINDS["question"]
    content, _key = kind.settled({"items": [row]}, {})
    assert kind.pictures(content) == {photo}
    assert kind.pictures(kind.with_pictures(content, lambda _one: "")) == set()


# reading


KEY_WORDS = {
    "placing": ("key", "levels", "pairs", "cuts"),
    "critique": ("key", "rubric", "points", "levels"),
    "examination": ("key", "why", "sense", "marks", "gate", "level"),
    "two": ("key",),
}
OF_SHEETS = ("key", "why", "levels", "right", "said", "severity", "ruling", "grade")


@pytest.mark.parametrize("slug", KINDS)
def test_reading_tells_nothing_of_the_key(club, slug):
    revision = any_exercise(club, slug)
    (exercise,) = document_of(bundle_of(revision, "reading"))["exercises"]
    names = {way[-1] for way in places(exercise)}
    assert not names & {*KEY_WORDS.get(slug, OF_SHEETS), "difficulty"}
    said = json.dumps(exercise["content"])
    texts = {text for name, text in texts_of(revision.key) if name in ("why", "note")}
    assert not [text for text in texts if text in said]


def texts_of(document):
    """Every text in a document that is long enough to be told from others, with the name it stands under."""
    for way in places(document):
        value = document
        for one in way:
            value = value[one]
        if isinstance(value, str) and len(value) > 12:
            yield way[-1], json.dumps(value)[1:-1]


@pytest.mark.parametrize("slug", KINDS)
def test_reading_comes_in_without_a_key(club, other_club, alice, slug):
    reading = bundle_of(any_exercise(club, slug), "reading")
    take(reading, other_club, alice)
    assert take(reading, other_club, alice).makes_nothing
    assert take(reading, club, alice).makes_nothing
    again = Revision.objects.get(exercise__club=other_club)
    # A new critique has rows to mark by, whose names are the site's own.
    assert [one for one in texts_of(again.key) if one[0] != "name"] == []


def test_reading_does_not_tell_the_landmarks_of_what_is_estimated(club):
    revision, _picture = pictured(club, "eye")
    marks = {"facing": "left", "points": {"withers": [40, 20]}}
    Picture.objects.update(landmarks=marks)
    (told,) = document_of(bundle_of(revision))["media"]
    (untold,) = document_of(bundle_of(revision, "reading"))["media"]
    assert (told["landmarks"], untold["landmarks"]) == (marks, {})


def test_reading_does_not_tell_by_order_which_option_is_right(club):
    revision = sheet(club, "question")
    content, _key = KINDS["question"].settled(revision.content, revision.key)
    for row in KINDS["question"].for_reading(content)["items"]:
        ids = [one["id"] for one in row["options"]]
        assert ids == sorted(ids)


def test_reading_does_not_tell_the_order_by_the_missing_step(club):
    revision = examination(club)
    content, _key = KINDS["examination"].settled(revision.content, revision.key)
    read = KINDS["examination"].for_reading(content)
    assert content["gap"]["shown"]
    assert not read["gap"]["shown"]
    assert "gap" not in read["asked"]


# what does not hold


def exercise(*path):
    return at("exercises", 0, *path)


ROW = ("content", "items", 0)
PLATE = {**Sketch("marlefell-drover").document()}


def first_key(document):
    return next(iter(document["exercises"][0]["key"]["items"].values()))


def put_in_key(**values):
    return lambda document: first_key(document).update(values)


SPOILT = [
    ("severity", exercise(*ROW, "name")(7), "items 1, name: has another form"),
    ("severity", exercise(*ROW, "name")("x" * 121), "name: longer than the 120"),
    ("severity", exercise(*ROW, "id")("../x"), "items 1, id: has another form"),
    ("severity", exercise(*ROW, "id")("r1\n"), "items 1, id: has another form"),
    ("severity", exercise(*ROW, "id")("r2"), "two rows have the same id"),
    ("severity", lambda d: d["exercises"][0]["content"]["items"][0].pop("id"), "“id” is missing"),
    ("severity", exercise("content", "items")([{"id": "a"}] * 41), "longer than the 40"),
    ("severity", exercise("content", "mixed")("yes"), "mixed: has another form"),
    ("severity", exercise("content")([]), "content: has another form"),
    ("severity", put_in_key(severity="deadly"), "severity: must be one of minor, serious, disqualifying"),
    ("severity", put_in_key(why="x" * 2001), "why: longer than the 2000"),
    ("severity", lambda d: d["exercises"][0]["key"]["items"].update(zz={"why": ""}), "the key names the row “zz”"),
    ("ruling", put_in_key(ruling="hug"), "ruling: must be one of note"),
    ("ruling", put_in_key(half=["hug"]), "half 1: must be one of"),
    ("ruling", put_in_key(unsafe=["note"] * 41), "unsafe: longer than the 40"),
    ("ruling", exercise(*ROW, "image")({"plate": {**PLATE, "breed": "unicorn"}, "view": "side"}), "row 1: the dog is drawn as “unicorn”"),
    ("ruling", exercise(*ROW, "image")({"photo": str(uuid.UUID(int=9))}), "A photograph is shown that is not there"),
    ("ruling", exercise(*ROW, "image")({"photo": "me.jpg"}), "image: has another form"),
    ("question", exercise(*ROW, "answer")("essay"), "answer: must be one of one, several, number"),
    ("question", put_in_key(right=["nope"]), "row 1: the key names the answer “nope”"),
    ("question", put_in_key(said={"nope": "Yes."}), "row 1: the key names the answer “nope”"),
    ("question", put_in_key(number="many"), "number: has another form"),
    ("question", put_in_key(within=-1), "within: must lie within its range"),
    ("question", exercise(*ROW, "options")([{"id": "a"}] * 2), "two answers have the same id"),
    ("question", exercise(*ROW, "options")([{"id": f"a{n}"} for n in range(7)]), "options: longer than the 6"),
    ("eye", exercise(*ROW, "drawing")({"breed": "unicorn"}), "row 1: the dog is drawn as “unicorn”"),
    ("eye", exercise(*ROW, "drawing")({"legs": 5}), "drawing: has another form"),
    ("eye", exercise(*ROW, "measure")("wingspan"), "measure: must be one of"),
    ("eye", exercise(*ROW, "marks")(["wing"]), "marks 1: must be one of"),
    ("eye", exercise(*ROW, "view")("inside"), "view: must be one of"),
    ("eye", put_in_key(photo={"landmarks": {}}), "photo: has another form"),
    ("eye", put_in_key(photo={"landmarks": {"facing": "left", "points": {"wing": [1, 2]}}, "width": 9, "height": 9}), "the key has the landmark “wing”"),
    ("grade", exercise(*ROW, "faults")({"F99": 0.5}), "row 1: the dog has the fault “F99”"),
    ("grade", exercise(*ROW, "armband")("11"), "armband: has another form"),
    ("grade", exercise(*ROW, "armband")(11.0), "armband: has another form"),
    ("grade", exercise(*ROW, "pictures")({"inside": str(uuid.UUID(int=9))}), "pictures: must be one of side"),
    ("placing", exercise("content", "dogs", 0, "pictures")({"inside": str(uuid.UUID(int=9))}), "pictures: must be one of side"),
    ("grade", exercise("content", "breed")(["x"]), "breed: has another form"),
    ("grade", exercise("content", "priorities")([{"slug": "x"}]), "“name” is missing"),
    ("grade", put_in_key(grade="superb"), "grade: must be one of excellent"),
    ("grade", put_in_key(reasons=["for:forehand"] * 4), "reasons: longer than the 3"),
    ("grade", put_in_key(reasons=["because"]), "reasons 1: has another form"),
    ("examination", exercise("content", "asked")(["dance"]), "asked 1: must be one of"),
    ("examination", exercise("content", "steps", 0, "id")("zz"), "is named and not there"),
    ("examination", exercise("content", "finds")({}), "is named and not there"),
    ("examination", exercise("content", "to_find")([{"step": "zz"}]), "the step “zz” is named"),
    ("examination", exercise("key", "order", 0)("zz"), "the step “zz” is named"),
    ("examination", exercise("content", "to_find", 0)({}), "the step “” is named"),
    ("examination", lambda d: d["exercises"][0]["key"]["order"].pop(), "does not have every step"),
    ("examination", lambda d: d["exercises"][0]["key"]["order"].append(d["exercises"][0]["key"]["order"][0]), "the key has a step twice"),
    ("examination", exercise("key", "gap")("zz"), "the step “zz” is named"),
    ("examination", exercise("key", "level")([0.5]), "level 1: has another form"),
    ("examination", exercise("key", "steps")({"zz": {}}), "the step “zz” is named"),
    ("two", exercise("content", "breed")("unicorn"), "drawn as “unicorn”"),
    ("two", exercise("content", "parts", 0, "code")("F99"), "has the fault “F99”"),
    ("two", exercise("content", "build")({"wings": 1}), "has the control “wings”"),
    ("two", exercise("content", "pairs")(10**9), "pairs: must lie within its range"),
    ("two", exercise("content", "pairs")(3), "fewer pairs than it takes"),
    ("two", exercise("content", "largest")(0), "the smallest difference is larger"),
    ("two", exercise("content", "unit")("points"), "asks for what no plate shows"),
    ("two", exercise("content", "unit")("miles"), "unit: must be one of"),
    ("two", exercise("content", "down")(2.0), "down: has another form"),
]  # fmt: skip


@pytest.mark.parametrize(("slug", "change", "said"), SPOILT)
def test_what_does_not_hold_is_refused(club, other_club, alice, slug, change, said):
    data = with_document(bundle_of(any_exercise(club, slug)), change)
    assert said in refusal(data, other_club, alice)


@pytest.mark.parametrize("slug", KINDS)
def test_members_that_nobody_knows_are_told_and_passed_over(
    club, other_club, alice, slug
):
    def change(document):
        exercise = document["exercises"][0]
        exercise["content"]["mood"] = exercise["key"]["mood"] = "sunny"

    data = with_document(bundle_of(any_exercise(club, slug)), change)
    notes = " ".join(take(data, other_club, alice).notes)
    assert notes.count("“mood” is not known here") == 2
    came = Revision.objects.get(exercise__club=other_club)
    assert "sunny" not in json.dumps([came.content, came.key])


def test_unknown_priorities_and_steps_are_told(club, other_club, alice):
    def change(document):
        document["exercises"][0]["content"]["steps"][0]["name"] = "Weigh it"

    data = with_document(bundle_of(examination(club)), change)
    assert any("step that the module does not have: Weigh it" in note for note in take(data, other_club, alice).notes)  # fmt: skip
    data = with_document(bundle_of(sheet(club, "grade")), put_in_key(reasons=["for:x"]))
    assert any("does not have: x." in note for note in take(data, other_club, alice).notes)  # fmt: skip


@pytest.mark.parametrize("slug", KINDS)
@ANY_CASE
@given(data=st.data())
def test_whatever_stands_anywhere_is_taken_or_refused_in_words(
    club, other_club, alice, client, slug, data
):
    """Another value at any place gives an exercise that its kind can work with, or a sentence."""
    with transaction.atomic():
        sound = bundle_of(any_exercise(club, slug))
        ways = list(places(document_of(sound)["exercises"][0]))
        *way, last = data.draw(st.sampled_from(ways))
        spoilt = with_document(sound, exercise(*way, last)(data.draw(ANYTHING)))
        with contextlib.suppress(importing.BadBundle):
            take(spoilt, other_club, alice)
            came = Revision.objects.get(exercise__club=other_club)
            works_with(kind_named(came.exercise.kind), came)
            client.force_login(alice)
            MembershipFactory(club=other_club, user=alice, role=Role.MENTOR)
            preview = reverse("quizzes:exercise-preview", args=[came.exercise_id])
            assert client.post(preview, follow=True).status_code == 200
            assert bundle_of(came)
        transaction.set_rollback(True)


def works_with(kind, revision):
    """Everything the site asks of a kind about a stored exercise."""
    content, key = revision.content, revision.key
    kind.problems(content, key)
    kind.texts(content, key)
    kind.items(content)
    kind.differences((content, key), (content, key))
    kind.show(content, rng=random.Random(1), again=False)
    if hasattr(kind, "key_said"):
        known = kind.key(key)
        for row in kind.sheet(content):
            assert kind.key_said(row, kind.known_of(known, row)) is not None


@pytest.mark.parametrize("slug", KINDS)
@ANY_CASE
@given(data=st.data())
def test_whatever_comes_in_its_mentor_can_open(club, alice, client, slug, data):
    """Unfinished or odd as it may be: its pages are there to mend it."""
    client.force_login(alice)
    with transaction.atomic():
        sound = bundle_of(any_exercise(club, "severity"))
        sent = with_exercise(sound, data.draw(exercises_of(slug)))
        Exercise.objects.all().delete()
        take(sent, club, alice, agreed=True)
        exercise = Exercise.objects.get()
        for part in kind_named(slug).parts(exercise.pk, 3):
            assert client.get(part["url"]).status_code == 200
        manage = reverse("quizzes:exercise-manage", args=[exercise.pk])
        assert client.get(manage).status_code == 200
        transaction.set_rollback(True)


# shapes


def test_a_hint_that_does_not_say_what_it_holds_is_refused():
    with pytest.raises(TypeError, match="does not say"):
        shapes.shape_of(dict)
