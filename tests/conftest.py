"""The cast: alice mentors in a club, bob trains in it, charlie belongs elsewhere."""

import os
import sys

import pytest
from django.core.cache import caches
from django.core.files.storage import storages
from django.db import connection
from django.test import Client, TransactionTestCase
from hypothesis import settings

from tests.emptying import empty_database
from tests.factories import ClubFactory, MembershipFactory, UserFactory
from trainer.clubs.models import Role
from trainer.study import reading

TransactionTestCase._fixture_teardown = empty_database
# How long one example takes says something of the machine and nothing of the code.
settings.register_profile("site", deadline=None)
settings.load_profile("site")


def pytest_addoption(parser):
    parser.addoption(
        "--on-the-database",
        action="store_true",
        help="Only tests that use the database: the others are the same on every one.",
    )


def pytest_collection_modifyitems(config, items):
    if config.getoption("--on-the-database"):
        using = [item for item in items if depends_on_the_database(item)]
        config.hook.pytest_deselected(items=[i for i in items if i not in set(using)])
        items[:] = using


def depends_on_the_database(item):
    """It uses one, and is not of those that are run once: determinism, and properties over random documents."""
    uses = {"db", "transactional_db"} & set(item.fixturenames)
    is_random = getattr(item.obj, "is_hypothesis_test", False)
    is_once = is_random or item.get_closest_marker("once")
    return not is_once and bool(uses or item.get_closest_marker("django_db"))


def pytest_report_header():
    """Which database and storage the tests run on; missing the database asked for is an error."""
    asked = os.environ.get("DATABASE_URL", "")
    if asked.startswith("postgres") and connection.vendor != "postgresql":
        raise pytest.UsageError("DATABASE_URL names PostgreSQL, the settings do not.")
    storage = type(storages["default"]).__name__
    return f"database: {connection.vendor}, photographs in {storage}"


@pytest.fixture
def postgresql(db):
    """True where the tests run on PostgreSQL; the two databases differ in places."""
    return connection.vendor == "postgresql"


@pytest.fixture(autouse=True)
def fresh_limits(monkeypatch):
    """Rate limits count in a cache and parts of pages are kept in one: each test begins anew.

    So do the documents a process keeps: a test's rows are rolled back, and the next ones get their numbers.
    Within a test they stay, also where a minute ends in the middle: queries are counted.
    """
    monkeypatch.setattr(reading, "KEPT_SECONDS", sys.maxsize)
    for each in caches.all(initialized_only=True):
        each.clear()
    reading._loaded.cache_clear()


@pytest.fixture
def club(db):
    return ClubFactory(name="Tarn Valley Sheepdog Club", slug="tarn-valley")


@pytest.fixture
def other_club(db):
    return ClubFactory(name="Moss Edge Breed Society", slug="moss-edge")


def member(club, role, name):
    """A person of that name with one role in the club."""
    email = f"{name.split()[0].lower()}@example.org"
    user = UserFactory(name=name, email=email)
    MembershipFactory(club=club, user=user, role=role)
    return user


@pytest.fixture
def alice(club):
    """A mentor of the club."""
    return member(club, Role.MENTOR, "Alice Mentor")


@pytest.fixture
def bob(club):
    """A trainee of the club."""
    return member(club, Role.TRAINEE, "Bob Trainee")


@pytest.fixture
def organiser(club):
    """The organiser of the club."""
    return member(club, Role.ORGANISER, "Olive Organiser")


@pytest.fixture
def charlie(other_club):
    """A trainee of the other club."""
    return member(other_club, Role.TRAINEE, "Charlie Elsewhere")


@pytest.fixture
def stranger(db):
    """A person with an account and no club."""
    return UserFactory(name="Stella Stranger", email="stella@example.org")


@pytest.fixture
def person(db):
    """Somebody who can use the sign-in form."""
    return UserFactory(email="pat@example.org", name="Pat Person", verified=True)


def signed_in(user):
    """A client in which the person is signed in."""
    client = Client()
    client.force_login(user)
    return client


@pytest.fixture
def as_alice(alice):
    return signed_in(alice)


@pytest.fixture
def as_bob(bob):
    return signed_in(bob)


@pytest.fixture
def as_organiser(organiser):
    return signed_in(organiser)


@pytest.fixture
def as_charlie(charlie):
    return signed_in(charlie)


@pytest.fixture
def as_stranger(stranger):
    return signed_in(stranger)
