"""A mentor changes a class; what follows is derived, and what a person wrote stays."""

import json
from copy import deepcopy
from itertools import pairwise

import pytest

from quizzes.generator import Changes, WishProblem, overrule
from quizzes.generator.drawing import drawn
from tests.generator.material import BREED, FIXTURES, PRIORITIES, by_id, made, weighted

ONES = [made(3 + seed % 6, "middling", seed) for seed in range(12)]


def changed(one, content=None, key=None, **changes):
    return overrule(
        PRIORITIES, content or one.content, key or one.key, Changes(**changes)
    )


@pytest.mark.parametrize("one", ONES)
def test_without_changes_nothing_changes(one):
    again = changed(one)
    assert again.content == one.content
    assert again.key == one.key
    assert again.difficulty_measured == one.difficulty_measured
    assert again.notes == ()


WRITTEN = [
    json.loads(path.read_text(encoding="utf-8"))
    for path in sorted((FIXTURES / "classes").glob("*.json"))
]


@pytest.mark.parametrize("written", WRITTEN, ids=lambda written: written["title"])
def test_a_class_written_by_hand_stays_as_it_is(written):
    content = {
        "dogs": written["dogs"],
        "places": written["places"],
        "breed": BREED,
    }
    gaps = len(written["key"]["order"]) - 1
    key = {**written["key"], "cuts": written["key"]["cuts"] or [None] * gaps}
    after = overrule(PRIORITIES, content, key, Changes())
    assert after.content == content
    assert after.key == key


def lowered(one, by=4):
    """The first dog of the key made faulty in everything."""
    first = one.key["order"][0]
    return first, {first: {p.slug: max(0, 4 - by) for p in PRIORITIES}}


@pytest.mark.parametrize("one", ONES)
def test_new_levels_bring_a_new_key(one):
    first, levels = lowered(one)
    after = changed(one, levels=levels)
    dogs = by_id(after.content)
    merits = [weighted(PRIORITIES, dogs[dog]) for dog in after.key["order"]]
    assert merits == sorted(merits, reverse=True)
    assert after.key["order"][-1] == first
    assert [(p["upper"], p["lower"]) for p in after.key["pairs"]] == list(
        pairwise(after.key["order"])
    )


def test_new_levels_are_read_and_drawn():
    one = ONES[3]
    first, levels = lowered(one)
    dog = by_id(changed(one, levels=levels).content)[first]
    look = drawn(PRIORITIES, BREED)
    for priority in PRIORITIES:
        name = "hands_on" if priority.by_hand else "ringside"
        assert priority.phrases[0] in dog[name].lower()
    for codes in look.codes.values():
        assert max(dog["faults"][code] for code in codes) == 1


def test_one_new_level_touches_nothing_else_of_the_dog():
    one = ONES[3]
    dog = one.content["dogs"][0]
    level = (dog["levels"]["back"] + 2) % 5
    after = by_id(changed(one, levels={dog["id"]: {"back": level}}).content)[dog["id"]]
    assert after["levels"] == {**dog["levels"], "back": level}
    assert after["hands_on"] == dog["hands_on"]
    rest = {code: s for code, s in dog["faults"].items() if code != "F7"}
    assert {code: s for code, s in after["faults"].items() if code != "F7"} == rest
    assert after["ringside"].count(".") == dog["ringside"].count(".")


def test_an_order_by_hand_wins():
    one = ONES[2]
    order = one.key["order"][::-1]
    after = changed(one, order=order)
    assert after.key["order"] == order
    assert all(pair["reason"] for pair in after.key["pairs"])
    assert [(p["upper"], p["lower"]) for p in after.key["pairs"]] == list(
        pairwise(order)
    )
    assert after.difficulty_measured == pytest.approx(
        1 - one.difficulty_measured, abs=1e-3
    )


def test_an_order_by_hand_is_kept_when_levels_change_later():
    one = ONES[2]
    order = one.key["order"][::-1]
    by_hand = changed(one, order=order)
    _first, levels = lowered(one, by=1)
    after = changed(one, by_hand.content, by_hand.key, levels=levels)
    assert after.key["order"] == order


def test_cuts_by_hand_win_and_stay():
    one = ONES[1]
    cuts = [1] * len(one.key["cuts"])
    by_hand = changed(one, cuts=cuts)
    assert by_hand.key["cuts"] == cuts
    _first, levels = lowered(one)
    assert changed(one, by_hand.content, by_hand.key, levels=levels).key["cuts"] == cuts


