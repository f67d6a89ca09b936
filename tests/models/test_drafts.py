"""Drafts of a module: what changes them, what they lack, and that nothing is lost."""

import json
from pathlib import Path

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.factories import ModuleFactory
from tests.material import import_module
from trainer.study.desk import comparing, drafts, suggesting
from trainer.study.desk.drafts import EditedElsewhere
from trainer.study.desk.lacking import lacking_in
from trainer.study.desk.weighing import outweighing
from trainer.study.models import Module, ModuleRevision
from trainer.study.parts import PARTS, module_document
from trainer.study.services import store_draft

FIXTURE = Path("fixtures/marlefell-drover/module.json")


@pytest.fixture
def now(db):
    return timezone.now()


@pytest.fixture
def module(club):
    return ModuleFactory(club=club)


@pytest.fixture
def draft(module, alice, now):
    return drafts.draft_of(module, by=alice, now=now)


def add(draft, part, by, now, *names):
    return [
        drafts.add_row(draft, PARTS[part], by=by, now=now, name=name) for name in names
    ]


def names(draft, part):
    rows = PARTS[part].of(draft).order_by("number")
    assert [row.number for row in rows] == list(range(1, len(rows) + 1))
    return [row.name for row in rows]


# Begun


def test_draft_is_a_copy_of_what_is_in_force(module, draft):
    published = module.revisions.in_force().get()
    assert draft.state == "draft"
    assert draft.number == published.number + 1
    assert module_document(draft) == module_document(published)
    assert drafts.draft_of(module, by=None, now=None) == draft


def test_document_of_the_demo_round_trips(club, alice, now):
    """What is taken in is told again, to the letter."""
    given_ = json.loads(FIXTURE.read_text())
    revision = import_module(club, given_, author=alice, now=now)
    told = module_document(revision)
    again = store_draft(revision.module, told, author=alice)
    assert module_document(again) == told
    assert told["priorities"] == [
        {**row, "plate": row.get("plate", [])} for row in given_["priorities"]
    ]
    assert [row["name"] for row in told["faults"]] == [
        row["name"] for row in given_["faults"]
    ]


def test_new_module_finds_the_breed_and_a_free_short_name(club, alice, now):
    one = drafts.new_module(
        club, breed_name="Marsh Dog", title="One", by=alice, now=now
    )
    two = drafts.new_module(
        club, breed_name="marsh dog", title="Two", by=alice, now=now
    )
    assert one.module.breed == two.module.breed
    assert (one.module.slug, two.module.slug) == ("marsh-dog", "marsh-dog-2")


# Rows


def test_rows_are_added_at_the_end_with_short_names_of_their_own(draft, alice, now):
    add(draft, "priorities", alice, now, "Coat", "Coat")
    slugs = list(draft.priorities.order_by("number").values_list("slug", flat=True))
    assert slugs[-2:] == ["coat", "coat-2"]


