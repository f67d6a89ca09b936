"""Study modules: what is worked out for reading, and taking in a document."""

import copy
import json
import re
from pathlib import Path
from types import SimpleNamespace

import pytest
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command
from django.db import IntegrityError, transaction
from django.utils import timezone

from tests.factories import (
    FaultFactory,
    ModuleFactory,
    ModuleRevisionFactory,
    PriorityFactory,
    UserFactory,
)
from tests.material import import_module
from trainer.study import reading
from trainer.study.models import Breed, Module, ModuleRevision, Phrase, Priority
from trainer.study.services import BadDocument, publish_module, store_draft

State = ModuleRevision.State
FIXTURE = Path(__file__).parents[2] / "fixtures" / "marlefell-drover" / "module.json"


@pytest.fixture(scope="module")
def demo():
    return json.loads(FIXTURE.read_text(encoding="utf-8"))


@pytest.fixture
def document(demo):
    return copy.deepcopy(demo)


def weights(*values):
    rows = [SimpleNamespace(weight=value) for value in values]
    found = reading.weigh(rows)
    return len(found.first), found.first_sum, found.rest_sum, found.scale


# what is worked out for reading


@pytest.mark.parametrize(
    ("values", "found"),
    [
        # worked by hand: 17 + 15 + 13 = 45 is under the half, with 12 it is 57
        ((17, 15, 13, 12, 11, 10, 8, 6, 5, 3), (4, 57, 43, 20)),
        ((51, 49), (1, 51, 49, 55)),
        ((50, 50), (2, 100, 0, 50)),
        ((25, 25, 25, 25), (3, 75, 25, 25)),
        ((100,), (1, 100, 0, 100)),
        ((), (0, 0, 0, 0)),
    ],
)
def test_weights_part_where_the_half_is_passed(values, found):
    assert weights(*values) == found


def test_weights_of_the_demo_are_those_of_its_document(demo):
    values = [row["weight"] for row in demo["priorities"]]
    count, first, rest, _scale = weights(*values)
    assert first == sum(values[:count]) > rest == sum(values[count:])
    assert sum(values[: count - 1]) * 2 <= sum(values)


def test_ruled_line_has_a_notch_at_every_step():
    assert reading.ruled_line(10, every=5) == "M0 10H10M0 4V10M5 4V10M10 4V10"
    assert reading.ruled_line(3).count("V10") == 4


def test_position_at_the_ends_and_between():
    rows = [SimpleNamespace(slug=slug) for slug in "abc"]
    first, middle, last = (reading.position(rows, slug=slug) for slug in "abc")
    assert (first.before, first.after, first.place) == (None, rows[1], 1)
    assert (middle.before, middle.after, middle.of) == (rows[0], rows[2], 3)
    assert (last.before, last.after, last.place) == (rows[1], None, 3)
    assert reading.position(rows, slug="d") is None
    assert reading.position([], slug="a") is None


def test_levels_are_said_ideal_first():
    phrases = [Phrase(level=level, text=f"text {level}") for level in (2, 0, 4, 1, 3)]
    found = [(str(word), phrase) for word, phrase in reading.levels_in_words(phrases)]
    assert found == [
        ("ideal", "text 4"),
        ("good", "text 3"),
        ("fair", "text 2"),
        ("poor", "text 1"),
        ("faulty", "text 0"),
    ]


def test_document_is_for_members_only(club, alice, bob, organiser, charlie, stranger):
    module = ModuleFactory(club=club)
    for member in (alice, bob, organiser):
        assert reading.document(member, module.pk).module == module
    for outsider in (charlie, stranger):
        assert reading.document(outsider, module.pk) is None


def test_document_is_that_of_the_revision_in_force(club, bob):
    module = ModuleFactory(club=club)
    before = reading.document(bob, module.pk).revision
    draft = ModuleRevisionFactory(module=module, state=State.DRAFT, published_at=None)
    assert reading.document(bob, module.pk).revision == before
    publish_module(draft, now=timezone.now())
    assert reading.document(bob, module.pk).revision == draft


def test_who_leaves_the_club_reads_no_more(club, bob):
    module = ModuleFactory(club=club)
    assert reading.document(bob, module.pk)
    bob.memberships.all().delete()
    assert reading.document(bob, module.pk) is None


