"""What the plates of a class show, measured on the plates themselves."""

from dataclasses import replace
from itertools import pairwise
from math import hypot

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from quizzes.generator import (
    Priority,
    in_words_only,
    make_class,
    needs_head_study,
    twin,
)
from quizzes.generator.drawing import drawn, drawn_in, faults_of, traces_of, views_of
from quizzes.plates import BREEDS, FAULTS, conformation, view_box
from quizzes.plates.faults import fault, hidden_by_coat
from tests.generator.material import BREED, PRIORITIES, by_id, made, modules, wish

PHONE = 320
PHRASES = ("a", "b", "c", "d", "e")
NAMES = {priority.slug: priority for priority in PRIORITIES}


def tied(*codes, slug="p", **more):
    return Priority(slug, slug, 1, PHRASES, codes, **more)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    modules(), st.integers(3, 12), st.integers(0, 999), st.sampled_from(list(BREEDS))
)
def test_neighbours_differ_by_half_the_range_where_their_pair_turns_on_it(
    priorities, size, seed, breed
):
    one = make_class(priorities, wish(size, "close", seed, breed=breed))
    dogs, look = by_id(one.content), drawn(priorities, breed)
    for gap, pair in enumerate(one.key["pairs"]):
        codes = look.codes.get(pair["priority"], ())
        shown = any(dog["faults"].get(code) for dog in dogs.values() for code in codes)
        if gap in one.key["level"] or not shown:
            continue
        faults = [dogs[pair[name]]["faults"] for name in ("upper", "lower")]
        apart = max(abs(faults[0].get(c, 0) - faults[1].get(c, 0)) for c in codes)
        assert apart >= 0.5 - 1e-9


def pixels(breed, view, upper, lower):
    """The largest shift of a landmark between two dogs on a plate 320 px wide."""
    dogs = [conformation(breed, faults) for faults in (upper, lower)]
    width = view_box(dogs, view)[2]
    # The head study is a part of the side view, larger.
    marks = [getattr(dog, "side" if view == "head" else view) for dog in dogs]
    shifts = [
        hypot(a[0] - b[0], a[1] - b[1])
        for a, b in ((marks[0][name], marks[1][name]) for name in marks[0])
    ]
    return max(shifts) * PHONE / width


def test_what_a_pair_turns_on_is_seen_at_the_width_of_a_phone():
    """A shift of 2 px is seen beside another dog; below that it is not."""
    checked = set()
    for seed in range(60):
        one = made(6, "close", seed)
        dogs, look = by_id(one.content), drawn(PRIORITIES, BREED)
        for pair in one.key["pairs"]:
            codes = look.codes.get(pair["priority"], ())
            if not codes:
                continue
            upper, lower = (
                {c: s for c, s in dogs[pair[name]]["faults"].items() if c in codes}
                for name in ("upper", "lower")
            )
            checked.add(pair["priority"])
            assert pixels(BREED, "side", upper, lower) >= 2
    assert checked == set(drawn(PRIORITIES, BREED).codes)


def test_the_demo_never_leaves_a_drawn_priority_to_the_text():
    for size in (3, 5, 8, 12):
        for seed in range(25):
            assert not any(
                "left to the text" in n for n in made(size, "close", seed).notes
            )


def test_what_only_the_hand_can_tell_is_not_drawn_nor_read_at_the_ring():
    one = made(8, "middling", 3)
    hidden = {code for slug in ("coat", "ribs") for code in NAMES[slug].faults}
    for dog in one.content["dogs"]:
        assert not hidden & dog["faults"].keys()
        assert "ribs well" not in dog["ringside"].lower()
        assert any(word in dog["hands_on"].lower() for word in ("ribs", "chest"))
        assert "coat" in dog["hands_on"].lower()


def test_a_double_coat_hides_the_shoulder_and_the_hand_finds_it():
    """Marked F1, F2, F17 and F24 are not to be seen under it at 320 px."""
    priorities = (tied("F1", "F2", "F19", slug="shoulder"), tied("F4", slug="back"))
    double = next(name for name, b in BREEDS.items() if b.coat == "double")
    look = drawn(priorities, double)
    assert look.codes == {"shoulder": ("F19",), "back": ("F4",)}
    assert look.felt == {"shoulder"}
    assert drawn(priorities, BREED).felt == frozenset()


def test_a_priority_wholly_under_the_coat_is_not_drawn():
    double = next(name for name, b in BREEDS.items() if b.coat == "double")
    assert drawn((tied("F1", "F2"),), double).codes == {}


def test_a_breed_that_can_not_be_drawn_shows_nothing():
    one = made(5, "plain", 2, breed="not-drawn")
    assert all(dog["faults"] == {} for dog in one.content["dogs"])
    assert all(dog["ringside"] for dog in one.content["dogs"])


def test_stronger_where_the_level_is_lower():
    look = drawn(PRIORITIES, BREED)
    for dog in ("a1b2c3", "00ff00", "123abc"):
        ladder = [
            faults_of(look, dog, dict.fromkeys(NAMES, level)) for level in range(5)
        ]
        assert ladder[4] == {}
        for lower, higher in pairwise(ladder):
            assert all(lower[code] > higher.get(code, 0) for code in lower)


