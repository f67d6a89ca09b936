"""The record as files: JSON by its schema, CSV by its rules, statements by what xAPI 1.0.3 demands."""

import csv
import json
import random
import re
from datetime import timedelta
from io import StringIO
from pathlib import Path
from uuid import UUID

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator, FormatChecker

from quizzes.attempts import begin
from quizzes.kinds import kind_named
from quizzes.models import Attempt, Mark
from quizzes.record import document, person, sheet, statements
from quizzes.record.streams import rows, with_grades
from tests.critiques import critique, written
from tests.examinations import answered as rehearsed
from tests.examinations import examination
from tests.factories import UserFactory
from tests.placing import key, placing_class
from tests.records import WHEN, placed
from tests.sheets import SHEET_KINDS, answered
from tests.sheets import sheet as sheet_of

SITE = "https://judging.example.org"
ROOT = Path(__file__).parents[2]
SCHEMA = json.loads((ROOT / "static/schemas/record-1.schema.json").read_text())


@pytest.fixture
def rng():
    return random.Random(3)


@pytest.fixture
def open_dogs(club):
    return placing_class(club, title="Open dogs")


@pytest.fixture
def marked(club, bob, alice):
    """A critique that bob wrote, and the mark that alice returned."""
    attempt = written(critique(club), bob, text="A dog I would take home.")
    Mark.objects.create(
        attempt=attempt,
        part=Mark.Part.FIRST,
        marker=alice,
        state=Mark.State.FINAL,
        points=[15, 5],
        comments=["True.", ""],
        overall="Go on.",
        returned_at=timezone.now(),
    )
    attempt.grades.update(share=2 / 3, pairs_agreed=20, pairs_counted=30)
    return attempt


def whole(user):
    text = "".join(document.pieces(user, site=SITE, now=timezone.now()))
    found = json.loads(text)
    checker = Draft202012Validator(SCHEMA, format_checker=FormatChecker())
    assert [error.message for error in checker.iter_errors(found)] == []
    return found


def test_schema_is_a_schema():
    Draft202012Validator.check_schema(SCHEMA)


def test_document_of_somebody_who_did_nothing(stranger):
    found = whole(stranger)
    assert (found["format"], found["version"]) == ("placing-room-record", "1.0")
    assert found["attempts"] == found["revisions"] == []
    assert found["person"]["email"] == stranger.email


def test_document_has_answer_key_and_result_as_they_were(open_dogs, bob):
    attempt = placed(open_dogs, bob, "bacd")
    open_dogs.refresh_from_db()
    placing_class(
        open_dogs.exercise.club,
        exercise=open_dogs.exercise,
        key=key("dcba"),
        number=2,
        state="draft",
    )
    found = whole(bob)
    (entry,), (revision,) = found["attempts"], found["revisions"]
    assert entry["answer"]["order"] == list("bacd")
    assert entry["grade"]["agreed"] == 5
    assert entry["grade"]["counted"] == 6
    assert entry["grade"]["result"] == attempt.own_grade.result
    assert entry["outcome"] == "5 of 6"
    assert entry["counted_seconds"] == 360
    assert revision["id"] == entry["revision"]
    assert revision["key"]["order"] == list("abcd")
    assert [dog["id"] for dog in revision["content"]["dogs"]] == list("abcd")


def test_key_stays_behind_until_the_answer_is_in(open_dogs, bob, rng):
    begin(open_dogs, by=bob, now=WHEN, rng=rng)
    found = whole(bob)
    assert found["attempts"][0]["state"] == "open"
    assert found["attempts"][0]["grade"] is None
    assert found["attempts"][0]["shown"] == {}
    (revision,) = found["revisions"]
    assert (revision["content"], revision["key"]) == (None, None)


def test_document_has_the_mark_that_was_returned_and_no_other(marked, bob, club, alice):
    other = written(critique(club), bob)
    Mark.objects.create(
        attempt=other, part=Mark.Part.FIRST, marker=alice, overall="Not for him yet."
    )
    found = whole(bob)
    assert found["attempts"][0]["mark"]["overall"] == "Go on."
    assert found["attempts"][1]["mark"] is None
    assert "Not for him yet" not in json.dumps(found)


def test_document_has_what_a_mentor_made_and_gave(marked, alice, open_dogs):
    open_dogs.exercise.made_by = alice
    open_dogs.exercise.save()
    open_dogs.edited_by = alice
    open_dogs.save()
    found = whole(alice)
    assert {
        "what": "quizzes.revision",
        "as": "edited_by",
        "id": open_dogs.pk,
        "name": "Open dogs",
    } in found["made"]
    (mark,) = found["given"]["quizzes.mark"]
    assert mark["points"] == [15, 5]
    (role,) = found["rows"]["clubs.membership"]
    assert role["role"] == "mentor"


