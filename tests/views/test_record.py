"""The pages of one's own record, and what is taken away from there."""

import csv
import json
import random
import re
from datetime import timedelta
from io import StringIO

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from quizzes.attempts import add_grade, begin, hand_in
from quizzes.models import Attempt, Revision
from quizzes.record.pooling import GROUP
from tests.critiques import critique, written
from tests.factories import ModuleFactory
from tests.placing import answer, key, placing_class
from tests.records import WHEN, placed
from trainer.study.page_reads import PageRead
from trainer.typeset import NotTypeset

FILES = "/record/files/"


@pytest.fixture
def rng():
    return random.Random(4)


@pytest.fixture
def open_dogs(club):
    return placing_class(club, title="Open dogs")


def titles(page):
    return [line.split(">")[1].split("<")[0] for line in page.split('/result/"')[1:]]


def without_markup(page):
    return " ".join(re.sub(r"<[^>]+>", " ", page).split())


def test_old_attempt_shows_the_key_it_was_graded_under(open_dogs, as_bob, bob):
    """A later revision turns the key round; the attempt, its grade and its page stay as they were."""
    attempt = placed(open_dogs, bob, "bacd")
    before = as_bob.get(f"/attempts/{attempt.pk}/result/").text
    assert "11 beats 22" in without_markup(before)
    open_dogs.state = Revision.State.SUPERSEDED
    open_dogs.save()
    later = placing_class(
        open_dogs.exercise.club,
        exercise=open_dogs.exercise,
        module=open_dogs.exercise.module,
        key=key("dcba", note="another key"),
        title="Open dogs, another key",
    )
    page = as_bob.get("/record/").text
    assert titles(page) == ["Open dogs"]
    assert "5 of 6" in page
    after = as_bob.get(f"/attempts/{attempt.pk}/result/").text
    assert "11 beats 22" in without_markup(after)
    assert "another key" not in after
    assert "5 of 6" in after
    add_grade(attempt, later, now=timezone.now())
    page = as_bob.get("/record/").text
    assert "5 of 6" in page
    assert "under a later key 1 of 6" in " ".join(page.split())


def test_trials_and_open_attempts_are_left_out(open_dogs, as_alice, alice, rng):
    trial = begin(open_dogs, by=alice, now=WHEN, rng=rng, preview=True)
    hand_in(trial, now=WHEN, answer=answer("abcd"))
    begin(open_dogs, by=alice, now=WHEN, rng=rng)
    for address in ("/record/", "/record/progress/"):
        assert "Open dogs" not in as_alice.get(address).text


def test_other_peoples_attempts_are_left_out(open_dogs, as_charlie, bob):
    placed(open_dogs, bob)
    for address in ("/record/", "/record/progress/"):
        assert "Open dogs" not in as_charlie.get(address).text


@pytest.fixture
def mixed(club, bob, open_dogs):
    """Two modules, two kinds, this year and another."""
    now = timezone.now()
    other = ModuleFactory(club=club, breed__name="Marlefell Drover")
    placed(open_dogs, bob, at=now - timedelta(days=2))
    placed(
        placing_class(club, module=other, title="Old bitches"),
        bob,
        at=now - timedelta(days=800),
    )
    written(critique(club, module=other, title="A critique"), bob)
    return {"module": other, "now": now}


def shown(client, **asked):
    return set(titles(client.get("/record/", asked).text))


def test_record_is_narrowed_by_breed_kind_and_time(mixed, as_bob):
    everything = {"Open dogs", "Old bitches", "A critique"}
    assert shown(as_bob) == everything
    assert shown(as_bob, module=mixed["module"].pk) == {"Old bitches", "A critique"}
    assert shown(as_bob, kind="placing") == {"Open dogs", "Old bitches"}
    assert shown(as_bob, period="30") == {"Open dogs", "A critique"}
    year = (mixed["now"] - timedelta(days=800)).year
    assert shown(as_bob, period=year) == {"Old bitches"}
    assert (
        shown(as_bob, module=mixed["module"].pk, kind="placing", period="30") == set()
    )


def test_nonsense_in_the_address_narrows_nothing(mixed, as_bob):
    for asked in ({"module": "999"}, {"kind": "none"}, {"period": "x"}, {"page": "-"}):
        assert len(shown(as_bob, **asked)) == 3


def test_narrowed_pages_keep_what_was_asked(open_dogs, as_bob, bob):
    for at in range(26):
        placed(open_dogs, bob, at=WHEN + timedelta(hours=at))
    page = as_bob.get("/record/?kind=placing").text
    assert "26 exercises are like that." in page
    assert 'href="?kind=placing&amp;page=2"' in page