def test_faults_are_grouped_gravest_first_and_empty_groups_left_out(club, bob):
    module = ModuleFactory(club=club, revision=None)
    revision = ModuleRevisionFactory(module=module, faults=0)
    for number, severity in enumerate(["minor", "disqualifying", "minor"], start=1):
        FaultFactory(revision=revision, number=number, severity=severity)
    groups = reading.document(bob, module.pk).faults_by_severity
    assert [(str(s), [f.number for f in faults]) for s, faults in groups] == [
        ("disqualifying", [2]),
        ("minor", [1, 3]),
    ]


def test_list_holds_a_module_once_however_many_roles(club, bob, alice):
    ModuleFactory(club=club)
    ModuleFactory(club=club, revision=None)
    club.memberships.create(user=bob, role="organiser")
    club.memberships.create(user=bob, role="mentor")
    assert len(reading.revisions_for_list(bob)) == 1


# scoping and constraints


def test_trainees_see_what_is_in_force_mentors_everything(club, alice, bob, charlie):
    in_force = ModuleFactory(club=club)
    empty = ModuleFactory(club=club, revision=None)
    assert set(Module.objects.visible_to(bob)) == {in_force}
    assert set(Module.objects.visible_to(alice)) == {in_force, empty}
    assert not Module.objects.visible_to(charlie).exists()
    assert not Module.objects.editable_by(bob).exists()
    assert Module.objects.editable_by(alice).count() == 2


def test_superseded_revisions_are_for_mentors_only(club, alice, bob):
    module = ModuleFactory(club=club)
    old = module.revisions.get()
    old.state = State.SUPERSEDED
    old.save()
    assert old not in ModuleRevision.objects.visible_to(bob)
    assert old in ModuleRevision.objects.visible_to(alice)


@pytest.mark.parametrize("state", [State.PUBLISHED, State.DRAFT])
def test_one_draft_and_one_revision_in_force_at_most(club, state):
    module = ModuleFactory(club=club, revision=None)
    ModuleRevisionFactory(module=module, state=state)
    with pytest.raises(IntegrityError), transaction.atomic():
        ModuleRevisionFactory(module=module, state=state)


@pytest.mark.parametrize("weight", [0, 101])
def test_weights_are_per_cent(club, weight):
    with pytest.raises(IntegrityError), transaction.atomic():
        PriorityFactory(weight=weight)


# taking in a document


def test_demo_document_is_taken_in_whole(club, alice, demo):
    now = timezone.now()
    revision = import_module(club, demo, author=alice, now=now)
    assert (revision.number, revision.state) == (1, State.PUBLISHED)
    assert revision.published_at == now
    stored = list(revision.priorities.values_list("slug", "weight"))
    assert stored == [(row["slug"], row["weight"]) for row in demo["priorities"]]
    steps = list(revision.steps.values_list("name", "priority__slug"))
    assert steps == [
        (row["name"], row["priority"]) for row in demo["examination"]["steps"]
    ]
    assert revision.faults.count() == len(demo["faults"])
    for row, priority in zip(
        demo["priorities"], revision.priorities.all(), strict=True
    ):
        phrases = priority.phrases.order_by("level").values_list("text", flat=True)
        assert list(phrases) == row["phrases"]


def test_next_document_supersedes_the_last(club, alice, document):
    now = timezone.now()
    first = import_module(club, document, author=alice, now=now)
    document["title"] = "Second thoughts"
    second = import_module(club, document, author=alice, now=now)
    first.refresh_from_db()
    assert (first.state, second.state) == (State.SUPERSEDED, State.PUBLISHED)
    assert (first.module, second.number) == (second.module, 2)


def without(*path):
    def change(document):
        part = document
        for key in path[:-1]:
            part = part[key]
        del part[path[-1]]

    return change


def with_value(value, *path):
    def change(document):
        part = document
        for key in path[:-1]:
            part = part[key]
        part[path[-1]] = value

    return change


BROKEN = {
    "no title": without("title"),
    "no phrases": without("priorities", 3, "phrases"),
    "four phrases": without("priorities", 3, "phrases", 0),
    "weights over 100": with_value(90, "priorities", 0, "weight"),
    "weight of nothing": with_value(0, "priorities", 0, "weight"),
    "unknown sense": with_value("nose", "examination", "steps", 0, "sense"),
    "unknown place": with_value("moon", "examination", "where"),
    "unknown ruling": with_value("shout at it", "faults", 0, "ruling"),
    "unknown priority": with_value("colour", "faults", 0, "priority"),
    "breed without a name": with_value("", "breed", "name"),
}


