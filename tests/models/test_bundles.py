"""A module goes out as a bundle and comes in again, whole; what does not hold is refused."""

import contextlib
import json
import uuid
from io import BytesIO, StringIO

import jsonschema
import pytest
from django.conf import settings as site
from django.core.exceptions import ValidationError
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from quizzes import exercises
from quizzes.bundles import bag, checking, documents, importing
from quizzes.bundles.checking import Checked
from quizzes.bundles.kinds import KINDS
from quizzes.bundles.refusals import BadBundle
from quizzes.demo import load_demo
from quizzes.drawing.sketch import Sketch
from quizzes.models import Attempt, Build, Drawing, Exercise, Revision
from tests.any_module import ANYTHING, EXERCISES, FILES, modules, with_media
from tests.bundling import (
    NOW,
    alike,
    at,
    document_of,
    exported,
    files_of,
    opened,
    places,
    refusal,
    take,
    with_document,
    with_manifests,
    zipped,
)
from tests.factories import (
    AttemptFactory,
    BuildFactory,
    DrawingFactory,
    ExerciseFactory,
    LessonFactory,
    MembershipFactory,
    RevisionFactory,
)
from tests.photographs import PictureFactory, jpeg
from tests.placing import content as class_content
from tests.placing import key as class_key
from trainer.clubs.models import Role
from trainer.pictures import services as pictures
from trainer.pictures.models import Licence, Made, Picture
from trainer.study.desk import drafts
from trainer.study.models import Breed, Module, ModuleRevision
from trainer.study.sections import new_section
from trainer.study.services import publish_module

SCHEMA = json.loads(
    (site.BASE_DIR / "static/schemas/module-1.schema.json").read_text(encoding="utf-8")
)


def photograph(club, **more):
    """A photograph that may leave the club."""
    more = {"licence": Licence.BY, "credit": "Wren Holloway", **more}
    return PictureFactory(club=club, **more)


@pytest.fixture
def module(club):
    """A module with a lesson, a class, drawings and a breed of the club's own."""
    exercise = ExerciseFactory(
        module__club=club,
        module__breed__slug="tarn-collie",
        module__breed__name="Tarn Collie",
    )
    module = exercise.module
    revision = module.revisions.get()
    picture = photograph(club, title="Meg", alt="A bitch from the side.")
    plate = {
        "plate": Sketch(breed="marlefell-drover", faults={"F1": 0.5}).document(),
        "view": "side",
    }
    section = {
        **new_section("compare"),
        "text": "The blade.",
        "sides": [
            {"image": plate, "alt": "A drawn dog.", "caption": ""},
            {
                "image": {"photo": str(picture.public_id)},
                "alt": "A bitch.",
                "caption": "Meg",
            },
        ],
    }
    LessonFactory(revision=revision, sections=[section, new_section("text")])
    shown = {"picture": str(picture.public_id), "credit": "Wren Holloway"}
    RevisionFactory(
        exercise=exercise,
        title="Open bitches",
        content=KINDS["placing"].settled(class_content(b=shown), {})[0],
        key=class_key(cuts=[6, 3, 2], note="Kept short."),
        size=4,
    )
    DrawingFactory(club=club, module=module, priority="priority-1")
    BuildFactory(club=club, module=module)
    return module


@pytest.fixture
def revision(module):
    return module.revisions.get()


@pytest.fixture
def sound(revision):
    return exported(revision)


# out and in again


def test_module_goes_out_and_comes_in_whole(sound, revision, other_club, alice):
    report = take(sound, other_club, alice, agreed=True)
    again = document_of(exported(report.revision))
    assert alike(again) == alike(document_of(sound))
    assert report.revision.module.public_id == revision.module.public_id
    assert report.revision.module.club == other_club
    assert report.revision.author == alice


def test_everything_comes_in_as_drafts(sound, other_club, alice):
    report = take(sound, other_club, alice)
    assert report.module.outcome == importing.NEW
    assert report.revision.state == "draft"
    (draft,) = Revision.objects.filter(exercise__club=other_club)
    assert (draft.state, draft.size, draft.title) == ("draft", 4, "Open bitches")
    assert draft.module_revision == report.revision
    assert draft.exercise.made_by == draft.edited_by == alice