def test_every_table_that_points_at_a_person_is_in_the_document(bob):
    """What goes with the account stands in `rows`, whole; what a club keeps stands in `made` or `given`."""
    found = whole(bob)
    in_a_form_of_its_own = {"quizzes.attempt", "quizzes.exercise"}
    for model, field in person.relations():
        label = model._meta.label_lower
        goes = field.remote_field.on_delete.__name__ == "CASCADE"
        if goes and label not in in_a_form_of_its_own:
            assert label in found["rows"], label


def test_secrets_are_in_no_file(person_with_app):
    text = json.dumps(whole(person_with_app))
    assert "JBSWY3DPEHPK3PXP" not in text
    assert person_with_app.password not in text
    assert "totp" in text


@pytest.fixture
def person_with_app(db):
    return UserFactory(second_step=True, verified=True)


def test_nobody_elses_rows_are_in_it(open_dogs, bob, charlie):
    placed(open_dogs, bob)
    assert whole(charlie)["attempts"] == []
    mine = Attempt.objects.owned_by(charlie)
    assert list(sheet.lines(mine, site=SITE))[1:] == []
    assert said(charlie) == []


def table(user):
    mine = Attempt.objects.owned_by(user)
    text = "".join(sheet.lines(mine, site=SITE))
    assert text.startswith("\ufeff")
    assert text.count("\n") == text.count("\r\n")
    return list(csv.DictReader(StringIO(text[1:], newline="")))


def test_table_has_a_row_for_each_thing_handed_in(open_dogs, bob, rng):
    attempt = placed(open_dogs, bob, "bacd")
    begin(open_dogs, by=bob, now=WHEN, rng=rng)
    (row,) = table(bob)
    assert row["exercise"] == "Open dogs"
    assert row["result"] == "5 of 6"
    assert (row["agreed"], row["counted"], row["share"]) == ("5", "6", "0.833333")
    assert row["minutes"] == "6"
    assert row["page"] == f"{SITE}/attempts/{attempt.pk}/result/"


def test_unmarked_critique_has_words_and_no_figures(club, bob):
    written(critique(club), bob)
    (row,) = table(bob)
    assert (row["result"], row["agreed"], row["share"]) == ("not marked yet", "", "")


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_no_cell_is_a_formula(open_dogs, bob, start):
    open_dogs.title = f'{start}HYPERLINK("https://else.example","x")'
    open_dogs.save()
    placed(open_dogs, bob)
    (row,) = table(bob)
    assert row["exercise"] == f"'{open_dogs.title}"


def test_grades_stand_beside_their_own_attempts(open_dogs, bob, club):
    """Whatever the order in which attempts were begun, handed in and numbered."""
    orders = ["abcd", "bacd", "badc", "dcba"]
    for at, order in enumerate(orders):
        placed(open_dogs, bob, order, at=WHEN - timedelta(days=at))
    mine = Attempt.objects.owned_by(bob)
    found = list(with_grades(mine, rows(mine, "answer")))
    assert ["".join(row["answer"]["order"]) for row in found] == orders
    assert [row["own_grade"].pairs_agreed for row in found] == [6, 5, 4, 0]


# What follows checks statements against xAPI 1.0.3, Part Two (xAPI-Data.md), which is named by section.

INTERACTIONS = {
    "true-false",
    "choice",
    "fill-in",
    "long-fill-in",
    "matching",
    "performance",
    "sequencing",
    "likert",
    "numeric",
    "other",
}
"""Section 2.4.4.1, "Interaction Activities": possible values of interactionType."""
COMPONENTS = {
    "choice": {"choices"},
    "sequencing": {"choices"},
    "likert": {"scale"},
    "matching": {"source", "target"},
    "performance": {"steps"},
}
"""Section 2.4.4.1, "Interaction Components": which lists an interaction type may have."""
VERBS = {"answered", "completed", "scored"}
"""Of the vocabulary under http://adlnet.gov/expapi/verbs/."""
TIMESTAMP = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z")
"""Section 4.5: RFC 3339, to milliseconds at least, with the zone."""
DURATION = re.compile(r"PT(?=\d)(\d+H)?(\d+M)?(\d+(\.\d{1,2})?S)?")
"""Section 4.6: ISO 8601 without the alternative form, at most two decimals."""
LANGUAGE = re.compile(r"[a-z]{2,3}(-[A-Za-z0-9]{2,8})*")
IRI = re.compile(r"https?://[^\s<>\"{}|\\^`]+")


def without_nulls(value):
    """Section 2.2: no null anywhere, and no property that is an empty object."""
    assert value is not None
    assert value != {}
    inner = value.values() if isinstance(value, dict) else value
    if isinstance(value, dict | list):
        for one in inner:
            without_nulls(one)