@pytest.mark.parametrize("change", BROKEN.values(), ids=BROKEN)
def test_broken_document_stores_nothing(club, alice, document, change):
    change(document)
    with pytest.raises(ValidationError):
        import_module(club, document, author=alice, now=timezone.now())
    assert not Module.objects.exists()
    assert not ModuleRevision.objects.exists()
    assert not Priority.objects.exists()


def test_broken_document_leaves_the_last_in_force(club, alice, document):
    good = import_module(club, document, author=alice, now=timezone.now())
    document["faults"][0]["ruling"] = "shout at it"
    with pytest.raises(ValidationError):
        import_module(club, document, author=alice, now=timezone.now())
    good.refresh_from_db()
    assert good.state == State.PUBLISHED


# the command


def run(path, *, club="tarn-valley", author="alice@example.org"):
    call_command("import_bundle", str(path), club=club, author=author, publish=True)


def refusal(path, **options):
    """The exit code and the message of a run that fails."""
    with pytest.raises(CommandError) as caught:
        run(path, **options)
    return caught.value.returncode, str(caught.value)


def test_command_puts_the_document_in_force(club, alice, capsys):
    run(FIXTURE, author="ALICE@example.org")
    revision = ModuleRevision.objects.in_force().get()
    assert (revision.author, revision.module.club) == (alice, club)
    assert "Judging the Marlefell Drover, in Tarn Valley" in capsys.readouterr().out


def test_command_reads_a_file_with_a_byte_order_mark(club, alice, demo, tmp_path):
    path = tmp_path / "module.json"
    path.write_text(json.dumps(demo), encoding="utf-8-sig")
    run(path)
    assert ModuleRevision.objects.in_force().count() == 1


def test_command_says_what_is_not_to_be_had(club, alice, bob, charlie, tmp_path):
    missing = tmp_path / "missing.json"
    UserFactory(email="dora@example.org", name="Dora")
    cases = [
        (refusal(missing), str(missing)),
        (refusal(FIXTURE, club="nowhere"), "tarn-valley"),
        (refusal(FIXTURE, author="nobody@example.org"), "nobody@example.org"),
        (refusal(FIXTURE, author="bob@example.org"), "Bob Trainee is no mentor"),
        (refusal(FIXTURE, author="dora@example.org"), "Dora is no mentor"),
    ]
    for (code, message), words in cases:
        assert code == 2, message
        assert words in message


def test_command_refuses_a_document_with_its_reason(club, alice, document, tmp_path):
    document["priorities"][2]["phrases"].pop()
    path = tmp_path / "module.json"
    path.write_text(json.dumps(document), encoding="utf-8")
    code, message = refusal(path)
    assert code == 1
    assert "module, priorities 3, phrases: has another form" in message
    path.write_text('{\n  "title": }', encoding="utf-8")
    code, message = refusal(path)
    assert code == 1
    assert "line 2, column 12" in message
    assert not Module.objects.exists()


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (lambda d: d["steps"].__setitem__(4, {}), "Step 5 lacks \u201cname\u201d"),
        (lambda d: d["steps"][0].update(sense="nose"), "Step 1: sense: "),
        (
            lambda d: d["faults"][1].update(priority="nope"),
            "Fault 2 lacks \u201cnope\u201d",
        ),
        (
            lambda d: d["faults"][1].update(colour="blue"),
            "Fault 2: \u201ccolour\u201d is not part",
        ),
    ],
)
def test_refusal_names_the_part(club, alice, document, spoil, said):
    parts = {"steps": document["examination"]["steps"], "faults": document["faults"]}
    spoil(parts)
    module = ModuleFactory(club=club, revision=None)
    with pytest.raises(BadDocument, match=re.escape(said)), transaction.atomic():
        store_draft(module, document, author=alice)
    assert not ModuleRevision.objects.exists()


def test_list_instead_of_a_document_is_refused(club, alice):
    module = ModuleFactory(club=club, revision=None)
    with pytest.raises(BadDocument, match="another form than a module document"):
        store_draft(module, [], author=alice)


def test_a_second_club_does_not_rewrite_the_breed(club, other_club, alice, document):
    import_module(club, document, author=alice, now=timezone.now())
    document["breed"]["summary"] = "Something else."
    import_module(other_club, document, author=alice, now=timezone.now())
    assert Breed.objects.get().summary != "Something else."
