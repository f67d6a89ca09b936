"""Writing a critique: the mentor's pages, the trainee's sheet, and what is shown afterwards."""

import json
import random
import re

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from quizzes.exercises import draft_of
from quizzes.kinds.critique.content import CritiqueContent, CritiqueKey, count_words
from quizzes.kinds.critique.kind import KIND
from quizzes.kinds.critique.pointing import names_in
from quizzes.models import Attempt, Exercise, Grade, Revision
from quizzes.panels.services import open_panel
from quizzes.practice.services import latest_results
from tests.conftest import member, signed_in
from tests.critiques import TEXT, content, critique, key, written
from tests.factories import ModuleFactory, TermFactory, UserFactory
from tests.photographs import jpeg, upload
from tests.placing import placing_class
from trainer.clubs.models import Role
from trainer.pictures.models import Picture

SECRET = "The mentor says it in one line."


@pytest.fixture
def revision(club):
    return critique(club)


@pytest.fixture
def sheet(revision, as_bob):
    """Bob's open attempt."""
    as_bob.post(f"/classes/{revision.exercise_id}/begin/")
    return Attempt.objects.get()


def send(client, sheet, text=TEXT, *, version=0, do="save", covered=(), **headers):
    data = {"text": text, "version": version, "do": do, "covered": list(covered)}
    return client.post(f"/attempts/{sheet.pk}/critique/", data, headers=headers)


@pytest.mark.parametrize(
    ("text", "n"),
    [
        ("", 0),
        ("  \n ", 0),
        ("One", 1),
        ("A well-laid blade, the dog's own.", 6),
        ("Ribs \u2013 well sprung; 24 months", 5),
        ("Ёлка und Größe", 3),
        ("- - -", 0),
    ],
)
def test_words_are_counted(text, n):
    assert count_words(text) == n


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        ("Feet and pasterns", "The pastern gives.", ("pastern",)),
        ("Feet and pasterns", "Its Feet are shut, pasterns firm", ("Feet", "pasterns")),
        ("Back and loin", "It came back.", ("back",)),
        ("Back and loin", "The backbone.", ()),
        ("Head and neck", "and", ()),
        ("Coat", "", ()),
    ],
)
def test_priorities_are_found_by_the_words_of_their_names(name, text, words):
    assert names_in(name, text) == words


def test_trainee_writes_saves_and_hands_in(sheet, as_bob):
    page = as_bob.get(f"/attempts/{sheet.pk}/").text
    assert "From 5 to 40 words" in page
    assert SECRET not in page
    assert send(as_bob, sheet, covered=[2, 0]).status_code == 302
    sheet.refresh_from_db()
    assert sheet.answer == {"text": TEXT, "covered": [0, 2]}
    page = as_bob.get(f"/attempts/{sheet.pk}/").text
    assert TEXT in page
    assert "13 words" in page
    response = send(as_bob, sheet, version=1, do="hand-in", covered=[0])
    assert response.url == f"/attempts/{sheet.pk}/result/"
    sheet.refresh_from_db()
    assert sheet.is_handed_in
    assert sheet.answer["covered"] == [0]


def test_sheet_saves_itself(sheet, as_bob):
    response = send(as_bob, sheet, accept="application/json")
    assert response.status_code == 200
    assert response.json()["version"] == 1
    assert re.fullmatch(r"Saved \d\d:\d\d", response.json()["said"])


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("Too short.", "has 2 words; at least 5"),
        ("word " * 41, "has 41 words; at most 40"),
        ("", "has 0 words"),
    ],
)
def test_wrong_length_is_refused_and_kept(sheet, as_bob, text, said):
    response = send(as_bob, sheet, text, do="hand-in")
    assert response.status_code == 422
    assert said in response.text
    sheet.refresh_from_db()
    assert not sheet.is_handed_in
    assert sheet.answer.get("text", "") == text.strip()


def test_other_window_loses_nothing(sheet, as_bob):
    send(as_bob, sheet, "What the first window has.")
    response = send(as_bob, sheet, "What the second window has.", version=0)
    assert response.status_code == 409
    assert "What the first window has." in response.text
    assert "What the second window has.</textarea>" in response.text
    assert 'name="version" value="1"' in response.text
    response = send(as_bob, sheet, "Another.", version=0, accept="application/json")
    assert response.status_code == 409
    assert "another window" in response.json()["said"]