def test_filter_is_a_plain_form(mixed, as_bob):
    page = as_bob.get("/record/").text
    assert '<form class="record-filter" method="get">' in page
    assert 'name="module"' in page
    assert "all breeds" in page


def test_two_modules_of_one_breed_are_told_apart_by_club(club, other_club, as_bob, bob):
    breed = ModuleFactory(club=club, breed__name="Marlefell Drover").breed
    for one in (club, other_club):
        module = ModuleFactory(club=one, breed=breed, slug=f"of-{one.slug}")
        placed(placing_class(one, module=module), bob)
    page = as_bob.get("/record/").text
    assert f"Marlefell Drover, {club}" in page
    assert f"Marlefell Drover, {other_club}" in page


def test_progress_without_anything_leads_to_the_classes(as_bob):
    page = as_bob.get("/record/progress/").text
    assert "Nothing to show yet" in page
    assert "/classes/" in page


def test_progress_says_little_before_eight(club, open_dogs, as_bob, bob):
    placed(open_dogs, bob, "bacd")
    page = as_bob.get("/record/progress/").text
    assert "One done." in page
    assert "After 7 more, eight can be taken together." in page
    assert "progress-pooled" not in page
    assert "progress-dot" not in page  # one alone is no picture
    assert "the one that there is stands in the table" in page
    assert '<details class="section-fine" open>' in page
    other = placing_class(club, module=open_dogs.exercise.module)
    placed(other, bob, "abcd")
    page = as_bob.get("/record/progress/").text
    assert page.count('class="progress-dot"') == 3  # two dots and their legend
    assert "stands in the table" not in page


def test_progress_pools_eight_and_says_the_same_as_tables(club, as_bob, bob):
    module = ModuleFactory(club=club)
    for at in range(GROUP):
        order = "bacd" if at % 2 else "abcd"
        one = placing_class(club, module=module, title=f"Class {at}")
        placed(one, bob, order, at=WHEN + timedelta(days=at))
    page = as_bob.get("/record/progress/").text
    assert "44 of 48 as the mentor has it, which is 92 of 100" in page
    assert "1 to 8" in page
    assert page.count('class="number" data-label="Result"') == GROUP
    assert 'role="img"' in page


def test_done_again_is_counted_and_proves_nothing(open_dogs, as_bob, bob):
    for at in range(3):
        placed(open_dogs, bob, at=WHEN + timedelta(days=at))
    page = as_bob.get("/record/progress/").text
    assert "One done. 2 more were not new to you" in page


def test_what_waits_for_a_mark_is_no_progress_and_takes_time(club, as_bob, bob):
    written(critique(club), bob)
    page = as_bob.get("/record/progress/").text
    assert "Nothing here can be shown as a share yet." in page
    assert "Critique to write" in page
    assert "1 exercise handed in, 1 min." in page


def test_hours_are_summed_by_breed(mixed, as_bob):
    page = as_bob.get("/record/progress/").text
    assert "3 exercises handed in, 12 min." in page
    assert "at most 30 minutes" in page


def test_progress_asks_as_often_for_many_as_for_few(club, as_bob, bob, open_dogs):
    def count():
        as_bob.get("/record/progress/")
        with CaptureQueriesContext(connection) as queries:
            assert as_bob.get("/record/progress/").status_code == 200
        return len(queries)

    placed(open_dogs, bob)
    few = count()
    for at in range(12):
        module = open_dogs.exercise.module if at % 2 else None
        one = placing_class(club, **({"module": module} if module else {}))
        placed(one, bob, at=WHEN + timedelta(days=at))
    assert count() == few


def test_files_page_offers_every_form(as_bob, mixed):
    page = as_bob.get(FILES).text
    for name in ("record.json", "attempts.csv", "statements.json", "study-record.pdf"):
        assert f"{FILES}{name}" in page
    assert "no claim of qualification" in page
    assert 'value="Bob Trainee"' in page


def test_files_are_sent_to_be_kept(as_bob, open_dogs, bob):
    placed(open_dogs, bob)
    for name, kind in (
        ("record.json", "application/json"),
        ("attempts.csv", "text/csv; charset=utf-8; header=present"),
        ("statements.json", "application/json"),
    ):
        response = as_bob.get(FILES + name)
        assert response["Content-Type"] == kind
        assert response["Content-Disposition"].startswith('attachment; filename="')
        assert response["X-Content-Type-Options"] == "nosniff"
        assert "no-store" in response["Cache-Control"]
        assert b"Open dogs" in b"".join(response.streaming_content)


def test_table_is_for_spreadsheets(as_bob, open_dogs, bob):
    placed(open_dogs, bob)
    data = b"".join(as_bob.get(f"{FILES}attempts.csv").streaming_content)
    assert data.startswith(b"\xef\xbb\xbf")
    (row,) = csv.DictReader(StringIO(data.decode("utf-8-sig"), newline=""))
    assert row["page"].startswith("http://testserver/attempts/")