def test_what_came_in_can_be_published(sound, other_club, alice):
    report = take(sound, other_club, alice)
    (draft,) = report.made
    with pytest.raises(ValidationError, match="module"):
        exercises.publish(draft, now=NOW, regrade=False)
    publish_module(report.revision, now=NOW)
    assert exercises.publish(draft, now=NOW, regrade=False).state == "published"


def test_thrown_away_module_draft_that_has_classes_says_so(sound, other_club, alice):
    report = take(sound, other_club, alice)
    with pytest.raises(ValidationError, match="Discard"), transaction.atomic():
        drafts.discard(report.revision)
    assert ModuleRevision.objects.filter(pk=report.revision.pk).exists()


def test_a_document_fits_the_schema_by_another_reading(sound):
    """The published schema, read by the library as it stands, with nothing of ours between."""
    validator = jsonschema.Draft202012Validator
    validator.check_schema(SCHEMA)
    assert list(validator(SCHEMA).iter_errors(document_of(sound))) == []


def test_trial_says_what_would_be_made_and_makes_nothing(sound, other_club, alice):
    report = importing.trial(opened(sound), club=other_club, by=alice, now=NOW)
    assert report.module.outcome == importing.NEW
    assert [one.title for one in report.exercises] == ["Open bitches"]
    assert report.counts["priorities"] == 2
    assert report.counts["lessons"] == report.counts["drawings"] == 1
    assert report.new_photographs == 1
    assert not Module.objects.filter(club=other_club).exists()
    assert not Picture.objects.filter(club=other_club).exists()
    assert not Exercise.objects.filter(club=other_club).exists()


def test_trial_writes_no_file(sound, other_club, alice):
    before = default_storage.listdir("pictures")
    importing.trial(opened(sound), club=other_club, by=alice, now=NOW)
    assert default_storage.listdir("pictures") == before


def test_refusal_leaves_no_file(sound, other_club, alice, monkeypatch):
    def fail(*_args):
        raise ValidationError("no draft")

    monkeypatch.setattr(importing._Taking, "_beside", fail)
    before = default_storage.listdir("pictures")
    assert refusal(sound, other_club, alice) == "no draft"
    assert default_storage.listdir("pictures") == before


def test_the_same_again_makes_nothing(sound, revision, club, alice):
    report = take(sound, club, alice)
    assert report.makes_nothing
    assert report.known_photographs == 1
    assert revision.module.revisions.count() == 1
    assert Exercise.objects.count() == Revision.objects.count() == 1
    assert (
        Drawing.objects.count() == Build.objects.count() == Picture.objects.count() == 1
    )


def test_twice_into_another_club_makes_nothing_the_second_time(
    sound, other_club, alice
):
    first = take(sound, other_club, alice)
    second = take(sound, other_club, alice)
    assert not first.makes_nothing
    assert second.makes_nothing
    assert Picture.objects.filter(club=other_club).count() == 1


def test_what_is_asked_in_assessments_only_stays_so(revision, club, other_club, alice):
    Exercise.objects.update(kept_back=True)
    sent = exported(revision)
    assert document_of(sent)["exercises"][0]["kept_back"] is True
    assert take(sent, club, alice).makes_nothing
    take(sent, other_club, alice)
    assert Exercise.objects.get(club=other_club).kept_back
    Exercise.objects.filter(club=club).update(kept_back=False)
    report = take(sent, club, alice)
    assert report.makes_nothing
    assert "open for practice, and that stays" in " ".join(report.notes)
    assert not Exercise.objects.get(club=club).kept_back


def test_a_bundle_that_says_nothing_of_assessments_leaves_what_is_here(
    sound, club, other_club, alice
):
    assert "kept_back" not in document_of(sound)["exercises"][0]
    take(sound, other_club, alice)
    assert not Exercise.objects.get(club=other_club).kept_back
    Exercise.objects.update(kept_back=True)
    assert take(sound, club, alice).makes_nothing
    assert Exercise.objects.get(club=club).kept_back


