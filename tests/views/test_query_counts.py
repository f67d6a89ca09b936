"""Lists ask the database as often for many rows as for few; a worker starts lean."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from quizzes.models import Grade, Revision
from quizzes.views import PER_PAGE
from tests.factories import (
    AttemptFactory,
    ClubFactory,
    MembershipFactory,
    ModuleFactory,
    RevisionFactory,
    UserFactory,
)
from trainer.clubs.models import Role

ROOT = Path(__file__).parents[2]
FEW, MANY = 2, PER_PAGE + 5
"""Many is more than a page holds, so that the links to the other pages are there too."""

DOGS = {"dogs": [{"id": dog, "armband": at} for at, dog in enumerate("abc", start=1)]}
KEY = {"order": ["a", "b", "c"]}


@pytest.fixture
def module(club):
    return ModuleFactory(club=club)


def make_class(module, **fields):
    given = {"content": DOGS, "key": KEY, "size": 3} | fields
    return RevisionFactory(exercise__module=module, **given)


def hand_in(revision, trainee):
    attempt = AttemptFactory(revision=revision, trainee=trainee, handed_in=True)
    Grade.objects.create(
        attempt=attempt,
        revision=revision,
        graded_at=timezone.now(),
        pairs_agreed=2,
        pairs_counted=3,
        share=2 / 3,
        chance=0.5,
        result={},
    )
    Revision.objects.filter(pk=revision.pk).update(handed_in=1)
    return attempt


def visit(client, url):
    """The page, and how many queries it took once everything was warm."""
    client.get(url)
    with CaptureQueriesContext(connection) as queries:
        response = client.get(url)
    assert response.status_code == 200
    return response.text, len(queries)


def compare(client, url, add, mark, shown=PER_PAGE):
    """Ask for the page with few rows, then with many; `mark` stands in each row once."""
    for number in range(FEW):
        add(number)
    page, few = visit(client, url)
    assert page.count(mark) == FEW
    for number in range(FEW, MANY):
        add(number)
    page, many = visit(client, url)
    assert page.count(mark) == shown
    assert many == few


def test_classes(as_bob, bob, module):
    def add(number):
        revision = make_class(module)
        hand_in(revision, bob)
        if number % 2:
            AttemptFactory(revision=revision, trainee=bob)

    compare(as_bob, "/classes/", add, 'class="margin-title"')


def test_classes_of_many_modules(as_bob, club):
    def add(_number):
        make_class(ModuleFactory(club=club))

    compare(as_bob, "/classes/", add, 'class="margin-title"')


def test_own_attempts_at_a_class(as_bob, bob, module):
    revision = make_class(module)

    def add(_number):
        hand_in(revision, bob)

    compare(as_bob, f"/classes/{revision.exercise_id}/", add, "2 of 3")


def test_record(as_bob, bob, module):
    def add(_number):
        hand_in(make_class(module), bob)

    compare(as_bob, "/record/", add, "2 of 3")


def test_workshop(as_alice, module):
    def add(_number):
        revision = make_class(module)
        make_class(
            module, exercise=revision.exercise, state=Revision.State.DRAFT, number=2
        )

    compare(as_alice, "/workshop/", add, 'class="margin-title"')


def test_attempts_of_a_class(as_alice, module):
    revision = make_class(module)

    def add(_number):
        hand_in(revision, UserFactory())

    url = f"/workshop/classes/{revision.exercise_id}/attempts/"
    compare(as_alice, url, add, "2 of 3")


def test_revisions_of_a_class(as_alice, module):
    exercise = make_class(module).exercise

    def add(number):
        make_class(
            module,
            exercise=exercise,
            state=Revision.State.SUPERSEDED,
            number=number + 2,
        )

    url = f"/workshop/classes/{exercise.pk}/"
    compare(as_alice, url, add, ", superseded", shown=MANY)


def test_clubs(as_bob, bob):
    def add(number):
        MembershipFactory(club=ClubFactory(name=f"Far club {number}"), user=bob)

    page, few = visit(as_bob, "/clubs/")
    for number in range(MANY):
        add(number)
    page, many = visit(as_bob, "/clubs/")
    assert "Far club 0" in page
    assert many == few


@pytest.mark.parametrize("who", ["alice", "organiser"])
def test_people_of_a_club(who, request, club):
    client = request.getfixturevalue(f"as_{who}")

    def add(number):
        user = UserFactory(name=f"Newcomer {number}")
        MembershipFactory(club=club, user=user, role=Role.TRAINEE)
        MembershipFactory(club=club, user=user, role=Role.MENTOR)

    add(0)
    page, few = visit(client, "/clubs/tarn-valley/")
    for number in range(1, MANY):
        add(number)
    page, many = visit(client, "/clubs/tarn-valley/")
    assert "Newcomer 1" in page
    assert many == few


def test_modules(as_bob, club):
    def add(number):
        ModuleFactory(club=club, breed__name=f"Far breed {number}")

    add(0)
    _page, few = visit(as_bob, "/modules/")
    for number in range(1, MANY):
        add(number)
    page, many = visit(as_bob, "/modules/")
    assert "Far breed 1" in page
    assert many == few


START = """
import sys
import trainer.wsgi
from django.urls import get_resolver

def resolve(resolver):
    for pattern in resolver.url_patterns:
        if hasattr(pattern, "url_patterns"):
            resolve(pattern)

resolve(get_resolver())
assert "quizzes.kinds.placing.player" in sys.modules
print(*sorted(name for name in sys.modules if name.split(".")[0] == "scipy"))
"""


def test_a_worker_starts_without_scipy(tmp_path):
    """Loading it would take longer and hold more memory than all the rest."""
    settings = {
        "PATH": os.environ["PATH"],
        "TRAINER_SECRET_KEY": "only-for-tests-" + "x" * 40,
        "TRAINER_VAR_DIR": str(tmp_path),
    }
    done = subprocess.run(
        [sys.executable, "-c", START],
        cwd=ROOT,
        env=settings,
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert (done.returncode, done.stdout) == (0, "\n"), done.stderr


@pytest.mark.parametrize("url", ["/", "/classes/", "/modules/", "/workshop/"])
def test_a_page_asks_once_which_roles_the_person_holds(as_alice, module, url):
    make_class(module)
    as_alice.get(url)
    with CaptureQueriesContext(connection) as queries:
        as_alice.get(url)
    asked = [query for query in queries if "clubs_membership" in query["sql"]]
    assert len(asked) == 1


def test_a_role_that_was_taken_is_gone_with_the_next_page(as_alice, alice, module):
    revision = make_class(module)
    assert as_alice.get("/workshop/").text.count(revision.title)
    alice.memberships.all().delete()
    assert as_alice.get("/").text.count("You belong to no club yet") == 1
    assert as_alice.post(f"/classes/{revision.exercise_id}/begin/").status_code == 404
