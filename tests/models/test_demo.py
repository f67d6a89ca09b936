"""The demo is complete, plausible and the same every time."""

import itertools
import json
from datetime import UTC, datetime
from pathlib import Path
from unittest.mock import patch

import pytest
from django.conf import settings
from django.core.management import call_command
from django.db import transaction

from quizzes.demo import FOLDER, LIBRARY, MADE, classes, load_demo, read
from quizzes.kinds.placing.content import ClassContent, ClassKey
from quizzes.kinds.placing.problems import class_problems
from quizzes.models import Attempt, Drawing, Panel, Revision
from quizzes.panels.report import Report
from quizzes.plates import BREEDS
from trainer.seminars.demo import add_seminars
from trainer.seminars.models import Feedback, Seminar
from trainer.seminars.report import report
from trainer.study.models import Fault, ModuleRevision

NOW = datetime(2026, 3, 10, 14, 30, tzinfo=UTC)
DOCUMENTS = classes()


@pytest.fixture(scope="class")
def loaded(django_db_setup, django_db_blocker):
    """Loaded once for all that only read it, and rolled back after them."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield load_demo(now=NOW)
        transaction.set_rollback(True)


@pytest.fixture
def demo(loaded, db):
    return loaded


def outcomes():
    rows = Attempt.objects.order_by("pk").values_list(
        "trainee__name", "revision__title", "answer", "grades__share"
    )
    return json.dumps(list(rows))


@pytest.mark.once
class TestDemo:
    """What is there once it is loaded."""

    def test_demo_is_there_and_loads_once(self, demo):
        assert load_demo(now=NOW) is None
        assert demo.memberships.filter(role="trainee").count() == 25
        assert Revision.objects.in_force().count() >= 8
        assert Attempt.objects.filter(state="handed_in").count() > 100

    @pytest.mark.parametrize("wish", MADE, ids=lambda wish: wish.class_name)
    def test_made_classes_are_drawn_and_placed(self, demo, wish):
        revision = Revision.objects.in_force().get(title__startswith=wish.class_name)
        content, key = ClassContent.read(revision.content), ClassKey.read(revision.key)
        assert (len(content), content.sex) == (wish.size, wish.sex)
        assert content.breed in BREEDS
        assert sum(bool(dog.faults) for dog in content) > 1
        assert bool(key.rulings) == bool(wish.odd_one)
        assert revision.handed_in > 5
        assert revision.exercise.practice_for is None

    def test_priorities_are_illustrated(self, demo):
        slugs = {row["slug"] for row in read("module.json")["priorities"]}
        drawings = list(Drawing.objects.all())
        assert len(drawings) == 3
        assert {drawing.priority for drawing in drawings} <= slugs

    def test_library_has_dogs_that_are_drawn_and_placed_on_the_priorities(self, demo):
        kept = list(demo.library_dogs.all())
        assert [dog.name for dog in kept] == [name for name, _note in LIBRARY]
        assert all(dog.ringside and dog.levels and dog.breed in BREEDS for dog in kept)
        assert len({dog.ringside for dog in kept}) == len(kept)

    def test_a_panel_keyed_a_class_and_its_key_is_what_they_agreed_on(self, demo):
        report = Report(Panel.objects.get())
        revision = Revision.objects.in_force().get(title=read("panel.json")["class"])
        agreed, published = report.found.key(0), ClassKey.read(revision.key)
        assert report.names == ["Hedda Quillane", "Ishbel Carrowmoor", "Tobiah Renfold"]
        assert (agreed.groups, agreed.group_cuts) == (
            published.groups,
            published.group_cuts,
        )
        assert agreed.mentors == published.mentors == 3
        assert report.found.undecided

    def test_module_is_whole(self, demo):
        revision = ModuleRevision.objects.in_force().get()
        assert revision.priorities.count() == 10
        assert sum(revision.priorities.values_list("weight", flat=True)) == 100
        assert revision.steps.count() == 18
        assert revision.faults.filter(severity=Fault.Severity.DISQUALIFYING).exists()
        assert all(p.phrases.count() == 5 for p in revision.priorities.all())

    def test_trainees_are_neither_perfect_nor_guessing(self, demo):
        shares = [r.mean_share for r in Revision.objects.in_force() if r.graded]
        assert 0.55 < sum(shares) / len(shares) < 0.95


def test_same_demo_every_time(db, capsys):
    """What is asked, and what came of it, to the letter; by the command too, which loads it once."""
    with transaction.atomic():
        add_seminars(load_demo(now=NOW), now=NOW)
        first = to_the_letter()
        transaction.set_rollback(True)
    with patch("django.utils.timezone.now", return_value=NOW):
        call_command("load_demo")
        call_command("load_demo")
    assert to_the_letter() == first
    said = capsys.readouterr().out
    assert "The demo is loaded." in said
    assert "The demo is there already." in said
    assert "hedda.quillane@example.org" in said


def to_the_letter():
    rows = Revision.objects.order_by("pk").values_list("content", "key")
    over = Seminar.objects.get(state=Seminar.State.OVER)
    said = Feedback.objects.order_by("pk").values_list("attendee__name", "good")
    certificates = over.certificates.order_by("number").values_list("says")
    seminars = [report(over, NOW), list(said), list(certificates)]
    return json.dumps([list(rows), seminars]), outcomes()


def test_sizes_and_special_cases_are_all_there():
    sizes = {len(document["dogs"]) for document in DOCUMENTS}
    keys = [document["key"] for document in DOCUMENTS]
    rulings = {r["ruling"] for key in keys for r in key["rulings"].values()}
    assert {3, 4, 5, 10, 12} <= sizes
    assert {"disqualified", "excused", "withheld"} <= rulings
    assert any(key["level"] for key in keys)
    assert any(d["places"] == 4 and len(d["dogs"]) == 10 for d in DOCUMENTS)
    assert any(d["pace_seconds"] for d in DOCUMENTS)


@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda d: d["title"])
def test_class_can_be_published(document):
    content = ClassContent.read(document)
    assert class_problems(content, ClassKey.read(document["key"])) == []


@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda d: d["title"])
def test_key_follows_the_weights_unless_a_reason_says_why(document):
    """Neighbours stand as weight times level has them, or within 3 of 100 of it."""
    weights = {row["slug"]: row["weight"] for row in read("module.json")["priorities"]}
    worth = {
        dog["id"]: sum(
            weights[slug] * level / 4 for slug, level in dog["levels"].items()
        )
        for dog in document["dogs"]
    }
    order = document["key"]["order"]
    for upper, lower in itertools.pairwise(order):
        assert worth[upper] > worth[lower] - 3


def test_demo_addresses_lead_nowhere():
    text = (FOLDER / "people.json").read_text()
    people = json.loads(text)
    assert all(row["email"].endswith("@example.org") for row in people["trainees"])
    assert Path(settings.BASE_DIR) in FOLDER.parents