def test_what_differs_becomes_a_draft_beside_what_is_there(
    sound, revision, club, alice
):
    def change(document):
        document["module"]["title"] = "Another title"
        document["exercises"][0]["note"] = "Another note"

    report = take(with_document(sound, change), club, alice)
    assert report.module.outcome == report.exercises[0].outcome == importing.DRAFT
    revision.refresh_from_db()
    assert revision.state == "published"
    assert revision.title != "Another title"
    states = Revision.objects.order_by("number").values_list("number", "state", "note")
    assert list(states) == [(1, "published", ""), (2, "draft", "Another note")]


@pytest.mark.parametrize("part", ["module", "class"])
def test_a_draft_that_says_something_else_is_not_written_over(
    sound, revision, club, alice, part
):
    if part == "module":
        draft = drafts.draft_of(revision.module, by=alice, now=NOW)
        ModuleRevision.objects.filter(pk=draft.pk).update(title="In the making")
    else:
        draft = exercises.draft_of(Exercise.objects.get(), by=alice)
        Revision.objects.filter(pk=draft.pk).update(title="In the making")

    def change(document):
        document["module"]["title"] = "Another title"
        document["exercises"][0]["title"] = "Another title"

    if part == "class":
        Revision.objects.filter(pk=draft.pk).update(title="In the making")
    assert "“In the making” has a draft here" in refusal(
        with_document(sound, change), club, alice
    )


def test_what_is_in_force_comes_back_beside_a_draft_in_the_making(
    sound, revision, club, alice
):
    """The bundle says what is in force, so the draft is none of its business."""
    draft = drafts.draft_of(revision.module, by=alice, now=NOW)
    ModuleRevision.objects.filter(pk=draft.pk).update(title="In the making")
    beside = exercises.draft_of(Exercise.objects.get(), by=alice)
    Revision.objects.filter(pk=beside.pk).update(title="In the making")
    report = take(sound, club, alice)
    assert report.makes_nothing
    assert report.revision == revision


def test_a_class_of_another_module_of_the_club_is_not_taken_over(sound, club, alice):
    Module.objects.update(public_id=uuid.uuid4())
    said = refusal(sound, club, alice)
    assert "“Open bitches” belongs to another module" in said


def test_the_breed_here_keeps_what_is_said_of_it(sound, other_club, alice):
    Breed.objects.update(summary="Said here.")
    report = take(sound, other_club, alice)
    assert any("what is said of it here stays" in note for note in report.notes)
    assert Breed.objects.get().summary == "Said here."


def test_a_breed_drawn_in_the_clubs_own_way_stays(sound, other_club, alice):
    name = Build.objects.get().name
    BuildFactory(club=other_club, name=name.upper(), values={"ear": "drop"})
    report = take(sound, other_club, alice)
    assert any("in its own way already" in note for note in report.notes)
    assert Build.objects.get(club=other_club).values == {"ear": "drop"}


def test_short_name_that_is_taken_gets_another(sound, other_club, alice):
    ExerciseFactory(module__club=other_club, module__slug="tarn-collie")
    report = take(sound, other_club, alice)
    assert report.revision.module.slug == "tarn-collie-2"


# profiles


def test_reading_profile_has_no_key(revision):
    reading = exported(revision, "reading")
    (exercise,) = document_of(reading)["exercises"]
    assert not {"key", "difficulty"} & exercise.keys()
    assert not any("levels" in dog for dog in exercise["content"]["dogs"])
    assert b"Kept short." not in files_of(reading)["data/module.json"]
    assert b"Kept short." in files_of(exported(revision))["data/module.json"]


def test_reading_profile_makes_a_class_without_a_key(revision, other_club, alice):
    take(exported(revision, "reading"), other_club, alice)
    draft = Revision.objects.get(exercise__club=other_club)
    assert draft.key["order"] == []
    assert len(draft.content["dogs"]) == 4


def test_reading_profile_leaves_a_class_that_has_a_key(revision, club, alice):
    report = take(exported(revision, "reading"), club, alice)
    assert report.makes_nothing
    Revision.objects.update(note="Another note")
    report = take(exported(revision, "reading"), club, alice)
    assert report.makes_nothing


# never in a bundle