def test_long_and_short_are_never_drawn_on_one_dog():
    look = drawn((tied("F4", "F5"),), BREED)
    seen = [set(faults_of(look, f"dog{n}", {"p": 1})) for n in range(40)]
    assert {"F4"} in seen
    assert {"F5"} in seen
    assert all(len(codes) == 1 for codes in seen)


def test_a_fault_tied_twice_is_drawn_for_the_weightier_priority():
    look = drawn((tied("F7", slug="back"), tied("F7", "F4", slug="outline")), BREED)
    assert look.codes == {"back": ("F7",), "outline": ("F4",)}


def test_what_the_side_shows_leads_before_other_views():
    assert drawn((tied("F28", "R9", "F17"),), BREED).codes["p"] == ("F17", "R9", "F28")


def test_unknown_codes_are_passed_over():
    assert drawn((tied("F99", "F4"),), BREED).codes["p"] == ("F4",)


@pytest.mark.parametrize("code", ["F25", "F26", "F27", "F28", "F29"])
def test_a_head_fault_brings_the_head_study(code):
    assert fault(code).in_head
    assert needs_head_study([{"faults": {}}, {"faults": {code: 0.5}}])
    assert not needs_head_study([{"faults": {"F4": 1.0}}, {"faults": {code: 0.0}}])


def test_traces_touch_no_part_that_is_judged():
    look = drawn(PRIORITIES, BREED)
    judged = {
        name
        for priority in PRIORITIES
        for code in priority.faults
        for name, _mild, _marked in fault(code).changes
    }
    assert look.traces
    for code in look.traces:
        assert not judged & {name for name, _mild, _marked in FAULTS[code].changes}


def test_traces_are_faint_and_follow_the_id_alone():
    look = drawn(PRIORITIES, BREED)
    traces = [traces_of(look, f"dog{n}") for n in range(60)]
    assert any(traces)
    assert not all(traces)
    assert all(0 < s <= 0.12 for one in traces for s in one.values())
    assert traces_of(replace(look, codes={}), "dog7") == traces_of(look, "dog7")


def test_every_dog_of_a_class_can_be_drawn():
    for breed in BREEDS:
        for dog in made(6, "middling", 9, breed=breed, sex="mixed").content["dogs"]:
            shown = conformation(breed, dog["faults"], dog["sex"], dog["coat_seed"])
            assert dict(shown.faults) == dog["faults"]


BUILD = {"coat": "double", "ear": "prick", "length": 112.0, "pattern": "saddle"}


@pytest.mark.parametrize("odd", [None, "disqualified", "excused"])
def test_a_build_is_every_dogs_and_its_twins(odd):
    one = made(6, "close", 4, sex="mixed", odd_one=odd, build=BUILD)
    again, _key = twin(one.content, one.key, 8, PRIORITIES)
    for content in (one.content, again):
        assert [dog["build"] for dog in content["dogs"]] == [BUILD] * 6
        assert len({dog["coat_seed"] for dog in content["dogs"]}) == 6


def test_a_builds_coat_hides_as_a_breeds_coat_does():
    """The look and the felt priorities are those of a breed in that coat."""
    for seed in range(6):
        one = made(6, "close", seed, build=BUILD)
        look = drawn(PRIORITIES, BREED, ("double",))
        assert drawn_in(PRIORITIES, one.content) == look
        drawn_codes = {c for dog in one.content["dogs"] for c in dog["faults"]}
        assert not drawn_codes & hidden_by_coat("double")
        assert {c for codes in look.codes.values() for c in codes} & drawn_codes


def test_what_one_coat_of_a_class_hides_is_shown_on_no_dog():
    dogs = [{"build": {"coat": "double"}}, {"build": {}}, {}]
    look = drawn_in((tied("F1", "F19"),), {"breed": BREED, "dogs": dogs})
    assert look.codes == {"p": ("F19",)}
    assert drawn_in((tied("F1"),), {"breed": BREED, "dogs": dogs[1:]}).codes


@pytest.mark.parametrize("breed", BREEDS)
def test_faulty_and_ideal_are_told_apart_in_the_view_that_shows_the_fault(breed):
    """Level 0 beside level 4 for every fault that a priority may be tied to alone."""
    for code in FAULTS:
        look = drawn((tied(code),), breed)
        if not look.codes:
            assert code in hidden_by_coat(BREEDS[breed].coat)
            continue
        ideal, faulty = (faults_of(look, "dog", {"p": level}) for level in (4, 0))
        (view,) = views_of(look, "p")
        assert ideal == {}
        assert pixels(breed, view, faulty, ideal) >= 2, code


def test_what_no_plate_shows_is_in_words_only():
    content = {
        "breed": BREED,
        "dogs": [
            {"levels": {"p": 1, "q": 2, "r": 0, "s": 4}, "faults": {"F7": 0.5}},
            {"levels": {"p": 4, "q": 4, "r": 4}, "faults": {}},
        ],
    }
    mine = (
        tied("F7"),
        tied("F13", slug="q"),
        tied(slug="r"),
        tied("F21", slug="s"),
    )
    # F13 is tied, but no dog of this class is drawn with it; s has no faulty dog.
    assert [one.slug for one in in_words_only(mine, content)] == ["q", "r"]
