"""The documents of a class, and the key while a mentor changes it."""

import json
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from quizzes import grading
from quizzes.kinds.placing.content import (
    ClassContent,
    ClassKey,
    with_numbers,
    with_references,
)
from quizzes.kinds.placing.key_desk import changed_key, key_from_post
from quizzes.kinds.placing.problems import class_problems
from tests.placing import content, dog, key

STATIC = Path(__file__).parents[2] / "static"
CONTENT = ClassContent.read(content())


def read(**more):
    return ClassKey.read(key(**more))


def problems(*, dogs=None, **more):
    return [p.text for p in class_problems(dogs or CONTENT, read(**more))]


def test_documents_survive_a_round_trip():
    assert ClassContent.read(CONTENT.document()) == CONTENT
    stored = read(cuts=[3, 0, 2], level=[1], note="Well done.")
    assert ClassKey.read(stored.document()) == stored


def test_level_dogs_share_the_better_place():
    assert read(level=[1]).places() == {"a": 1, "b": 2, "c": 2, "d": 4}
    assert read(level=[1]).groups == (("a",), ("b", "c"), ("d",))


def test_cuts_for_grading_leave_out_level_gaps():
    given_key = read(cuts=[3, 0, 2], level=[1]).for_grading(CONTENT)
    assert given_key.cuts == (3, 2)


def test_no_cuts_at_all_is_a_key_without_a_score():
    assert read().for_grading(CONTENT).cuts is None


def test_half_the_cuts_are_refused():
    with pytest.raises(grading.KeyProblem, match="all neighbours"):
        read(cuts=[3, None, 2]).for_grading(CONTENT)


def test_dogs_left_in_the_line_are_unplaced():
    assert read(order="ab").for_grading(CONTENT).unplaced == ("c", "d")


@given(st.permutations("abcd"), st.sets(st.integers(0, 2)))
def test_a_key_in_its_own_order_is_faultless(order, level):
    key_ = read(order=order, level=level)
    answer = grading.Answer(order=tuple((dog,) for dog in order))
    share = grading.grade(key_.for_grading(CONTENT), answer).share
    assert share == (None if len(level) == 3 else 1)


def test_numbers_follow_the_dog():
    written = with_references(
        "11 is closer than {22}, at 22 months", {"a": 11, "b": 22}
    )
    assert written == "{a} is closer than {b}, at {b} months"
    assert with_numbers(written, {"a": 5, "b": 9}) == "5 is closer than 9, at 9 months"


def test_other_numbers_stay():
    assert with_references("42 teeth, 110 long", {"a": 11}) == "42 teeth, 110 long"


def test_a_faultless_class_has_nothing_to_mend():
    assert problems() == []


@pytest.mark.parametrize(
    ("more", "text"),
    [
        ({"order": "abc"}, "4th is free in the key. Place 44 or record a ruling."),
        ({"cuts": [9, 1, 1]}, "a single cut is at most 8"),
        ({"cuts": [3, 9, 3]}, "a single cut is at most 8"),
        ({"cuts": [8, 8, 8]}, "too large"),
        (
            {"order": "abc", "rulings": {"d": {"ruling": "excused", "reason": ""}}},
            "Say why 44 is excused.",
        ),
    ],
)
def test_what_is_missing_is_said(more, text):
    assert any(text in problem for problem in problems(**more))


def test_dogs_without_words_or_with_one_number_are_named():
    dogs = [dog("a", 11), dog("b", 11, ringside=" ")]
    found = problems(dogs=ClassContent.read({"dogs": dogs}), order="ab")
    assert found == [
        "Armband 11 is worn by two dogs.",
        "Armband 11 is worn by two dogs.",
        "Say what the eye sees of 11.",
    ]


def test_a_pair_without_reason_is_named():
    document = key()
    document["pairs"][1]["reason"] = " "
    found = class_problems(CONTENT, ClassKey.read(document))
    assert [problem.text for problem in found] == ["22 over 33 has no reason."]


def test_level_pairs_need_no_reason():
    document = key(level=[1])
    document["pairs"][1]["reason"] = ""
    assert class_problems(CONTENT, ClassKey.read(document)) == []


def test_moving_keeps_cuts_and_reasons_with_the_pair():
    before = read(cuts=[3, 1, 2])
    moved = changed_key(before, "down:a", CONTENT)
    assert moved.order == tuple("bacd")
    assert moved.cuts == (None, None, 2)
    assert moved.reasons == before.reasons
    assert changed_key(moved, "up:a", CONTENT) == before