@pytest.mark.parametrize("version", ["", "-1", "one", "9" * 5000])
def test_version_that_is_none_changes_nothing(sheet, as_bob, version):
    send(as_bob, sheet, "What is saved.")
    response = send(as_bob, sheet, "What is sent.", version=version)
    assert response.status_code == 409
    sheet.refresh_from_db()
    assert sheet.answer["text"] == "What is saved."


def test_handing_in_twice_gives_one_result(sheet, as_bob):
    send(as_bob, sheet, do="hand-in")
    late = send(as_bob, sheet, "Words that came too late for it.", version=1)
    assert late.url == f"/attempts/{sheet.pk}/result/"
    send(as_bob, sheet, version=1, do="hand-in")
    assert Grade.objects.count() == 1
    assert Revision.objects.get().handed_in == 1
    page = as_bob.get(f"/attempts/{sheet.pk}/result/").text
    assert "It was handed in already" in page
    response = send(as_bob, sheet, "Later still.", accept="application/json")
    assert response.status_code == 409


@pytest.mark.parametrize(
    "answer",
    [
        None,
        [],
        {"text": 3, "covered": []},
        {"text": "a"},
        {"text": "a", "covered": [3]},
        {"text": "a", "covered": [True]},
        {"text": "a", "covered": ["0"]},
        {"text": "a\x00b", "covered": []},
        {"text": "a" * 8001, "covered": []},
    ],
)
def test_answers_that_are_none_are_refused(answer):
    with pytest.raises(ValidationError):
        KIND.check(content(), {}, answer)


def test_common_hand_in_takes_the_stored_words(sheet, as_bob):
    send(as_bob, sheet)
    as_bob.post(f"/attempts/{sheet.pk}/hand-in/")
    sheet.refresh_from_db()
    assert sheet.is_handed_in


def test_common_hand_in_of_another_answer_is_refused(sheet, as_bob):
    data = {"answer": json.dumps({"order": ["a"]})}
    assert as_bob.post(f"/attempts/{sheet.pk}/hand-in/", data).status_code == 422


def test_afterwards_terms_priorities_and_the_mentors_own_are_shown(club, bob, as_bob):
    module = ModuleFactory(club=club)
    in_force = module.revisions.get()
    TermFactory(revision=in_force, name="croup", meaning="Behind the loin.")
    TermFactory(revision=in_force, number=2, name="hock")
    in_force.priorities.filter(number=1).update(name="Movement")
    in_force.priorities.filter(number=2).update(name="Shoulder")
    attempt = written(critique(club, module=module), bob)
    page = as_bob.get(f"/attempts/{attempt.pk}/result/").text
    assert 'popovertarget="term-croup"' in page
    assert "term-hock" not in page
    assert "Behind the loin." in page
    assert "(“Movement”)" in page
    assert re.search(r"Not mentioned by name</dt><dd>Shoulder\.", page)
    assert "13 words; 5 to 40 were asked for." in page
    assert SECRET in page
    assert "Not marked yet" in page
    assert "never says that you are qualified" in page


def test_markup_in_a_critique_is_text(revision, bob, as_bob):
    attempt = written(revision, bob, "A <script>alert(1)</script> dog of some size.")
    page = as_bob.get(f"/attempts/{attempt.pk}/result/").text
    assert "<script>alert" not in page
    assert "&lt;script&gt;" in page


def test_lists_say_that_it_is_not_marked_yet(revision, bob, as_bob):
    written(revision, bob)
    for address in ("/record/", f"/classes/{revision.exercise_id}/"):
        assert "not marked yet" in as_bob.get(address).text
    assert "You have written it once." in as_bob.get("/classes/").text
    assert "Handed in; not marked yet." in as_bob.get("/").text


def test_start_goes_on_with_a_critique_and_suggests_none_first(revision, as_bob):
    assert "A critique to write." not in as_bob.get("/").text
    as_bob.post(f"/classes/{revision.exercise_id}/begin/")
    page = as_bob.get("/").text
    assert "Go on writing" in page
    assert "your words are as you left them" in page


def test_mentor_sees_everybodys(revision, bob, as_alice):
    attempt = written(revision, bob, covered=[0, 1])
    page = as_alice.get(f"/workshop/classes/{revision.exercise_id}/attempts/").text
    assert "Bob Trainee" in page
    assert page.count("1 of 1") == 2
    assert as_alice.get(f"/attempts/{attempt.pk}/result/").status_code == 200