def test_no_people_and_no_answers_go_out(revision, alice, bob):
    revision.author = alice
    revision.save()
    picture = Picture.objects.get()
    picture.consent_by, picture.uploaded_by = bob, bob
    picture.save()
    attempt = AttemptFactory(
        revision=Revision.objects.get(), trainee=bob, answer={"order": ["d"]}
    )
    files = files_of(exported(revision))
    everything = b"".join(files.values())
    assert b"@example.org" not in everything
    assert bob.name.encode() not in everything
    assert str(attempt.submission).encode() not in everything
    assert alice.name.encode() in everything
    assert Attempt.objects.count() == 1


def test_practice_of_one_person_stays_here(revision, bob):
    RevisionFactory(exercise__module=revision.module, exercise__practice_for=bob)
    assert len(document_of(exported(revision))["exercises"]) == 1


def test_a_draft_goes_out_only_where_nothing_is_in_force(revision, alice):
    draft = exercises.draft_of(Exercise.objects.get(), by=alice)
    Revision.objects.filter(pk=draft.pk).update(title="In the making")
    alone = RevisionFactory(
        exercise__module=revision.module,
        state="draft",
        title="Not yet",
        content=class_content(),
    )
    titles = [one["title"] for one in document_of(exported(revision))["exercises"]]
    assert titles == ["Open bitches", alone.title]


# photographs


def test_a_photograph_brings_what_is_known_of_it(sound, other_club, alice):
    landmarks = {"facing": "left", "points": {"withers": [37.5, 31.0]}}
    Picture.objects.update(
        landmarks=landmarks, made=Made.RETOUCHED, rights_holder="Tarn Photo"
    )
    module = Module.objects.get()
    take(exported(module.revisions.get()), other_club, alice, agreed=True)
    kept = Picture.objects.get(club=other_club)
    assert (kept.title, kept.alt) == ("Meg", "A bitch from the side.")
    assert (kept.credit, kept.licence) == ("Wren Holloway", Licence.BY)
    assert (kept.made, kept.landmarks) == (Made.RETOUCHED, landmarks)
    assert kept.rights_holder == "Tarn Photo"
    assert kept.is_cleared
    assert kept.consent_by == kept.uploaded_by == alice


def test_without_consent_nobody_else_sees_a_photograph(
    sound, other_club, alice, charlie
):
    take(sound, other_club, alice)
    kept = Picture.objects.filter(club=other_club)
    assert not kept.get().is_cleared
    assert not kept.visible_to(charlie).exists()
    assert kept.visible_to(alice).exists()


def test_photographs_are_encoded_anew(sound, other_club, alice):
    """What is kept is a picture that was written here, whatever else was in the file."""

    def hide(files):
        (path,) = [one for one in files if one.endswith(".jpg")]
        image = Image.open(BytesIO(files[path]))
        out = BytesIO()
        image.save(out, "JPEG", comment=b"a hidden note")
        return path, out.getvalue() + b"<script>"

    files = files_of(sound)
    old, data = hide(files)
    name = checking.strict.read(files["data/module.json"], "x")["media"][0]
    new = bag._sha256(data)
    del files[old]
    text = files["data/module.json"].decode()
    text = text.replace(name["sha256"], new)
    text = text.replace(f'"bytes": {name["bytes"]}', f'"bytes": {len(data)}')
    files |= {"data/module.json": text.encode(), f"data/media/{new}.jpg": data}
    take(zipped(with_manifests(files)), other_club, alice)
    kept = Picture.objects.get(club=other_club)
    with kept.large.open("rb") as file:
        found = file.read()
    assert b"hidden note" not in found
    assert b"<script>" not in found
    assert kept.sha256 == new


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"licence": Licence.PERMISSION}, "does not go further"),
        ({"licence": ""}, "not on record"),
        (
            {"consent_at": None, "consent_words": "", "consent_by": None},
            "not on record",
        ),
        (None, "withdrawn"),
    ],
)
def test_a_photograph_that_may_not_leave_stays(revision, change, why):
    picture = Picture.objects.get()
    if change is None:
        pictures.withdraw(picture, now=NOW)
    else:
        Picture.objects.update(**change)
    found = documents.export(revision, profile="authoring", now=NOW)
    assert why in found.kept_back[str(picture.public_id)]
    document = document_of(bag.written(found.bag, now=NOW))
    assert document["media"] == []
    assert str(picture.public_id) not in json.dumps(document)
    (lesson,) = document["module"]["lessons"]
    assert lesson["sections"][0]["sides"][1]["image"] == {}
    assert not any(
        dog["picture"] for dog in document["exercises"][0]["content"]["dogs"]
    )
    assert not any(dog["credit"] for dog in document["exercises"][0]["content"]["dogs"])


