"""How phrases are built into texts and reasons."""

import re
from dataclasses import replace
from itertools import pairwise

import pytest

from quizzes.generator import Priority, make_class
from quizzes.generator.reasons import CLOSE, Sayer
from quizzes.generator.words import (
    HAND_REMARKS,
    MARGIN,
    RING_REMARKS,
    names_its_part,
    recipe,
    told,
    wording,
    wordings,
)
from tests.generator.material import PRIORITIES, by_id, made, wish

BY_SLUG = {priority.slug: priority for priority in PRIORITIES}
PARTS = {"forehand", "feet", "back", "hindquarters", "coat", "ribs", "head"}
CLASSES = [made(3 + seed % 8, "middling", seed) for seed in range(24)]


def test_phrases_that_name_their_part_are_known():
    assert {p.slug for p in PRIORITIES if names_its_part(p)} == PARTS


@pytest.mark.parametrize(
    ("name", "phrase", "text"),
    [
        (
            "Movement",
            "straight, but with little reach",
            "On the move straight, but with little reach.",
        ),
        ("Movement", "moves straight", "Moves straight."),
        ("Temper", "Shrinks from the judge.", "Shrinks from the judge."),
        ("Outline", "rather long", "Rather long."),
        ("Pigment", "dark throughout", "Pigment: dark throughout."),
    ],
)
def test_a_phrase_without_its_part_stands_in_a_sentence_of_its_own(name, phrase, text):
    others = ("x", "y", "z", "w")
    priority = Priority("p", name, 1, (*others, phrase))
    assert told([[priority]], {"p": 4}) == text


def test_the_whole_dog_first_and_its_manner_last():
    for key in range(20):
        order = [p.slug for group in recipe(PRIORITIES, key) for p in group]
        assert order[0] == "outline"
        assert order[-2:] == ["movement", "temper"]
        assert sorted(order) == sorted(BY_SLUG)


def test_another_class_has_another_recipe():
    orders = {
        str([[p.slug for p in g] for g in recipe(PRIORITIES, k)]) for k in range(20)
    }
    assert len(orders) > 10


def test_all_dogs_of_a_class_are_told_by_one_recipe():
    for one in CLASSES:
        orders = set()
        for dog in one.content["dogs"]:
            text = dog["ringside"].lower()
            at = {
                p.slug: next(
                    text.index(w)
                    for w in wordings(p, dog["levels"][p.slug])
                    if w in text
                )
                for p in PRIORITIES
                if not p.by_hand
            }
            orders.add(tuple(sorted(at, key=at.__getitem__)))
        assert len(orders) == 1


def test_words_of_one_degree_take_each_others_place():
    assert wordings(BY_SLUG["feet"], 3) == [
        "feet close, pasterns a shade soft",
        "feet close, pasterns a little soft",
        "feet close, pasterns a trifle soft",
    ]


def test_a_class_says_the_mentors_own_words():
    assert wording(BY_SLUG["feet"], 3) == "feet close, pasterns a shade soft"
    for one in CLASSES:
        for dog in one.content["dogs"]:
            texts = f"{dog['ringside']} {dog['hands_on']}".lower()
            for priority in PRIORITIES:
                assert priority.phrases[dog["levels"][priority.slug]] in texts


def test_but_never_so_that_another_level_comes_of_it():
    phrases = (
        "back soft",
        "back a little slack",
        "back a shade slack",
        "back firm",
        "x",
    )
    priority = Priority("back", "Back", 1, phrases)
    assert wordings(priority, 1) == ["back a little slack", "back a trifle slack"]
    assert wordings(priority, 3) == ["back firm"]


def test_there_is_a_remark_of_nearly_any_length():
    for remarks in (RING_REMARKS, HAND_REMARKS):
        wanted = range(MARGIN[0], 96)
        assert all(min(abs(have - n) for have in remarks) <= 1 for n in wanted)


def test_remarks_say_nothing_that_a_phrase_says():
    pieces = {
        piece.strip()
        for priority in PRIORITIES
        for level in range(5)
        for piece in wordings(priority, level)[0].split(",")
    }
    said = " ".join(
        remark
        for remarks in (RING_REMARKS, HAND_REMARKS)
        for same in remarks.values()
        for remark in same
    ).lower()
    assert not [piece for piece in pieces if piece in said]


SENTENCE = re.compile(r"[A-Z{][^.:]*(: [^.:]+)?")