def test_a_reason_by_hand_stays_with_its_pair():
    one = ONES[5]
    pair = tuple(one.key["order"][:2])
    by_hand = changed(one, reasons={pair: {"reason": "I like it better."}})
    assert by_hand.key["pairs"][0]["reason"] == "I like it better."
    assert by_hand.key["pairs"][0]["grant"] == one.key["pairs"][0]["grant"]
    last = one.key["order"][-1]
    levels = {last: {p.slug: 0 for p in PRIORITIES}}
    after = changed(one, by_hand.content, by_hand.key, levels=levels)
    assert after.key["pairs"][0]["reason"] == "I like it better."


def test_a_reason_by_hand_is_kept_when_its_pair_is_gone():
    one = ONES[5]
    pair = tuple(one.key["order"][:2])
    by_hand = changed(one, reasons={pair: {"reason": "I like it better."}})
    _first, levels = lowered(one)
    after = changed(one, by_hand.content, by_hand.key, levels=levels)
    left = after.key["pairs"][len(after.key["order"]) - 1 :]
    assert [(p["upper"], p["lower"], p["reason"]) for p in left] == [
        (*pair, "I like it better.")
    ]


def test_a_text_by_hand_wins_and_stays():
    one = ONES[4]
    first, levels = lowered(one)
    by_hand = changed(one, texts={first: {"ringside": "A dog of its own."}})
    after = changed(one, by_hand.content, by_hand.key, levels=levels)
    assert by_id(after.content)[first]["ringside"] == "A dog of its own."


def test_a_note_by_hand_stays():
    one = ONES[4]
    _first, levels = lowered(one)
    key = {**one.key, "note": "Mine."}
    assert changed(one, key=key, levels=levels).key["note"] == "Mine."


def test_either_order_by_hand_stays_while_the_two_are_neighbours():
    one = ONES[5]
    upper, lower = one.key["order"][0:2]
    by_hand = changed(one, level=[0])
    assert by_hand.key["cuts"][0] is None
    last = one.key["order"][-1]
    kept = changed(one, by_hand.content, by_hand.key, levels={last: {"temper": 0}})
    assert kept.key["level"] == [0]
    assert {upper, lower} == set(kept.key["order"][:2])
    _first, levels = lowered(one)
    gone = changed(one, by_hand.content, by_hand.key, levels=levels)
    assert gone.key["level"] == []


def test_equal_merit_may_stand_in_either_order():
    one = ONES[0]
    dogs = by_id(one.content)
    first, second = one.key["order"][:2]
    after = changed(one, levels={second: dogs[first]["levels"]})
    assert after.key["level"] == [0]


def test_rulings_and_places_are_kept():
    one = made(8, "plain", 3, places=3, odd_one="excused")
    last = one.key["order"][-1]
    after = changed(one, levels={last: {p.slug: 0 for p in PRIORITIES}})
    assert after.key["rulings"] == one.key["rulings"]
    assert len(after.key["order"]) == 3
    assert last not in after.key["order"]
    assert all(after.key["cuts"])


def test_neighbours_too_alike_for_a_plate_are_named():
    one = ONES[0]
    dogs = by_id(one.content)
    first, second = one.key["order"][:2]
    levels = {**dogs[first]["levels"], "back": 2}
    after = changed(one, levels={first: {**levels, "back": 3}, second: levels})
    numbers = dogs[first]["armband"], dogs[second]["armband"]
    assert after.notes[0] == (
        f"{numbers[0]} over {numbers[1]} turns on Back and loin,"
        " by too little to be seen on a plate."
    )


def test_what_is_passed_in_is_left_alone():
    one = ONES[6]
    before = deepcopy((one.content, one.key))
    _first, levels = lowered(one)
    changed(one, levels=levels, cuts=[1])
    assert (one.content, one.key) == before


@pytest.mark.parametrize(
    "changes",
    [
        {"levels": {"nobody": {"back": 2}}},
        {"order": ["nobody"]},
        {"texts": {"nobody": {"ringside": "x"}}},
    ],
)
def test_an_unknown_dog_is_refused(changes):
    with pytest.raises(WishProblem, match="no dog nobody"):
        changed(ONES[0], **changes)


@pytest.mark.parametrize(("slug", "level"), [("back", 5), ("back", -1), ("wings", 2)])
def test_an_unknown_level_is_refused(slug, level):
    dog = ONES[0].key["order"][0]
    with pytest.raises(WishProblem, match="has no level"):
        changed(ONES[0], levels={dog: {slug: level}})