def test_either_order_belongs_to_the_pair_either_way_round():
    """b and c are level; with d between them nobody is, and they are again when d has gone on."""
    before = read(level=[1])
    swapped = changed_key(before, "down:b", CONTENT)
    assert (swapped.order, swapped.level) == (tuple("acbd"), {1})
    parted = changed_key(swapped, "down:b", CONTENT)
    assert (parted.order, parted.level) == (tuple("acdb"), frozenset())
    stored = ClassKey.read(parted.document())
    assert stored == parted
    assert changed_key(stored, "up:b", CONTENT).level == {1}


def test_a_tie_taken_back_does_not_return_with_the_pair_turned_round():
    swapped = changed_key(read(cuts=[1, 2, 3], level=[1]), "down:b", CONTENT)
    untied = replace(swapped, level=frozenset())
    back = changed_key(untied, "up:b", CONTENT)
    assert (back.order, back.cuts, back.level) == (tuple("abcd"), (1, 2, 3), set())


def test_a_missing_cut_is_named_at_its_gap():
    moved = changed_key(read(cuts=[3, 1, 2]), "down:a", CONTENT)
    found = [one for one in class_problems(CONTENT, moved) if "no cut" in one.text]
    assert [one.anchor for one in found] == ["gap-0", "gap-1"]
    assert found[0].text.startswith("22 and 11 have no cut.")
    assert not [
        one for one in class_problems(CONTENT, read(cuts=[])) if "cut" in one.text
    ]


def test_a_dog_that_leaves_the_class_is_remembered_in_no_pair():
    parted = changed_key(read(cuts=[3, 1, 2]), "down:a", CONTENT)
    assert {*"ab"} in [{*pair} for pair in parted.apart]
    assert not [pair for pair in parted.without("a").apart if "a" in pair]


def test_taking_a_dog_out_leaves_its_neighbours_without_a_cut():
    key_ = changed_key(read(cuts=[3, 1, 2], level=[2]), "line:b", CONTENT)
    assert key_.order == tuple("acd")
    assert (key_.cuts, key_.level) == ((None, 2), frozenset({1}))
    assert changed_key(key_, "place:b", CONTENT).order == tuple("acdb")


def test_ruling_and_back():
    ruled = changed_key(read(), "excused:d", CONTENT)
    assert (ruled.order, ruled.rulings["d"]["ruling"]) == (tuple("abc"), "excused")
    assert changed_key(ruled, "place:d", CONTENT).rulings == {}


def test_steps_stay_within_the_largest_cut():
    wide = read(cuts=[8, 1, 1])
    assert changed_key(wide, "wider:0", CONTENT).cuts[0] == 8
    assert changed_key(wide, "closer:1", CONTENT).cuts[1] == 1


@pytest.mark.parametrize("do", ["up:x", "fly:a", "wider:9", "down:"])
def test_unknown_buttons_are_refused(do):
    from django.core.exceptions import ValidationError

    with pytest.raises(ValidationError):
        changed_key(read(), do, CONTENT)


def test_sent_key_keeps_reasons_that_are_not_on_the_page():
    old = changed_key(read(), "down:a", CONTENT)  # a over b is no neighbour pair now
    post = {
        "reason-b-a": "22 is better than 11",
        "grant-b-a": "",
        "priority-b-a": "head",
        "cut-0": "4",
        "level-1": "on",
    }
    sent = key_from_post(post, CONTENT, old)
    assert sent.reasons["b", "a"].reason == "{b} is better than {a}"
    assert sent.reasons["a", "b"] == old.reasons["a", "b"]
    assert (sent.cuts, sent.level) == ((4, None, None), frozenset({1}))


def test_what_is_remembered_of_parted_pairs_may_travel_in_a_bundle():
    parted = changed_key(read(cuts=[3, 1, 2], level=[1]), "down:a", CONTENT)
    assert parted.apart
    schema = json.loads((STATIC / "schemas/module-1.schema.json").read_text("utf-8"))
    wanted = {**schema, "$ref": "#/$defs/class_key"}
    for name in ("properties", "required", "unevaluatedProperties"):
        wanted.pop(name, None)
    checker = Draft202012Validator(wanted)
    assert list(checker.iter_errors(parted.document())) == []
    wrong = {**parted.document(), "apart": [{"upper": "a"}]}
    assert list(checker.iter_errors(wrong))
