"""Situations in the ring: rulings given, told and bounded."""

import pytest
from django.utils.html import escape

from quizzes.kinds import kind_named
from quizzes.kinds.ruling.kind import KnownRuling, Situation
from quizzes.kinds.ruling.rulings import Ruling
from tests.sheets import answered, opened, right, sheet

pytestmark = pytest.mark.django_db
KIND = kind_named("ruling")
BOUNDS = "the rules of the show decide"


def ruled_unsafely(revision):
    """The key's answer, but for the first row that knows an unsafe ruling."""
    answer = right(revision)
    key = revision.key["items"]
    pk = next(pk for pk, known in key.items() if known["unsafe"])
    answer["items"][pk] = key[pk]["unsafe"][0]
    return answer, KIND.sheet(revision.content).by_id[pk]


def test_what_is_unsafe_is_named_before_anything_else(client, club, bob):
    revision = sheet(club, "ruling")
    answer, row = ruled_unsafely(revision)
    attempt = answered(revision, bob, answer)
    client.force_login(bob)
    page = client.get(f"/attempts/{attempt.pk}/result/").content.decode()
    assert page.index(f"{row.name}: you would") < page.index("as the key has it")
    assert "The mentor calls your ruling unsafe." in page


def test_a_safe_answer_is_not_warned_of(client, club, bob):
    attempt = answered(sheet(club, "ruling"), bob)
    client.force_login(bob)
    page = client.get(f"/attempts/{attempt.pk}/result/").content.decode()
    assert "unsafe" not in page


def test_every_page_says_whose_book_decides(client, club, alice, bob):
    revision = sheet(club, "ruling")
    attempt, exercise = answered(revision, bob), revision.exercise_id
    again = opened(revision, bob)
    pages = {
        bob: [
            f"/classes/{exercise}/",
            f"/attempts/{again.pk}/",
            f"/attempts/{attempt.pk}/result/",
        ],
        alice: [
            "/workshop/sheets/new/ruling/",
            f"/workshop/sheets/{exercise}/",
            f"/workshop/sheets/{exercise}/print/",
            f"/workshop/classes/{exercise}/attempts/",
        ],
    }
    for person, urls in pages.items():
        client.force_login(person)
        missing = [
            url for url in urls if BOUNDS not in client.get(url).content.decode()
        ]
        assert not missing


def test_the_rule_that_decides_is_named_afterwards_only(client, club, bob):
    revision = sheet(club, "ruling")
    key = revision.key["items"].values()
    attempt = opened(revision, bob)
    client.force_login(bob)
    before = client.get(f"/attempts/{attempt.pk}/").content.decode()
    assert not [known for known in key if known["rule"] in before]
    answered(revision, bob)
    after = client.get(f"/attempts/{attempt.pk}/result/").content.decode()
    assert all(escape(known["rule"]) in after for known in key)


def test_a_row_says_what_it_lacks():
    row = Situation(name="Late", situation="A handler runs in late.")
    whole = {"ruling": "steward", "rule": "The book on late arrivals."}
    assert not KIND.lacks(row, KnownRuling(**whole))
    assert len(KIND.lacks(Situation(), KnownRuling())) == 4
    assert KIND.lacks(row, KnownRuling(**whole, half=("steward",)))
    assert KIND.lacks(row, KnownRuling(**whole, unsafe=("steward",)))
    assert KIND.lacks(row, KnownRuling(**whole, half=("note",), unsafe=("note",)))


def test_every_ruling_says_what_it_comes_to():
    assert all(one.meaning for one in Ruling)