def check_language_map(value):
    assert value
    for tag, text in value.items():
        assert LANGUAGE.fullmatch(tag)
        assert isinstance(text, str)


def check_actor(actor):
    """Section 2.4.2: an Agent with exactly one identifier."""
    assert set(actor) <= {"objectType", "name", "mbox", "account"}
    assert actor["objectType"] == "Agent"
    assert len({"mbox", "account"} & set(actor)) == 1
    if "account" in actor:
        assert set(actor["account"]) == {"homePage", "name"}
        assert IRI.fullmatch(actor["account"]["homePage"])
        assert isinstance(actor["account"]["name"], str)
    else:
        assert actor["mbox"].startswith("mailto:")


def check_activity(activity):
    """Section 2.4.4.1."""
    assert set(activity) <= {"objectType", "id", "definition"}
    assert activity["objectType"] == "Activity"
    assert IRI.fullmatch(activity["id"])
    definition = activity["definition"]
    assert IRI.fullmatch(definition["type"])
    for name in ("name", "description"):
        if name in definition:
            check_language_map(definition[name])
    kind = definition.get("interactionType")
    interaction = definition["type"].endswith("/cmi.interaction")
    assert interaction == (kind is not None)
    lists = set(definition) - {
        "name",
        "description",
        "type",
        "interactionType",
        "correctResponsesPattern",
    }
    if kind:
        assert kind in INTERACTIONS
        assert lists <= COMPONENTS.get(kind, set())
        assert all(
            isinstance(one, str)
            for one in definition.get("correctResponsesPattern", [])
        )
        for name in lists:
            ids = [one["id"] for one in definition[name]]
            assert len(set(ids)) == len(ids)
            assert not any(re.search(r"\s", one) for one in ids)
    else:
        assert not lists


def check_result(result):
    """Sections 2.4.5 and 2.4.5.1."""
    assert set(result) <= {"score", "success", "completion", "response", "duration"}
    if "duration" in result:
        assert DURATION.fullmatch(result["duration"])
    if "response" in result:
        assert isinstance(result["response"], str)
    score = result.get("score", {"scaled": 0})
    assert -1 <= score["scaled"] <= 1
    if "raw" in score:
        assert score["min"] < score["max"]
        assert score["min"] <= score["raw"] <= score["max"]


def check(statement):
    """Section 2.4 as a whole; 2.4.10: a provider should not say the version."""
    without_nulls(statement)
    assert set(statement) == {
        "id",
        "actor",
        "verb",
        "object",
        "result",
        "context",
        "timestamp",
    }
    assert str(UUID(statement["id"])) == statement["id"]
    check_actor(statement["actor"])
    verb = statement["verb"]
    assert verb["id"].removeprefix("http://adlnet.gov/expapi/verbs/") in VERBS
    check_language_map(verb["display"])
    check_activity(statement["object"])
    check_result(statement["result"])
    context = statement["context"]
    assert set(context) <= {
        "registration",
        "contextActivities",
        "platform",
        "language",
    }
    UUID(context["registration"])
    assert LANGUAGE.fullmatch(context["language"])
    (module,) = context["contextActivities"]["parent"]
    check_activity(module)
    assert TIMESTAMP.fullmatch(statement["timestamp"])


def said(user, *, by_address=False):
    who = statements.actor(user, site=SITE, by_address=by_address)
    mine = Attempt.objects.owned_by(user)
    text = "".join(statements.pieces(mine, who, site=SITE, language="en"))
    found = json.loads(text)
    for statement in found:
        check(statement)
    ids = [statement["id"] for statement in found]
    assert len(set(ids)) == len(ids)
    return found


def verbs(found):
    return [statement["verb"]["display"]["en"] for statement in found]


def test_placing_is_answered_as_a_sequence(open_dogs, bob):
    placed(open_dogs, bob, "bacd")
    (statement,) = said(bob)
    assert verbs([statement]) == ["answered"]
    definition = statement["object"]["definition"]
    assert definition["interactionType"] == "sequencing"
    assert definition["correctResponsesPattern"] == ["a[,]b[,]c[,]d"]
    assert [one["id"] for one in definition["choices"]] == list("abcd")
    assert statement["result"] == {
        "completion": True,
        "duration": "PT6M",
        "score": {"scaled": 0.833333, "raw": 5, "min": 0, "max": 6},
        "response": "b[,]a[,]c[,]d",
    }
    assert statement["timestamp"] == "2026-03-01T20:00:00.123Z"


def test_key_that_allows_more_than_one_order_is_no_pattern(club, bob):
    """Section 2.4.4.1: where right answers cannot all be listed, the pattern is left out."""
    placed(placing_class(club, key=key("abcd", level=[0])), bob)
    (statement,) = said(bob)
    assert "correctResponsesPattern" not in statement["object"]["definition"]


