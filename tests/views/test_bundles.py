"""The pages on which a module goes out as a bundle and comes in again."""

import json
import random
from datetime import timedelta
from io import BytesIO

import pytest
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from quizzes.bundles import bag, kept
from quizzes.models import Exercise, Revision
from quizzes.panels.services import open_panel
from tests.bundling import document_of, exported, files_of, with_document
from tests.factories import (
    ExerciseFactory,
    MembershipFactory,
    ModuleFactory,
    RevisionFactory,
)
from tests.photographs import PictureFactory
from tests.placing import content, key
from trainer.clubs.models import Role
from trainer.pictures.models import Licence, Picture
from trainer.study.models import Module, ModuleRevision

PAGE = "/workshop/modules/bundles/"


@pytest.fixture
def as_alice(client, alice):
    client.force_login(alice)
    return client


@pytest.fixture
def module(other_club):
    """A module of a club that nobody here belongs to, with a class and a photograph."""
    picture = PictureFactory(club=other_club, licence=Licence.BY)
    exercise = ExerciseFactory(module__club=other_club)
    RevisionFactory(
        exercise=exercise,
        title="Open bitches",
        content=content(b={"picture": str(picture.public_id)}),
        key=key(cuts=[6, 3, 2], note="Kept short."),
    )
    return exercise.module


@pytest.fixture
def sound(module):
    return exported(module.revisions.get())


def send(client, data, club=None, name="bundle.zip"):
    club = club or Module.objects.first().club
    file = SimpleUploadedFile(name, data, "application/zip")
    return client.post(PAGE, {"club": club.pk, "file": file})


def reported(client, data, club):
    """Address of the report on a bundle that holds."""
    answer = send(client, data, club)
    assert answer.status_code == 302, answer.text
    return answer.url


def waiting():
    found = default_storage.exists(kept.FOLDER)
    return default_storage.listdir(kept.FOLDER)[1] if found else []


@pytest.fixture(autouse=True)
def nothing_waits():
    yield
    for name in waiting():
        default_storage.delete(f"{kept.FOLDER}/{name}")


# in


def test_upload_shows_what_it_would_make_and_stores_nothing(as_alice, club, sound):
    page = as_alice.get(reported(as_alice, sound, club)).text
    assert "new here" in page
    assert "2 priorities" in page
    assert "one photograph that is new here" in page
    assert "<b>Open bitches</b>: new here" in page
    assert "Nothing is stored yet" in page
    assert not Module.objects.filter(club=club).exists()
    assert not Picture.objects.filter(club=club).exists()


def test_button_stores_it_as_drafts(as_alice, alice, club, sound):
    address = reported(as_alice, sound, club)
    answer = as_alice.post(address, {"agreed": "on"})
    made = Module.objects.get(club=club)
    assert answer.url == f"/workshop/modules/{made.pk}/"
    assert made.revisions.get().state == "draft"
    assert Revision.objects.get(exercise__club=club).state == "draft"
    assert Picture.objects.get(club=club).is_cleared
    assert "Taken in." in as_alice.get(answer.url).text
    assert waiting() == []


def test_without_the_tick_photographs_wait_for_consent(as_alice, club, sound):
    as_alice.post(reported(as_alice, sound, club))
    assert not Picture.objects.get(club=club).is_cleared


def test_report_can_be_stored_once(as_alice, club, sound):
    address = reported(as_alice, sound, club)
    as_alice.post(address)
    again = as_alice.post(address, follow=True)
    assert "no longer kept" in again.text
    assert Module.objects.filter(club=club).count() == 1


def test_the_same_again_has_no_button(as_alice, club, sound):
    as_alice.post(reported(as_alice, sound, club))
    page = as_alice.get(reported(as_alice, sound, club)).text
    assert "Everything in it is here already" in page
    assert "Nothing is stored yet" not in page


def test_refusals_are_listed_with_the_form(as_alice, club, sound):
    def change(document):
        document["module"]["faults"][0]["priority"] = "nope"
        document["exercises"][0]["key"]["order"] = ["z"]

    answer = send(as_alice, with_document(sound, change), club)
    assert answer.status_code == 422
    assert "names the priority “nope”" in answer.text
    assert "names the dog “z”" in answer.text
    assert waiting() == []


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "The file is empty"),
        (b"PK\x03\x04 and no more", "no ZIP"),
        (b"\x89PNG", "no ZIP"),
        (b"{", "is no JSON"),
        (b"[]", "holds no module"),
        (b"{}", "is missing"),
        (b"[" * 200_000, "nested too deep"),
    ],
)
def test_what_is_no_bundle_is_refused_in_a_sentence(as_alice, club, data, said):
    answer = send(as_alice, data, club)
    assert answer.status_code == 422
    assert said in answer.text
    assert not Module.objects.exists()