def test_texts_are_sentences():
    assert all(dog["ringside"] for one in CLASSES for dog in one.content["dogs"])
    assert all(pair["reason"] for one in CLASSES for pair in one.key["pairs"])
    for one in CLASSES:
        texts = [
            dog[name]
            for dog in one.content["dogs"]
            for name in ("ringside", "hands_on")
        ]
        texts += [
            pair[name] for pair in one.key["pairs"] for name in ("reason", "grant")
        ]
        for text in [*texts, one.key["note"]]:
            assert "  " not in text
            if not text:
                continue
            for sentence in text.removesuffix(".").split(". "):
                assert SENTENCE.fullmatch(sentence)
            assert text.endswith(".")


def test_a_reason_quotes_what_stands_with_the_dogs():
    for one in CLASSES:
        dogs = by_id(one.content)
        for pair in one.key["pairs"]:
            priority = BY_SLUG[pair["priority"]]
            for name in ("upper", "lower"):
                dog = dogs[pair[name]]
                phrase = wording(priority, dog["levels"][priority.slug])
                assert phrase.removeprefix("coat ") in pair["reason"]
                where = "hands_on" if priority.by_hand else "ringside"
                assert phrase in dog[where].lower()


def test_neighbouring_pairs_are_not_worded_alike():
    for one in CLASSES:
        shapes = [
            re.split(r"[:.]", re.sub(r"\{\w+\}", "#", pair["reason"]))[0]
            for pair in one.key["pairs"]
        ]
        assert all(a != b for a, b in pairwise(shapes))


def test_a_grant_names_what_gains_the_lower_dog_most():
    for one in CLASSES:
        dogs = by_id(one.content)
        for pair in one.key["pairs"]:
            upper, lower = dogs[pair["upper"]]["levels"], dogs[pair["lower"]]["levels"]
            gains = {p: p.weight * (lower[p.slug] - upper[p.slug]) for p in PRIORITIES}
            best = max(gains, key=gains.__getitem__)
            assert gains[best] <= 0 or best.name.lower() in pair["grant"]


def judged(*levels):
    """The entry for two dogs of these levels, two priorities of equal weight."""
    phrases = ("a poor", "a plain", "a fair", "a sound", "a fine")
    priorities = [
        Priority("leg", "Leg", 1, tuple(f"leg {p}" for p in phrases)),
        Priority("arm", "Arm", 1, tuple(f"arm {p}" for p in phrases)),
    ]
    dogs = [
        {"id": name, "levels": dict(zip(("leg", "arm"), row, strict=True))}
        for name, row in zip("UL", levels, strict=True)
    ]
    return Sayer(priorities, (5, 5), frozenset({"arm"}), "key"), dogs


def test_a_dog_that_is_better_in_everything_leaves_nothing_to_grant():
    sayer, dogs = judged((4, 3), (2, 1))
    assert sayer.pair(*dogs, 0, 0.9, level=False)["grant"] == ""


def test_what_the_hand_tells_is_found_by_the_hand():
    sayer, dogs = judged((2, 4), (2, 0))
    texts = " ".join(sayer.pair(*dogs, n, 0.9, level=False)["reason"] for n in range(6))
    assert "the hand finds arm a poor" in texts
    assert "the eye" not in texts


def test_a_higher_dog_that_leads_in_nothing_is_placed_on_balance():
    sayer, dogs = judged((2, 2), (3, 2))
    pair = sayer.pair(*dogs, 0, 0.4, level=False)
    assert "on balance" in pair["reason"]
    assert pair["priority"] == ""


def test_a_near_pair_is_called_near_and_a_plain_one_never():
    sayer, dogs = judged((3, 3), (2, 2))
    near = [sayer.pair(*dogs, n, 0.55, level=False)["reason"] for n in range(9)]
    plain = [sayer.pair(*dogs, n, 0.9, level=False)["reason"] for n in range(9)]
    assert sum(text.startswith(CLOSE) for text in near) == 3
    assert not any(text.startswith(CLOSE) for text in plain)


def test_the_note_names_what_most_pairs_turn_on():
    for one in CLASSES:
        turned = [pair["priority"] for pair in one.key["pairs"]]
        first = max(turned, key=turned.count)
        assert f"divides this class is {BY_SLUG[first].name.lower()}" in one.key["note"]


def test_a_full_stop_or_capital_of_the_mentor_does_no_harm():
    rough = [
        replace(
            p, phrases=tuple(f" {text[0].upper()}{text[1:]}. " for text in p.phrases)
        )
        for p in PRIORITIES
    ]
    assert make_class(rough, wish()).content == made(faults=()).content
