"""Where somebody stopped in a module: remembered by opening pages, told by the page, shown on the module's page."""

import json
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from tests.conftest import signed_in
from tests.factories import LessonFactory, ModuleRevisionFactory
from tests.views.test_study import make_module, text
from trainer.study import places
from trainer.study.models import ModuleRevision
from trainer.study.page_reads import LONGEST_VISIT, PageRead
from trainer.study.sections import new_section


@pytest.fixture
def module(club):
    module = make_module(club, title="Judging the Fell Drover")
    question = new_section("question") | {
        "id": "q1",
        "text": "Which goes up?",
        "options": [
            {"text": "This one", "right": True, "said": "It moves."},
            {"text": "The other", "right": False, "said": "It does not."},
        ],
    }
    LessonFactory(
        revision=module.revisions.get(),
        slug="standing",
        name="Standing",
        sections=[new_section("text") | {"id": "s1", "text": "Words"}, question],
    )
    return module


def here(module, page=""):
    return f"/modules/{module.pk}/{page}"


def tell(client, module, part="lesson", slug="standing", **more):
    given = {"part": part, "slug": slug, "visit": "one", "seconds": 60, **more}
    return client.post(here(module, "read/"), given)


def writes(client, url):
    with CaptureQueriesContext(connection) as queries:
        assert client.get(url).status_code == 200
    changes = ("INSERT", "UPDATE", "DELETE")
    return [q["sql"] for q in queries if q["sql"].startswith(changes)]


def test_opening_pages_remembers_the_last_one(module, as_bob, bob):
    as_bob.get(here(module, "lessons/standing/"))
    as_bob.get(here(module, "priorities/priority-1/"))
    page = text(as_bob.get(here(module)))
    assert "Go on with “" in page
    last = places.last_places(bob)[0]
    assert (last.part, last.slug) == ("priority", "priority-1")
    assert "2 of 5 pages opened" in page


def test_reading_on_at_the_same_place_writes_nothing(module, as_bob):
    url = here(module, "lessons/standing/")
    assert len(writes(as_bob, url)) > 0
    assert writes(as_bob, url) == []
    assert writes(as_bob, here(module)) == []


def test_rows_never_grow_with_visits(module, as_bob, bob):
    pages = ["lessons/standing/", "examination/", "examination/2/", "faults/"]
    for _round in range(3):
        for page in pages:
            as_bob.get(here(module, page))
            tell(as_bob, module)
    assert PageRead.objects.owned_by(bob).count() == len(pages)
    assert PageRead.objects.get(part="faults").times == 3


def test_place_is_each_persons_own(module, as_bob, as_alice, alice):
    as_bob.get(here(module, "lessons/standing/"))
    assert "Where you stopped" not in text(as_alice.get(here(module)))
    assert not PageRead.objects.owned_by(alice).exists()


def test_go_on_leads_to_the_section_that_was_in_view(module, as_bob):
    as_bob.get(here(module, "lessons/standing/"))
    tell(as_bob, module, section="q1")
    assert 'lessons/standing/#section-q1"' in as_bob.get(here(module)).text
    tell(as_bob, module, visit="two", section="not-there")
    assert 'lessons/standing/#section-q1"' in as_bob.get(here(module)).text


def test_a_report_that_comes_twice_counts_once(module, as_bob):
    for seconds in (40, 40, 90):
        assert tell(as_bob, module, seconds=seconds).status_code == 204
    assert PageRead.objects.get().seconds == 90
    tell(as_bob, module, visit="two", seconds=30)
    assert PageRead.objects.get().seconds == 120


def test_a_page_left_open_counts_for_twenty_minutes_at_most(module, as_bob):
    for seconds in (LONGEST_VISIT, 10**9):
        tell(as_bob, module, seconds=seconds)
    assert PageRead.objects.get().seconds == LONGEST_VISIT


def test_a_late_report_does_not_move_the_place_back(module, as_bob, bob):
    """A page tells of its visit when it is left, after the next one was opened."""
    as_bob.get(here(module, "lessons/standing/"))
    as_bob.get(here(module, "faults/"))
    tell(as_bob, module, ago=600)
    assert places.last_places(bob)[0].part == "faults"


def test_what_was_read_without_a_connection_is_dated_when_it_was_read(module, as_bob):
    tell(as_bob, module, ago=3600)
    row = PageRead.objects.get()
    assert timezone.now() - row.opened_at > timedelta(minutes=59)
    assert row.first_at == row.opened_at