def test_statements_hold_no_address_unless_asked(as_bob, open_dogs, bob):
    placed(open_dogs, bob)

    def actor(query):
        data = b"".join(as_bob.get(f"{FILES}statements.json{query}").streaming_content)
        return json.loads(data)[0]["actor"]

    assert set(actor("")) == {"objectType", "account"}
    assert actor("?by=address")["mbox"] == "mailto:bob@example.org"


def test_downloads_are_limited(as_bob, settings):
    settings.ACCOUNT_RATE_LIMITS = {"take_away": "1/h/user"}
    assert as_bob.get(f"{FILES}attempts.csv").status_code == 200
    assert as_bob.get(f"{FILES}attempts.csv").status_code == 429


def record_on_paper(client, **asked):
    return client.post(
        f"{FILES}study-record.pdf", {"name": "Bob of the Paper", **asked}
    )


def test_study_record_is_a_pdf(as_bob, mixed):
    response = record_on_paper(as_bob)
    assert response["Content-Type"] == "application/pdf"
    assert response.content.startswith(b"%PDF-")
    assert "attachment" in response["Content-Disposition"]


def test_study_record_of_somebody_who_did_nothing_is_one_too(as_stranger):
    assert record_on_paper(as_stranger).content.startswith(b"%PDF-")


def test_study_record_needs_a_name_and_a_part_there_is(as_bob, mixed):
    assert record_on_paper(as_bob, name=" ").status_code == 422
    assert record_on_paper(as_bob, module="999").status_code == 422


def test_study_record_that_fails_says_so(as_bob, mixed, monkeypatch):
    def fails(*args, **kwargs):
        raise NotTypeset("too long")

    monkeypatch.setattr("quizzes.record.study.typeset", fails)
    response = record_on_paper(as_bob)
    assert response.status_code == 422
    assert "could not be made" in response.text
    assert "too long" not in response.text


def on_paper(monkeypatch, client, **asked):
    """What the study record says, as data."""
    kept = {}

    def keep(template, data):
        kept.update(data)
        return b"%PDF-"

    monkeypatch.setattr("quizzes.record.study.typeset", keep)
    assert record_on_paper(client, **asked).status_code == 200
    return kept


def test_study_record_says_what_was_done_and_claims_nothing(as_bob, mixed, monkeypatch):
    said = on_paper(monkeypatch, as_bob)
    assert said["name"] == "Bob of the Paper"
    assert (
        "does not say that its holder is qualified to judge" in said["words"]["claim"]
    )
    assert said["summary"][0].startswith("3 exercises handed in, 12 min.")
    assert [row[1] for row in said["rows"]] == [
        "Old bitches",
        "Open dogs",
        "A critique",
    ]
    assert said["rows"][0][3] == "6 of 6"
    assert {module["name"] for module in said["modules"]} >= {"Marlefell Drover"}


def test_study_record_says_what_was_read(as_bob, bob, mixed, monkeypatch):
    for at, (part, name) in enumerate(
        [("lesson", "Standing"), ("lesson", "Moving"), ("faults", "Faults")]
    ):
        PageRead.objects.create(
            person=bob,
            module=mixed["module"],
            part=part,
            slug=name.lower(),
            name=name,
            first_at=WHEN + timedelta(minutes=at),
            opened_at=WHEN + timedelta(days=at),
            seconds=600,
        )
    said = on_paper(monkeypatch, as_bob, module=mixed["module"].pk)
    (module,) = said["modules"]
    assert module["lessons"] == ["Standing", "Moving"]
    days = "1 Mar 2026 \N{EN DASH} 3 Mar 2026"
    assert module["read"] == f"3 pages read, 30 min. {days}."
    assert "3 pages read, 30 min." in said["summary"][0]
    assert "Pages read" in as_bob.get("/record/progress/").text
    monkeypatch.undo()
    assert record_on_paper(as_bob).content.startswith(b"%PDF-")


def test_study_record_of_one_breed_and_time(as_bob, mixed, monkeypatch):
    module = mixed["module"].pk
    said = on_paper(monkeypatch, as_bob, module=module, period="30")
    assert [row[1] for row in said["rows"]] == ["A critique"]
    assert said["about"] == "Marlefell Drover, the last 30 days"


def test_very_long_record_lists_the_latest_and_says_so(as_bob, mixed, monkeypatch):
    monkeypatch.setattr("quizzes.record.study.MOST_LISTED", 2)
    said = on_paper(monkeypatch, as_bob)
    assert [row[1] for row in said["rows"]] == ["Open dogs", "A critique"]
    assert said["left_out"].startswith("One earlier exercise is counted above")
    assert Attempt.objects.count() == 3