def test_critique_and_its_mark_are_two_statements(marked, bob):
    """What was given out never changes (2.3.1): the mark that comes later speaks for itself."""
    done, scored = said(bob)
    assert verbs([done, scored]) == ["answered", "scored"]
    assert done["result"]["response"] == "A dog I would take home."
    assert "score" not in done["result"]
    assert scored["result"]["score"] == {
        "scaled": 0.666667,
        "raw": 20,
        "min": 0,
        "max": 30,
    }


def test_statements_are_the_same_whenever_they_are_made(open_dogs, marked, bob):
    placed(open_dogs, bob)
    assert said(bob) == said(bob)


def test_another_revision_is_another_activity(open_dogs, bob):
    placed(open_dogs, bob)
    open_dogs.state = "superseded"
    open_dogs.save()
    later = placing_class(open_dogs.exercise.club, exercise=open_dogs.exercise)
    placed(later, bob, at=WHEN + timedelta(days=1))
    first, second = said(bob)
    assert first["object"]["id"] != second["object"]["id"]


def test_person_is_an_account_and_an_address_only_if_asked(open_dogs, bob):
    placed(open_dogs, bob)
    (statement,) = said(bob)
    assert statement["actor"] == {
        "objectType": "Agent",
        "account": {"homePage": f"{SITE}/", "name": str(bob.pk)},
    }
    assert bob.email not in json.dumps(statement)
    assert bob.name not in json.dumps(statement)
    (statement,) = said(bob, by_address=True)
    assert statement["actor"]["mbox"] == f"mailto:{bob.email}"


def test_open_attempts_and_trials_are_no_statements(open_dogs, bob, alice, rng):
    begin(open_dogs, by=bob, now=WHEN, rng=rng)
    assert said(bob) == []
    trial = begin(open_dogs, by=alice, now=WHEN, rng=rng, preview=True)
    Attempt.objects.filter(pk=trial.pk).update(state="handed_in", handed_in_at=WHEN)
    assert said(alice) == []


@given(st.timedeltas(timedelta(), timedelta(days=3)))
def test_durations_are_as_iso_8601_has_them(time):
    text = statements.duration(time)
    match = DURATION.fullmatch(text)
    assert match
    hours, minutes, seconds = (
        int(part[:-1]) if part else 0 for part in match.groups()[:3]
    )
    assert hours * 3600 + minutes * 60 + seconds == round(time.total_seconds())


@pytest.mark.parametrize("kind", SHEET_KINDS)
def test_sheets_are_read_by_the_standard(club, bob, kind):
    answered(sheet_of(club, kind), bob)
    (statement,) = said(bob)
    assert verbs([statement]) == ["answered"]
    assert whole(bob)["attempts"][0]["outcome"]


def test_faults_are_matched_with_severities(club, bob):
    answered(sheet_of(club, "severity"), bob)
    (statement,) = said(bob)
    definition = statement["object"]["definition"]
    assert definition["interactionType"] == "matching"
    pairs = dict(
        pair.split("[.]") for pair in statement["result"]["response"].split("[,]")
    )
    assert list(pairs) == [one["id"] for one in definition["source"]]
    assert set(pairs.values()) == {one["id"] for one in definition["target"]}


def test_examination_from_memory_is_a_sequence(club, bob):
    revision = examination(club)
    rehearsed(revision, bob)
    (statement,) = said(bob)
    definition = statement["object"]["definition"]
    assert definition["interactionType"] == "sequencing"
    known = {one["id"] for one in definition["choices"]}
    assert set(statement["result"]["response"].split("[,]")) <= known


def test_kinds_that_say_nothing_of_themselves_are_completed(
    open_dogs, bob, monkeypatch
):
    """A kind need not know of statements: its answers are completed, with the score."""
    monkeypatch.delattr(type(kind_named("placing")), "interaction")
    placed(open_dogs, bob)
    (statement,) = said(bob)
    assert verbs([statement]) == ["completed"]
    assert statement["object"]["definition"]["type"].endswith("/assessment")
    assert "response" not in statement["result"]


def count(make):
    with CaptureQueriesContext(connection) as queries:
        list(make())
    return len(queries)


def test_files_ask_as_often_for_many_rows_as_for_few(club, bob, open_dogs):
    mine = Attempt.objects.owned_by(bob)
    who = statements.actor(bob, site=SITE)
    files = [
        lambda: document.pieces(bob, site=SITE, now=WHEN),
        lambda: sheet.lines(mine, site=SITE),
        lambda: statements.pieces(mine, who, site=SITE, language="en"),
    ]
    placed(open_dogs, bob)
    few = [count(make) for make in files]
    for at in range(5):
        placed(placing_class(club), bob, at=WHEN + timedelta(days=at))
        written(critique(club), bob)
    assert [count(make) for make in files] == few