def test_a_photograph_that_was_withdrawn_here_stays_away(sound, other_club, alice):
    take(sound, other_club, alice)
    pictures.withdraw(Picture.objects.get(club=other_club), now=NOW)
    ModuleRevision.objects.filter(module__club=other_club).update(
        state="published", published_at=NOW
    )
    Revision.objects.filter(exercise__club=other_club).update(
        state="published", published_at=NOW
    )
    report = take(sound, other_club, alice)
    assert any("withdrawn here" in note for note in report.notes)
    assert Picture.objects.in_use().filter(club=other_club).count() == 0


def test_photographs_need_room(sound, other_club, alice, settings):
    settings.PICTURES_PER_CLUB = 0
    assert "may keep 0 photographs" in refusal(sound, other_club, alice)


def test_a_photograph_that_is_none_is_refused(sound, other_club, alice):
    files = files_of(sound)
    (path,) = [one for one in files if one.endswith(".jpg")]
    data = jpeg()[:400]
    new = bag._sha256(data)
    text = files["data/module.json"].decode().replace(path[-68:-4], new)
    document = json.loads(text)
    document["media"][0]["bytes"] = len(data)
    del files[path]
    files |= {
        "data/module.json": json.dumps(document).encode(),
        f"data/media/{new}.jpg": data,
    }
    said = refusal(zipped(with_manifests(files)), other_club, alice)
    assert "damaged" in said


# the commands


def run(name, path, **options):
    """Exit code and what was said."""
    said = StringIO()
    try:
        call_command(name, str(path), stdout=said, **options)
    except CommandError as error:
        return error.returncode, str(error)
    return 0, said.getvalue()


@pytest.fixture
def elsewhere(other_club, alice):
    MembershipFactory(club=other_club, user=alice, role=Role.MENTOR)
    return {"club": other_club.slug, "author": alice.email}


def test_commands_carry_a_module_from_club_to_club(
    module, other_club, elsewhere, tmp_path
):
    path = tmp_path / "bundle.zip"
    code, said = run("export_bundle", path, club=module.club.slug, module=module.slug)
    assert (code, path.exists()) == (0, True)
    code, said = run("import_bundle", path, dry_run=True, **elsewhere)
    assert (code, Module.objects.filter(club=other_club).exists()) == (0, False)
    assert "Open bitches: new here." in said
    code, said = run("import_bundle", path, agreed=True, **elsewhere)
    made = Module.objects.get(club=other_club)
    assert (code, made.revisions.get().state) == (0, "draft")
    assert Picture.objects.get(club=other_club).is_cleared


def test_export_command_says_what_stays_here(module, tmp_path):
    Picture.objects.update(licence=Licence.PERMISSION)
    path = tmp_path / "bundle.zip"
    _code, said = run("export_bundle", path, club=module.club.slug, module=module.slug)
    assert "stays here: it is used here by permission" in said


def test_export_command_says_what_is_not_to_be_had(module, tmp_path):
    slug = module.club.slug
    path = tmp_path / "bundle.zip"
    code, said = run("export_bundle", path, club=slug, module="nope")
    assert code == 2
    assert module.slug in said
    assert run("export_bundle", tmp_path, club=slug, module=module.slug)[0] == 2
    module.revisions.get().priorities.update(plate_faults=["F99"])
    code, said = run("export_bundle", path, club=slug, module=module.slug)
    assert (code, path.exists()) == (1, False)
    assert "F99" in said


def test_import_command_publishes_all_or_nothing(
    module, other_club, elsewhere, tmp_path
):
    path = tmp_path / "bundle.zip"
    path.write_bytes(exported(module.revisions.get()))
    code, said = run("import_bundle", path, publish=True, **elsewhere)
    assert code == 1
    assert "The module lacks: An introduction" in said
    assert not Module.objects.filter(club=other_club).exists()