def test_text_in_a_bundle_stays_text(as_alice, club, sound):
    def change(document):
        document["module"]["title"] = "<script>alert(1)</script>"
        document["<img src=x>"] = 1

    page = as_alice.get(reported(as_alice, with_document(sound, change), club)).text
    assert "<script>alert" not in page
    assert "<img src=x>" not in page
    assert "&lt;script&gt;alert(1)" in page


def test_a_module_document_alone_is_taken_in(as_alice, club, module):
    document = document_of(exported(module.revisions.get()))["module"]
    for name in ("id", "slug", "version", "drawings", "club_breed"):
        del document[name]
    data = json.dumps(document).encode("utf-8-sig")
    as_alice.post(reported(as_alice, data, club))
    made = Module.objects.get(club=club)
    assert made.revisions.get().priorities.count() == 2
    assert made.public_id != module.public_id


def test_another_club_of_hers_can_be_chosen_and_no_other(
    as_alice, alice, club, other_club, sound
):
    assert send(as_alice, sound, other_club).status_code == 422
    MembershipFactory(club=other_club, user=alice, role=Role.MENTOR)
    assert send(as_alice, sound, other_club).status_code == 302


def test_report_belongs_to_the_session_that_sent_it(
    as_alice, alice, club, sound, django_user_model
):
    address = reported(as_alice, sound, club)
    other = type(as_alice)()
    other.force_login(alice)
    assert other.get(address).url == PAGE
    assert other.post(address).url == PAGE
    assert not Module.objects.filter(club=club).exists()


def test_who_is_no_mentor_any_more_stores_nothing(as_alice, alice, club, sound):
    address = reported(as_alice, sound, club)
    alice.memberships.all().delete()
    assert as_alice.post(address).status_code == 404
    assert not Module.objects.filter(club=club).exists()


def test_what_changed_meanwhile_is_looked_at_again(as_alice, club, sound):
    """The report was of an empty club; by now the same module is there with a draft."""
    first, second = (reported(as_alice, sound, club) for _n in range(2))
    as_alice.post(first)
    ModuleRevision.objects.filter(module__club=club).update(title="In the making")
    answer = as_alice.post(second, follow=True)
    assert "has a draft here that says something else" in answer.text


def test_kept_files_go_after_an_hour(as_alice, club, sound):
    reported(as_alice, sound, club)
    kept.sweep(now=timezone.now() + timedelta(minutes=59))
    assert len(waiting()) == 1
    kept.sweep(now=timezone.now() + timedelta(minutes=61))
    assert waiting() == []


def test_what_is_older_than_an_hour_is_not_taken_in(as_alice, club, sound, monkeypatch):
    address = reported(as_alice, sound, club)
    later = timezone.now() + timedelta(minutes=61)
    monkeypatch.setattr(timezone, "now", lambda: later)
    assert "no longer kept" in as_alice.post(address, follow=True).text
    assert not Module.objects.filter(club=club).exists()


def test_a_file_that_is_gone_is_asked_for_again(as_alice, club, sound):
    address = reported(as_alice, sound, club)
    kept.sweep(now=timezone.now() + timedelta(hours=2))
    assert "no longer kept" in as_alice.get(address, follow=True).text


def test_one_session_keeps_few_files(as_alice, club, sound):
    addresses = [reported(as_alice, sound, club) for _n in range(kept.MOST_KEPT + 2)]
    assert len(waiting()) == kept.MOST_KEPT
    assert as_alice.get(addresses[0]).url == PAGE
    assert as_alice.get(addresses[-1]).status_code == 200


def test_kept_file_has_a_name_of_ours(as_alice, club, sound):
    address = send(as_alice, sound, club, name="../../evil.html").url
    (name,) = waiting()
    assert name == f"{address.split('/')[-3]}.zip"
    assert "evil" not in name


def test_uploads_are_limited(as_alice, club, sound, settings):
    settings.ACCOUNT_RATE_LIMITS = {
        **settings.ACCOUNT_RATE_LIMITS,
        "bundle": "1/h/user",
    }
    assert send(as_alice, sound, club).status_code == 302
    answer = send(as_alice, sound, club)
    assert answer.status_code == 429
    assert as_alice.get(PAGE).status_code == 200


def test_a_larger_body_is_read_here_and_nowhere_else(as_alice, club, settings):
    large = b"x" * settings.REQUEST_BODY_LIMIT
    assert "no ZIP" in send(as_alice, large, club).text
    file = SimpleUploadedFile("module.json", large)
    other = as_alice.post("/workshop/modules/new/", {"file": file})
    assert other.status_code == 413
    huge = str(settings.LARGER_BODIES[PAGE] + 1)
    assert as_alice.post(PAGE, CONTENT_LENGTH=huge).status_code == 413