def test_pages_cost_the_same_for_long_texts(club, bob, as_bob):
    """Terms, priorities and the checklist are no reason to ask the database once more."""
    module = ModuleFactory(club=club)
    counts = []
    for number in (1, 20):
        for at in range(number):
            TermFactory(
                revision=module.revisions.get(), number=at + number, name=f"t{at}"
            )
        words = " ".join(f"t{at}" for at in range(20))
        checklist = tuple(f"row {at}" for at in range(number))
        made = critique(club, module=module, content=content(checklist=checklist))
        attempt = written(made, bob, words)
        as_bob.get(f"/attempts/{attempt.pk}/result/")
        with CaptureQueriesContext(connection) as queries:
            as_bob.get(f"/attempts/{attempt.pk}/result/")
        counts.append(len(queries))
    assert counts[0] == counts[1]


# --- the mentor's pages


def asked(client, url):
    """How many queries the page takes once everything is warm."""
    client.get(url)
    with CaptureQueriesContext(connection) as queries:
        assert client.get(url).status_code == 200
    return len(queries)


def test_mentors_pages_ask_as_often_for_many_as_for_few(club, revision, as_alice):
    urls = (
        "/workshop/critiques/new/",
        f"/workshop/classes/{revision.exercise_id}/attempts/",
        f"/workshop/critiques/{revision.exercise_id}/task/",
        f"/workshop/critiques/{revision.exercise_id}/key/",
    )
    counts = []
    for number in (1, 9):
        for _each in range(number):
            placing_class(club, module=revision.exercise.module)
            written(revision, UserFactory())
        counts.append([asked(as_alice, url) for url in urls])
    assert counts[0] == counts[1]


def manage(revision):
    return f"/workshop/classes/{revision.exercise_id}/"


def task(**more):
    given = {
        "title": "The winner",
        "least": 30,
        "most": 60,
        "checklist": "Head\n\n Coat ",
        "a-armband": 12,
        "a-sex": "bitch",
        "a-ringside": "A bitch.",
    }
    return given | more


def test_mentor_makes_one_from_nothing(club, alice, as_alice, as_bob):
    module = ModuleFactory(club=club)
    assert "Critique to write" in as_alice.get("/workshop/new/").text
    response = as_alice.post(
        "/workshop/critiques/new/", {"module": module.pk, "title": "The winner"}
    )
    exercise = Exercise.objects.get()
    draft = exercise.revisions.get()
    base = f"/workshop/critiques/{exercise.pk}"
    assert response.url == f"{base}/task/"
    assert (exercise.kind, draft.size) == ("critique", 1)
    dog = draft.content["dogs"][0]["id"]
    page = as_alice.get(manage(draft)).text
    assert "The dog has no armband number." in page
    assert "Write your own critique of the dog" in page
    assert as_alice.get(response.url).text.count("One fault named") == 1

    sent = {
        key.replace("a-", f"{dog}-", 1) if key.startswith("a-") else key: value
        for key, value in task(place=1, do="key", version=draft.version).items()
    }
    assert as_alice.post(f"{base}/task/", sent).url == f"{base}/key/"
    draft.refresh_from_db()
    made = CritiqueContent.read(draft.content)
    assert (made.least, made.most, made.place) == (30, 60, 1)
    assert made.checklist == ("Head", "Coat")
    assert (made.dog.armband, made.dog.sex) == (12, "bitch")

    page = as_alice.get(f"{base}/key/").text
    assert "Accuracy: what is said is true of this dog" in page
    sent = {
        "version": draft.version,
        "critique": "Balanced.",
        "points": "The croup",
        "name-0": "Truth",
        "most-0": 30,
        "name-3": "Order",
        "most-3": 5,
        "do": "publish",
    }
    as_alice.post(f"{base}/key/", sent)
    draft.refresh_from_db()
    rubric = CritiqueKey.read(draft.key).rubric
    assert [(row.name, row.most) for row in rubric] == [("Truth", 30), ("Order", 5)]

    as_alice.post(f"{manage(draft)}preview/")
    trial = Attempt.objects.get()
    assert "counts nowhere" in as_alice.get(f"/attempts/{trial.pk}/").text
    as_alice.post(f"{manage(draft)}publish/")
    assert "The winner" in as_bob.get("/classes/").text


