"""The board's rules: every move, and what is refused."""

import pytest
from django.core.exceptions import ValidationError

from quizzes.kinds.placing.board import LONGEST_REASON, Board

DOGS = ("a", "b", "c", "d")
LAME = {"ruling": "excused", "reason": "lame, right fore"}


def board(order="", *, places=None, **rulings):
    return Board(dogs=DOGS, places=places, order=tuple(order), rulings=rulings)


def order(stands):
    return "".join(stands.order)


def code_of(refused):
    return refused.value.code


def test_starts_empty_with_a_row_for_each_dog():
    assert board().rows == 4
    assert board().in_line == DOGS
    assert not board().is_complete


@pytest.mark.parametrize(
    ("before", "move", "after"),
    [
        ("", lambda b: b.place("c"), "c"),
        ("ca", lambda b: b.place("b"), "cab"),
        ("ca", lambda b: b.place("a"), "ca"),
        ("cab", lambda b: b.take_back("a"), "cb"),
        ("cab", lambda b: b.take_back("d"), "cab"),
        ("abcd", lambda b: b.move("c", -1), "acbd"),
        ("abcd", lambda b: b.move("c", +1), "abdc"),
        ("abcd", lambda b: b.move("a", -1), "abcd"),
        ("abcd", lambda b: b.move("d", +1), "abcd"),
        ("abcd", lambda b: b.put("d", 1), "dabc"),
        ("abcd", lambda b: b.put("a", 3), "bcad"),
        ("abcd", lambda b: b.put("b", 2), "abcd"),
    ],
)
def test_moves(before, move, after):
    assert order(move(board(before))) == after


@pytest.mark.parametrize(
    ("before", "move", "code"),
    [
        ("", lambda b: b.place("x"), "unknown-dog"),
        ("", lambda b: b.move("a", -1), "not-placed"),
        ("ab", lambda b: b.put("c", 1), "not-placed"),
        ("ab", lambda b: b.put("a", 0), "no-such-place"),
        ("ab", lambda b: b.put("a", 3), "no-such-place"),
        ("", lambda b: b.rule("a", "scolded"), "no-ruling"),
        ("", lambda b: b.rule("a", "excused", "  "), "no-reason"),
        ("", lambda b: b.rule("x", "absent"), "unknown-dog"),
    ],
)
def test_refusals(before, move, code):
    with pytest.raises(ValidationError) as refused:
        move(board(before))
    assert code_of(refused) == code


def test_only_as_many_places_as_the_class_gives():
    full = board("ab", places=2)
    assert full.rows == 2
    assert full.is_complete
    assert full.in_line == ("c", "d")
    with pytest.raises(ValidationError) as refused:
        full.place("c")
    assert code_of(refused) == "full"


def test_ruling_takes_the_place_away_and_a_row():
    ruled = board("abc").rule("b", "excused", "lame, right fore")
    assert order(ruled) == "ac"
    assert ruled.rulings == {"b": LAME}
    assert ruled.rows == 3
    assert ruled.in_line == ("d",)


def test_placing_a_dog_lifts_its_ruling():
    assert board("a", b=LAME).place("b") == board("ab")


def test_clearing_a_ruling_brings_the_dog_back_into_the_line():
    assert board("a", b=LAME).clear_ruling("b").in_line == ("b", "c", "d")


def test_absent_needs_no_reason():
    assert board().rule("a", "absent").rulings["a"]["reason"] == ""


def test_reason_is_kept_on_one_short_line():
    reason = "  lame,\n right\x00 fore\ud800 " + "x" * 300
    kept = board().rule("a", "excused", reason).rulings["a"]["reason"]
    assert kept.startswith("lame, right fore x")
    assert len(kept) == LONGEST_REASON


def test_withholding_the_rest_completes_the_board():
    withheld = board("a").withhold_rest("no merit")
    assert set(withheld.rulings) == {"b", "c", "d"}
    assert withheld.rows == 1
    assert withheld.is_complete


def test_all_ruled_out_is_a_complete_placing():
    assert board().withhold_rest("no merit").is_complete


def test_answer_is_read_back():
    stands = board("dab", c=LAME)
    assert Board.read(stands.answer(), DOGS, None) == stands


@pytest.mark.parametrize(
    "answer",
    [
        [],
        "abcd",
        None,
        {"order": "abcd"},
        {"order": ["a", "a"]},
        {"order": ["a"], "rulings": {"a": LAME}},
        {"order": ["x"]},
        {"order": [["a"]]},
        {"order": [], "rulings": ["a"]},
        {"rulings": {"a": "excused"}},
        {"rulings": {"a": {"ruling": "excused"}}},
        {"rulings": {"a": {"ruling": ["absent"]}}},
        {"rulings": {"x": LAME}},
        {"order": ["a", "b", "c", "d"], "rulings": {"x": LAME}},
    ],
)
def test_what_is_no_answer_is_refused(answer):
    with pytest.raises(ValidationError):
        Board.read(answer, DOGS, None)


def test_more_dogs_than_places_are_refused():
    with pytest.raises(ValidationError):
        Board.read({"order": ["a", "b", "c"]}, DOGS, 2)