# out


@pytest.fixture
def mine(club):
    return ModuleFactory(club=club)


def fetch(client, module, profile="authoring", revision=None):
    revision = revision or module.revisions.first()
    query = {"revision": revision.pk, "profile": profile}
    return client.get(f"{PAGE}{module.pk}/bundle.zip", query)


def test_bundle_is_a_download_that_nothing_runs(as_alice, mine):
    answer = fetch(as_alice, mine)
    assert answer["Content-Type"] == "application/zip"
    name = f"module-{mine.slug}-1.zip"
    assert answer["Content-Disposition"] == f'attachment; filename="{name}"'
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert "sandbox" in answer["Content-Security-Policy"]
    assert bag.read(BytesIO(answer.content)).payload


@pytest.mark.parametrize("profile", ["authoring", "reading"])
def test_profile_that_was_chosen_goes_out(as_alice, mine, profile):
    RevisionFactory(
        exercise=ExerciseFactory(module=mine), content=content(), key=key(note="Short.")
    )
    files = files_of(fetch(as_alice, mine, profile).content)
    assert (b"Short." in files["data/module.json"]) == (profile == "authoring")


def test_revision_of_another_module_is_not_given(as_alice, mine, module):
    answer = fetch(as_alice, mine, revision=module.revisions.get())
    assert answer.status_code == 422


def test_what_could_not_come_in_again_does_not_go_out(as_alice, mine):
    mine.revisions.get().priorities.update(plate_faults=["F99"])
    answer = fetch(as_alice, mine)
    assert answer.status_code == 422
    assert "What has to be mended first" in answer.text
    assert "has the fault “F99”" in answer.text


def test_page_says_which_photographs_stay(as_alice, club, mine):
    picture = PictureFactory(club=club)
    RevisionFactory(
        exercise=ExerciseFactory(module=mine),
        content=content(b={"picture": str(picture.public_id)}),
    )
    page = as_alice.get(f"{PAGE}{mine.pk}/").text
    assert "Photographs that stay here" in page
    assert f"{picture.public_id}: it is used here by permission" in page


def test_who_is_asked_by_a_panel_gets_no_key_this_way(as_alice, alice, club, mine):
    exercise = ExerciseFactory(module=mine)
    revision = RevisionFactory(
        exercise=exercise,
        title="Open bitches",
        content=content(),
        key=key(note="Short."),
    )
    other = MembershipFactory(club=club, role=Role.MENTOR).user
    open_panel(
        revision,
        mentors=[alice, other],
        message="",
        by=other,
        now=timezone.now(),
        rng=random.Random(1),
        address=str,
    )
    assert b"Short." not in files_of(fetch(as_alice, mine).content)["data/module.json"]
    assert document_of(fetch(as_alice, mine).content)["exercises"] == []
    reading = document_of(fetch(as_alice, mine, "reading").content)["exercises"]
    assert [one["title"] for one in reading] == ["Open bitches"]
    page = as_alice.get(f"{PAGE}{mine.pk}/").text
    assert "Open bitches: a panel asks you for a key to it" in page


def test_page_leads_there_from_the_desk(as_alice, mine):
    page = as_alice.get(f"/workshop/modules/{mine.pk}/").text
    assert f'href="{PAGE}{mine.pk}/"' in page


def test_schema_is_published_under_a_name_that_stays(as_alice, mine):
    page = as_alice.get(f"{PAGE}{mine.pk}/").text
    assert "/static/schemas/module-1.schema.json" in page


def test_trainee_gets_no_bundle(client, bob, mine):
    client.force_login(bob)
    assert fetch(client, mine).status_code == 404
    assert client.get(f"{PAGE}{mine.pk}/").status_code == 404


def test_round_trip_over_the_pages(as_alice, club, mine):
    RevisionFactory(exercise=ExerciseFactory(module=mine), content=content(), key=key())
    data = fetch(as_alice, mine).content
    page = as_alice.get(reported(as_alice, data, club)).text
    assert "here already, the same" in page
    assert Exercise.objects.count() == 1


def test_class_of_a_module_draft_says_what_to_publish_first(as_alice, club, sound):
    as_alice.post(reported(as_alice, sound, club))
    draft = Revision.objects.get(exercise__club=club)
    answer = as_alice.post(
        f"/workshop/classes/{draft.exercise_id}/publish/", follow=True
    )
    assert "Publish the module first" in answer.text
    for page in ("", "dogs/", "key/"):
        address = f"/workshop/classes/{draft.exercise_id}/{page}"
        assert as_alice.get(address).status_code == 200