def test_answers_in_passing_are_remembered(module, as_bob):
    tell(as_bob, module, answers=json.dumps({"q1": [1], "gone": [0]}))
    tell(as_bob, module, answers=json.dumps({"q1": [1, 0, 7]}))
    assert PageRead.objects.get().answers == {"q1": [1, 0]}
    page = as_bob.get(here(module, "lessons/standing/")).text
    assert "data-answers" in page


@pytest.mark.parametrize(
    "wrong",
    [
        {"part": "elsewhere"},
        {"seconds": -1},
        {"seconds": "many"},
        {"visit": ""},
        {"visit": "x" * 40},
        {"answers": "{"},
        {"answers": "[1]"},
        {"answers": '{"q1": "all"}'},
        {"answers": '{"q1": [true]}'},
        {"ago": -5},
    ],
)
def test_what_is_no_report_is_refused(module, as_bob, wrong):
    assert tell(as_bob, module, **wrong).status_code == 422
    assert not PageRead.objects.exists()


def test_pages_the_module_has_not_get_404(module, as_bob, as_charlie):
    assert tell(as_bob, module, slug="elsewhere").status_code == 404
    assert tell(as_charlie, module).status_code == 404


def test_pages_fetched_ahead_are_not_read(module, as_bob):
    for page in as_bob.get(here(module, "pages.json")).json()["pages"]:
        assert as_bob.get(page, headers={"x-ahead": "1"}).status_code == 200, page
    assert not PageRead.objects.exists()


def test_a_draft_that_a_mentor_tries_is_not_read(club, as_alice):
    module = make_module(club)
    draft = {"state": ModuleRevision.State.DRAFT, "published_at": None}
    ModuleRevisionFactory(module=module, priorities=1, **draft)
    url = f"/workshop/modules/preview/{module.pk}/priorities/priority-1/"
    response = as_alice.get(url)
    assert response.status_code == 200
    assert "Keep-For" not in response.headers
    assert not PageRead.objects.exists()


def test_a_page_that_is_gone_is_no_place_any_more(module, as_bob, bob):
    as_bob.get(here(module, "faults/"))
    as_bob.get(here(module, "priorities/priority-2/"))
    old = module.revisions.get()
    old.state = ModuleRevision.State.SUPERSEDED
    old.save()
    ModuleRevisionFactory(module=module, priorities=1, steps=1)
    page = text(as_bob.get(here(module)))
    assert "Go on with “Faults and rulings”" in page
    # What was read stays in the record.
    assert PageRead.objects.owned_by(bob).count() == 2


def test_what_was_opened_is_marked_in_the_lists(module, as_bob):
    assert "read-mark" not in as_bob.get(here(module)).text
    as_bob.get(here(module, "lessons/standing/"))
    as_bob.get(here(module, "faults/"))
    assert as_bob.get(here(module)).text.count('class="read-mark"') == 2


def test_study_is_told_by_module(module, as_bob, bob, club):
    other = make_module(club)
    tell(as_bob, module, seconds=300)
    tell(as_bob, module, part="faults", slug="", visit="two", seconds=120)
    tell(as_bob, other, part="faults", slug="", visit="three", seconds=60)
    rows = {row["module_id"]: row for row in PageRead.objects.owned_by(bob).by_module()}
    assert rows[module.pk]["pages"] == 2
    assert rows[module.pk]["seconds"] == 420
    assert rows[other.pk]["seconds"] == 60


def test_only_what_may_be_kept_says_so(module, as_bob, bob, alice):
    key = as_bob.get(here(module)).headers["Keep-For"]
    assert key == as_bob.get("/modules/").headers["Keep-For"]
    assert key != signed_in(alice).get(here(module)).headers["Keep-For"]
    for url in ("/", "/record/", "/classes/", "/you/profile/", "/account/logout/"):
        assert "Keep-For" not in as_bob.get(url).headers, url


def test_worker_and_offline_page_are_the_same_for_all(client, as_bob):
    for url in ("/service-worker.js", "/offline/"):
        assert client.get(url).content == as_bob.get(url).content
    worker = client.get("/service-worker.js")
    assert worker.headers["Content-Type"].startswith("text/javascript")
    assert worker.text.startswith("const RELEASE = {")
    assert "data-reader" not in client.get("/offline/").text
    assert 'data-reader=""' in client.get("/").text