# what does not hold


DOG = ("exercises", 0, "content", "dogs", 0)
KEY = ("exercises", 0, "key")
SIDES = ("module", "lessons", 0, "sections", 0, "sides")
PLATE = (*SIDES, 0, "image", "plate")


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (at("formatVersion")("2.0"), "written in format 2.0; this site reads format 1.1"),
        (at("formatVersion")("first"), "does not say in which format"),
        (at("formatVersion")(1), "does not say in which format"),
        (at("profile")("secret"), "profile: must be one of authoring, reading"),
        (lambda d: d.pop("module"), "“module” is missing"),
        (lambda d: d["module"]["breed"].pop("name"), "module, breed: “name” is missing"),
        (at("module", "title")("x" * 121), "module, title: longer than the 120"),
        (at("module", "id")("../../etc"), "module, id: has another form"),
        (at("module", "priorities", 1, "weight")(0), "priorities 2, weight: must lie"),
        (at("module", "priorities", 1, "slug")("priority-1"), "priority “priority-1”"),
        (at("module", "priorities", 0, "plate")(["F99"]), "has the fault “F99”"),
        (at("module", "priorities", 0, "phrases")(["x"] * 4), "phrases: has another"),
        (at("module", "priorities", 0, "phrases")(["x"] * 6), "longer than the 5"),
        (at("module", "faults", 0, "priority")("nope"), "names the priority “nope”"),
        (at("module", "examination", "steps", 0, "priority")("nope"), "Step “Step 1”"),
        (at("module", "standard", "link")("javascript:alert(1)"), "standard_link"),
        (at(*PLATE, "breed")("unicorn"), "section 1: the drawn dog is drawn as “unicorn”"),
        (at(*PLATE, "faults")({"F99": 0.5}), "has the fault “F99”"),
        (at(*PLATE, "faults")({"F1": 7}), "has another form"),
        (at(*PLATE, "build")({"wings": 1}), "has the control “wings”"),
        (at(*PLATE, "build")({"length": 9000}), "has “length” out of its range"),
        (at(*PLATE, "own")({"ear": "square"}), "has “ear” out of its range"),
        (at(*PLATE, "measures")(["wingspan"]), "the measurement “wingspan”"),
        (at(*SIDES, 0, "image", "view")("inside"), "has another form"),
        (at(*SIDES)([]), "sides: has another form"),
        (at("module", "lessons", 0, "sections", 0, "kind")("game"), "must be one of"),
        (at("module", "drawings", 0, "drawn", "breed")("unicorn"), "Drawing “An upright"),
        (at("module", "club_breed", "base")("unicorn"), "The breed “Sallowmere"),
        (at("module", "club_breed", "values")({"length": 1}), "out of its range"),
        (at("exercises", 0, "type")("critique"), "“least, most, checklist” is missing"),
        (at("exercises", 0, "type")("dance"), "of the kind “dance”"),
        (at("exercises", 0, "pace_seconds")(1), "must lie within"),
        (lambda d: d["exercises"].append(d["exercises"][0]), "Two of the same id: exercise"),
        (at(*DOG, "id")("b"), "two dogs have the same id"),
        (at(*DOG, "faults")({"F99": 0.5}), "dog a has the fault “F99”"),
        (at(*DOG, "levels")({"priority-1": 5}), "must lie within"),
        (at(*DOG, "picture")(str(uuid.UUID(int=7))), "shown that is not there"),
        (at(*KEY, "order")(["a", "a", "b"]), "the key places a dog twice"),
        (at(*KEY, "order")(["a", "z"]), "names the dog “z”"),
        (at(*KEY, "rulings")({"z": {"ruling": "excused"}}), "names the dog “z”"),
        (at(*KEY, "rulings")({"a": {"ruling": "excused"}}), "both a place and a ruling"),
        (at(*KEY, "rulings")({"a": {"ruling": "eaten"}}), "must be one of"),
        (at(*KEY, "pairs", 0, "upper")("z"), "names the dog “z”"),
        (at(*KEY, "cuts")([1, 2, 3, 4]), "more gaps than neighbours"),
        (at(*KEY, "level")([3]), "more gaps than neighbours"),
        (lambda d: d["exercises"][0]["key"]["pairs"].append(d["exercises"][0]["key"]["pairs"][0]), "two reasons"),
        (at("media")([]), "is not described"),
        (at("media", 0, "bytes")(1), "is not the one that is described"),
        (at("media", 0, "path")(f"media/{'0' * 64}.jpg"), "is missing"),
        (at("media", 0, "landmarks")({"facing": "left", "points": {"wing": [1, 2]}}), "a landmark that is not known"),
        (lambda d: d["media"].append(d["media"][0]), "Two of the same id: photograph"),
        (lambda d: b"[]", "holds no module"),
        (lambda d: b"{", "is no JSON"),
        (lambda d: b'{"formatVersion": NaN}', "holds the number NaN"),
    ],
)  # fmt: skip
def test_what_does_not_hold_is_refused(sound, other_club, alice, change, said):
    assert said in refusal(with_document(sound, change), other_club, alice)