def test_dog_is_taken_over_from_a_class(club, as_alice):
    klass = placing_class(club, names="abcd")
    data = {
        "module": klass.exercise.module_id,
        "title": "Third",
        "dog": f"{klass.pk}:c",
    }
    as_alice.post("/workshop/critiques/new/", data)
    draft = Revision.objects.get(title="Third")
    made = CritiqueContent.read(draft.content)
    assert (made.dog.id, made.dog.armband, made.place) == ("c", 33, 3)
    assert made.dog.ringside == klass.content["dogs"][2]["ringside"]


def test_class_that_a_panel_asks_about_offers_no_dogs(club, alice, as_alice):
    """The choices would tell the mentor where the key places each dog."""
    klass = placing_class(club)
    ada = member(club, Role.MENTOR, "Ada Second")
    open_panel(
        klass,
        mentors=[alice, ada],
        message="",
        by=ada,
        now=timezone.now(),
        rng=random.Random(1),
    )
    assert klass.title not in as_alice.get("/workshop/critiques/new/").text
    assert klass.title in signed_in(ada).get("/workshop/critiques/new/").text


def test_dog_of_another_module_or_club_is_refused(club, other_club, as_alice):
    klass, theirs = placing_class(club), placing_class(other_club)
    data = {"module": ModuleFactory(club=club).pk, "title": "Third"}
    for other in (klass, theirs):
        sent = {**data, "dog": f"{other.pk}:c"}
        assert as_alice.post("/workshop/critiques/new/", sent).status_code == 422
    assert not Exercise.objects.filter(kind="critique").exists()


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"least": 70}, "fewer than the fewest"),
        ({"least": 5}, "greater than or equal to 20"),
        ({"title": ""}, "required"),
        ({"a-armband": ""}, "required"),
        ({"checklist": "row\n" * 21}, "At most 20 lines"),
    ],
)
def test_task_that_can_not_be_is_refused(revision, as_alice, change, said):
    url = f"/workshop/critiques/{revision.exercise_id}/task/"
    response = as_alice.post(url, task(version=revision.version, **change))
    assert response.status_code == 422
    assert said in response.text
    assert "Error:" in response.text


def with_photograph(draft):
    photograph = {"a-photograph": upload(jpeg()), "a-agreed": "on"}
    return task(version=draft.version, **photograph)


def test_dog_is_shown_by_its_photograph(club, as_alice, as_bob):
    draft = critique(club, state="draft")
    url = f"/workshop/critiques/{draft.exercise_id}/task/"
    assert as_alice.post(url, with_photograph(draft)).status_code == 302
    small = f"/pictures/{Picture.objects.get().public_id}/small.jpg"
    assert small in as_alice.get(url).text
    assert as_alice.get(small).status_code == 200
    as_alice.post(f"{manage(draft)}publish/")
    as_bob.post(f"/classes/{draft.exercise_id}/begin/")
    assert small in as_bob.get(f"/attempts/{Attempt.objects.get().pk}/").text


def test_photograph_is_taken_away_with_its_draft_or_by_its_button(club, as_alice):
    draft = critique(club, state="draft")
    url = f"/workshop/critiques/{draft.exercise_id}/task/"
    as_alice.post(url, with_photograph(draft))
    draft.refresh_from_db()
    as_alice.post(url, task(version=draft.version, do="no-photograph:a"))
    assert not Picture.objects.in_use().exists()
    draft.refresh_from_db()
    as_alice.post(url, with_photograph(draft))
    assert Picture.objects.in_use().exists()
    as_alice.post(f"{manage(draft)}discard/")
    assert not Picture.objects.in_use().exists()


def test_photograph_needs_the_tick(club, as_alice):
    draft = critique(club, state="draft")
    sent = task(version=draft.version, **{"a-photograph": upload(jpeg())})
    url = f"/workshop/critiques/{draft.exercise_id}/task/"
    response = as_alice.post(url, sent)
    assert response.status_code == 422
    assert "Tick this, or leave the photograph out." in response.text


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ({"name-0": "Truth"}, "Give the most points"),
        ({"most-0": 5}, "Say what they are given for"),
        ({"name-0": "Truth", "most-0": 51}, "less than or equal to 50"),
    ],
)
def test_rubric_rows_are_whole(revision, as_alice, row, said):
    url = f"/workshop/critiques/{revision.exercise_id}/key/"
    response = as_alice.post(url, {"version": revision.version, **row})
    assert response.status_code == 422
    assert said in response.text