@settings(
    max_examples=30,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(moves=st.lists(st.tuples(st.integers(0, 4), st.integers(-2, 8)), max_size=6))
def test_moving_is_taking_out_and_putting_in(module, alice, now, moves):
    """Any run of moves leaves the order that a list would have, without gaps."""
    draft = drafts.draft_of(module, by=alice, now=now)
    drafts.discard(draft)
    draft = drafts.draft_of(module, by=alice, now=now)
    PARTS["terms"].of(draft).delete()
    rows = add(draft, "terms", alice, now, *"abcde")
    order = [row.name for row in rows]
    for at, to in moves:
        drafts.move_row(rows[at], to, by=alice, now=now)
        order.remove(rows[at].name)
        order.insert(min(max(to, 1), 5) - 1, rows[at].name)
    assert names(draft, "terms") == order


def test_row_taken_out_comes_back_whole(draft, alice, now):
    priority = draft.priorities.get(number=1)
    step = draft.steps.get()
    step.priority = priority
    step.save()
    before = next(iter(module_document(draft)["priorities"]))
    removed = drafts.remove_row(priority, by=alice, now=now)
    step.refresh_from_db()
    assert step.priority is None
    assert priority.name not in names(draft, "priorities")
    back = drafts.put_back(removed, by=alice, now=now)
    step.refresh_from_db()
    assert step.priority == back
    assert module_document(draft)["priorities"][-1] == before
    assert not draft.removed.exists()


# Two at once


def test_second_of_two_who_opened_the_same_row_is_told(draft, alice, bob, now):
    row = draft.steps.get()
    drafts.save_row(row, by=alice, now=now, version=1, name="By Alice")
    with pytest.raises(EditedElsewhere, match="Alice Mentor saved this") as caught:
        drafts.save_row(row, by=bob, now=now, version=1, name="By Bob")
    assert caught.value.theirs.name == "By Alice"
    assert names(draft, "steps") == ["By Alice"]


def test_different_rows_do_not_stand_in_each_others_way(draft, alice, bob, now):
    one, two = add(draft, "terms", alice, now, "one", "two")
    drafts.save_row(one, by=alice, now=now, version=1, meaning="by Alice")
    drafts.save_row(two, by=bob, now=now, version=1, meaning="by Bob")
    meanings = PARTS["terms"].of(draft).values_list("meaning", flat=True)
    assert list(meanings) == ["by Alice", "by Bob"]


def test_published_revision_is_never_written(module, alice, now):
    published = module.revisions.in_force().get()
    row = published.steps.get()
    for change in (
        lambda: drafts.save_row(row, by=alice, now=now, version=1, name="x"),
        lambda: drafts.move_row(row, 1, by=alice, now=now),
        lambda: drafts.remove_row(row, by=alice, now=now),
        lambda: add(published, "steps", alice, now, "x"),
        lambda: drafts.save_about(published, by=alice, now=now, version=1, title="x"),
        lambda: drafts.weigh_by_rank(published, by=alice, now=now),
        lambda: drafts.discard(published),
    ):
        with pytest.raises(ValidationError, match="published"):
            change()


# Weights


def test_weights_by_rank_make_a_hundred(draft, alice, now):
    add(draft, "priorities", alice, now, "three", "four", "five")
    drafts.weigh_by_rank(draft, by=alice, now=now)
    weights = list(draft.priorities.order_by("number").values_list("weight", flat=True))
    # The rank-order-centroid weights of five, .457 .257 .157 .090 .040 (Barron and
    # Barrett 1996), with one per cent for each and the other 95 by weight.
    assert weights == [44, 25, 16, 10, 5]


class Weighed:
    def __init__(self, name, weight):
        self.name, self.weight = name, weight

    def __str__(self):
        return self.name


@pytest.mark.parametrize(
    ("weights", "said"),
    [
        (
            (40, 30, 20, 10),
            [
                "Front counts about as much as back and tail together.",
                "Back counts about as much as eye and tail together.",
                "Eye counts more than tail.",
            ],
        ),
        (
            (33, 24, 17, 16),
            [
                "Front counts about as much as eye and tail together.",
                "Back counts more than tail.",
                "Eye counts more than tail.",
            ],
        ),
        (
            (1, 1, 1, 1),
            [
                "Front counts about as much as back.",
                "Back counts about as much as eye.",
                "Eye counts about as much as tail.",
            ],
        ),
    ],
)
def test_what_a_weight_means_is_said(weights, said):
    names = ("Front", "Back", "Eye", "Tail")
    rows = [Weighed(*pair) for pair in zip(names, weights, strict=True)]
    assert [one.words for one in outweighing(rows)] == said


@given(st.lists(st.integers(1, 60), min_size=1, max_size=8).map(sorted))
def test_what_is_said_of_weights_is_true(weights):
    rows = [Weighed(f"p{n}", weight) for n, weight in enumerate(weights[::-1])]
    for one in outweighing(rows):
        total = sum(other.weight for other in one.others)
        assert one.total == total
        if "about as much" in one.words:
            larger = max(total, one.priority.weight)
            assert abs(total - one.priority.weight) <= 0.05 * larger
        else:
            assert total < one.priority.weight


# What is lacking, and publishing


def test_empty_module_lacks_every_part(club, alice, now):
    draft = drafts.new_module(club, breed_name="New", title="T", by=alice, now=now)
    parts = {lack.part for lack in lacking_in(draft)}
    assert parts == {"about", "priorities", "steps", "faults"}
    with pytest.raises(ValidationError, match="missing"):
        drafts.publish(draft, by=alice, now=now, lacking=lacking_in)


def finished(draft, by, now):
    fields = {
        "introduction": "What it is for.",
        "standard_title": "The standard",
        "standard_note": "Mine is the order.",
    }
    return drafts.save_about(draft, by=by, now=now, version=draft.version, **fields)


def test_each_lack_names_its_row(draft, alice, now):
    draft = finished(draft, alice, now)
    assert lacking_in(draft) == []
    (row,) = add(draft, "priorities", alice, now, "Coat")
    texts = {lack.text for lack in lacking_in(draft) if lack.row == row.pk}
    assert texts == {
        "Coat: what to look for",
        "Coat: why it matters",
        "Coat: phrases for 5 levels",
    }
    assert "The weights add up to 101; they must make 100." in {
        lack.text for lack in lacking_in(draft)
    }


def test_publishing_supersedes(module, draft, alice, now):
    before = module.revisions.in_force().get()
    draft = finished(draft, alice, now)
    drafts.publish(draft, by=alice, now=now, lacking=lacking_in)
    states = dict(module.revisions.values_list("number", "state"))
    assert states == {before.number: "superseded", draft.number: "published"}


def test_second_mentor_is_asked_for_where_the_club_wants_one(draft, alice, bob, now):
    draft.module.club.second_mentor = True
    draft.module.club.save()
    draft = finished(draft, alice, now)
    for offered in (False, True):
        if offered:
            drafts.offer(draft, by=alice, now=now)
        with pytest.raises(ValidationError, match="another mentor"):
            drafts.publish(draft, by=alice, now=now, lacking=lacking_in)
    drafts.publish(draft, by=bob, now=now, lacking=lacking_in)
    assert draft.module.revisions.in_force().get().number == draft.number


def test_a_change_ends_the_offer(draft, alice, now):
    drafts.offer(draft, by=alice, now=now)
    add(draft, "terms", alice, now, "brisket")
    draft.refresh_from_db()
    assert draft.offered_at is None


def test_discarded_draft_takes_a_module_that_never_had_another(club, alice, now):
    draft = drafts.new_module(club, breed_name="New", title="T", by=alice, now=now)
    drafts.discard(draft)
    assert not Module.objects.exists()


def test_withdrawn_module_is_for_mentors_alone(module, alice, bob):
    drafts.withdraw(module.revisions.in_force().get())
    assert module in Module.objects.visible_to(alice)
    assert module not in Module.objects.visible_to(bob)
    assert not ModuleRevision.objects.in_force().exists()


# Compared, suggested


def test_comparing_says_what_changed(module, draft, alice, now):
    before = module.revisions.in_force().get()
    row = draft.steps.get()
    drafts.save_row(row, by=alice, now=now, version=1, instruction="Stand and wait.")
    add(draft, "terms", alice, now, "brisket")
    drafts.remove_row(draft.faults.get(), by=alice, now=now)
    found = {(one.where, one.what) for one in comparing.changes(before, draft)}
    assert found == {
        (f"Step “{row.name}”", "what to do"),
        ("Term “brisket”", "added"),
        (f"Fault “{before.faults.get().name}”", "taken out"),
    }


@given(st.text("ab ", max_size=30), st.text("ab ", max_size=30))
def test_worded_holds_both_texts(old, new):
    pieces = comparing.worded(old, new)
    for side, text in (("old", old), ("new", new)):
        kept = [words for kind, words in pieces if kind in ("same", side)]
        assert " ".join(kept).split() == text.split()


def test_suggestions_name_the_drawn_fault():
    texts = suggesting.phrases("Shoulder", ["F1"])
    assert len(texts) == 5
    assert texts[0] == "straight shoulder, and marked"
    assert suggesting.phrases("Eye", [])[4] == "Eye: all one could ask for"