def test_a_bundle_without_its_document_is_refused(sound):
    files = files_of(sound)
    del files["data/module.json"]
    with pytest.raises(BadBundle, match=r"lacks its “module\.json”"):
        opened(zipped(with_manifests(files)))


def test_two_sections_of_one_id_are_refused(sound, other_club, alice):
    def change(document):
        sections = document["module"]["lessons"][0]["sections"]
        sections[1]["id"] = sections[0]["id"]

    said = refusal(with_document(sound, change), other_club, alice)
    assert "Lesson “Lesson 1”: two sections have the same id" in said


def test_every_problem_is_told_at_once(sound, other_club, alice):
    def change(document):
        document["module"]["faults"][0]["priority"] = "nope"
        document["exercises"][0]["key"]["order"] = ["z"]

    said = refusal(with_document(sound, change), other_club, alice)
    assert "“nope”" in said
    assert "“z”" in said


def test_members_that_nobody_knows_are_told_and_passed_over(sound, other_club, alice):
    def change(document):
        document["formatVersion"] = "1.7"
        document["mood"] = "sunny"
        document["module"]["priorities"][1]["colour"] = "blue"
        document["exercises"][0]["content"]["dogs"][2]["collar"] = "red"

    report = take(with_document(sound, change), other_club, alice)
    notes = " | ".join(report.notes)
    assert "module.json: “mood” is not known here" in notes
    assert "module, priorities 2: “colour”" in notes
    assert "exercises 1, content, dogs 3: “collar”" in notes
    again = document_of(exported(report.revision))
    assert not {"mood"} & again.keys()
    assert "collar" not in json.dumps(again)


def test_files_for_other_programs_are_told_and_passed_over(sound, other_club, alice):
    files = files_of(sound)
    files |= {"data/qti/item.xml": b"<item/>", "data/readme.txt": b"hello"}
    report = take(zipped(with_manifests(files)), other_club, alice)
    notes = " | ".join(report.notes)
    assert "“qti/item.xml” is for other programs" in notes
    assert "“readme.txt” is no part of a module" in notes


def test_notes_and_problems_are_as_many_as_a_person_reads(sound, other_club, alice):
    def notes(document):
        document |= {f"mood{n}": n for n in range(500)}

    def problems(document):
        document["module"]["priorities"] = [0] * 50_000

    report = take(with_document(sound, notes), other_club, alice)
    assert len(report.notes) < 20
    assert "And 488 notes more." in report.notes
    assert len(refusal(with_document(sound, problems), other_club, alice)) < 2000


def test_levels_on_unknown_priorities_are_told(sound, other_club, alice):
    change = at(*DOG, "levels")({"wings": 3})
    report = take(with_document(sound, change), other_club, alice)
    assert any("does not have: wings" in note for note in report.notes)


def test_unfinished_class_comes_in_and_says_what_it_lacks(sound, other_club, alice):
    report = take(with_document(sound, at(*KEY)({})), other_club, alice)
    assert report.exercises[0].lacks > 0