def test_two_windows_of_a_mentor(revision, as_alice):
    url = f"/workshop/critiques/{revision.exercise_id}/key/"
    version = revision.version
    first = {"version": version, "critique": "The first window."}
    assert as_alice.post(url, first).status_code == 302
    second = {"version": version, "critique": "The second window."}
    response = as_alice.post(url, second)
    assert response.status_code == 422
    assert "The second window.</textarea>" in response.text
    assert "The first window." in response.text
    draft = Revision.objects.get(state="draft")
    assert f'name="version" value="{draft.version}"' in response.text


@pytest.mark.parametrize("page", ["critiques/{pk}/key", "classes/{pk}/key"])
@pytest.mark.parametrize("version", ["", "x", "9" * 5000])
def test_version_that_is_no_number_saves_nothing(club, as_alice, page, version):
    made = critique(club) if "critiques" in page else placing_class(club)
    url = f"/workshop/{page.format(pk=made.exercise_id)}/"
    sent = {"version": version, "critique": "Sent.", "note": "Sent.", "do": "save"}
    response = as_alice.post(url, sent)
    assert response.status_code == 422
    assert not any("Sent." in str(one.key) for one in Revision.objects.all())


def test_reading_the_pages_begins_no_draft(revision, as_alice):
    for page in ("task", "key"):
        url = f"/workshop/critiques/{revision.exercise_id}/{page}/"
        assert "begins the next revision" in as_alice.get(url).text
    assert Revision.objects.count() == 1


def test_next_revision_says_what_changes(revision, alice, as_alice, bob):
    written(revision, bob)
    draft = draft_of(revision.exercise, by=alice)
    draft.content = content(least=6, checklist=("Head",))
    draft.key = key(25)
    draft.save()
    page = as_alice.get(manage(revision)).text
    assert "Words: 6 to 40 instead of 5 to 40." in page
    assert "What a critique covers." in page
    assert "The rubric; critiques handed in before" in page
    assert "Grade earlier attempts" not in page
    as_alice.post(f"{manage(revision)}publish/", {"regrade": "on"})
    assert Grade.objects.count() == 1


def test_draft_is_discarded(club, alice, as_alice):
    draft = critique(club, state="draft")
    as_alice.post(f"{manage(draft)}discard/")
    assert not Exercise.objects.exists()


def test_pages_of_one_kind_do_not_show_the_other(club, as_alice, as_bob):
    klass, own = placing_class(club), critique(club)
    for page in ("task", "key"):
        url = f"/workshop/critiques/{klass.exercise_id}/{page}/"
        assert as_alice.get(url).status_code == 404
    assert as_alice.get(f"/workshop/classes/{own.exercise_id}/dogs/").status_code == 404
    as_bob.post(f"/classes/{own.exercise_id}/begin/")
    sheet = Attempt.objects.get()
    assert as_bob.get(f"/attempts/{sheet.pk}/rulings/").status_code == 404


def test_drawn_dog_of_a_critique_is_no_class_to_practise_on(club, bob, as_bob):
    module = ModuleFactory(club=club)
    drawn = critique(club, module=module, content=content(breed="marlefell-drover"))
    attempt = written(drawn, bob)
    assert as_bob.post(f"/attempts/{attempt.pk}/twin/").status_code == 404
    attempt.grades.update(share=0.1, pairs_agreed=5, pairs_counted=50)
    assert latest_results(bob, module.pk) == []


def test_plate_is_drawn_for_whoever_may_see_the_attempt(club, as_bob, as_charlie):
    drawn = critique(club, content=content(breed="marlefell-drover"))
    as_bob.post(f"/classes/{drawn.exercise_id}/begin/")
    sheet = Attempt.objects.get()
    plate = f"/attempts/{sheet.pk}/plates/a.svg?theme=light"
    assert plate.replace("&", "&amp;") in as_bob.get(f"/attempts/{sheet.pk}/").text
    assert as_bob.get(plate)["Content-Type"] == "image/svg+xml"
    assert as_charlie.get(plate).status_code == 404