def test_unfinished_module_goes_out_and_comes_in(revision, other_club, alice):
    """A draft may lack texts, phrases and a sum; it is saved all the same, and says what it lacks."""
    first = revision.priorities.get(number=1)
    first.phrases.filter(level=2).delete()
    revision.priorities.filter(number=1).update(look_for="", weight=7)
    report = take(exported(revision), other_club, alice)
    assert report.module.lacks >= 3
    came, went = map(documents.module_part, (report.revision, revision))
    assert came["priorities"] == went["priorities"]
    with pytest.raises(ValidationError, match="add up to 57"):
        importing.publish(report, now=NOW)


def test_a_refusal_deep_inside_leaves_nothing(sound, other_club, alice, monkeypatch):
    def fail(*_args, **_kwargs):
        raise ValidationError("no room")

    monkeypatch.setattr(pictures, "describe", fail)
    assert refusal(sound, other_club, alice) == "no room"
    assert not Picture.objects.filter(club=other_club).exists()


# any module


@settings(
    deadline=None,
    max_examples=25,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow, HealthCheck.data_too_large],
)  # fmt: skip
@given(module=modules(), exercises_=EXERCISES)
def test_any_module_survives_the_round_trip(
    club, other_club, alice, module, exercises_
):
    """Document -> club -> bundle -> another club -> bundle: nothing is lost on the way."""
    document = with_media(module, exercises_)
    files = {one["path"]: FILES[one["id"]] for one in document["media"]}
    payload = {"module.json": json.dumps(document).encode(), **files}
    first = bag.written(bag.Bag("module-any-1", payload), now=NOW)
    with transaction.atomic():
        once = take(first, club, alice, agreed=True)
        second = exported(once.revision)
        again = take(second, other_club, alice, agreed=True)
        third = exported(again.revision)
        assert alike(document_of(second)) == alike(document)
        assert alike(document_of(third)) == alike(document)
        assert take(second, club, alice).makes_nothing
        assert take(second, other_club, alice).makes_nothing
        transaction.set_rollback(True)


@settings(
    deadline=None,
    max_examples=100,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(data=st.data())
def test_whatever_stands_anywhere_is_taken_or_refused_in_words(
    sound, other_club, alice, data
):
    """Any other value at any place of a document gives a module or a sentence, never a failure."""
    ways = list(places(document_of(sound)))
    *way, last = data.draw(st.sampled_from(ways))
    value = data.draw(ANYTHING)
    spoilt = with_document(sound, at(*way, last)(value))
    with transaction.atomic():
        with contextlib.suppress(BadBundle):
            taken = take(spoilt, other_club, alice)
            assert opened(exported(taken.revision)).document["module"]
        transaction.set_rollback(True)


@pytest.mark.once
def test_the_demo_goes_out_and_comes_in_whole(other_club, charlie):
    """Everything the demo's module has, in a bundle of each profile."""
    demo = load_demo(now=NOW)
    revision = demo.modules.get().revisions.get()
    found = documents.export(revision, profile="authoring", now=NOW)
    assert not found.left_out
    assert not found.kept_back
    data = exported(revision)
    report = take(data, other_club, charlie)
    again = document_of(exported(report.revision))
    assert alike(again) == alike(document_of(data))
    assert {one["type"] for one in again["exercises"]} == set(KINDS)
    assert not any(one.lacks for one in (report.module, *report.exercises))
    reading = document_of(exported(revision, "reading"))["exercises"]
    assert len(reading) == len(again["exercises"])
    assert not {way[-1] for way in places(reading)} & SECRET


SECRET = {
    "key",
    "levels",
    "cuts",
    "rubric",
    "difficulty",
    "why",
    "right",
    "severity",
    "ruling",
    "grade",
    "reasons",
}
"""Names under which something is told that trainees find out."""


def test_a_document_read_by_hand_needs_no_file(other_club, alice, sound):
    """What is checked can come from loose files as well, as the demo's does."""
    document = document_of(sound)
    document["media"] = []
    text = json.dumps(document).replace(str(Picture.objects.get().public_id), "")
    stripped = json.loads(text.replace('{"photo": ""}', "{}"))
    bundle = Checked(stripped, {})
    report = importing.take(bundle, club=other_club, by=alice, now=NOW, agreed=False)
    assert report.module.outcome == importing.NEW
