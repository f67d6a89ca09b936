"""What the result page says about an attempt."""

import random
from datetime import UTC, datetime
from fractions import Fraction

import pytest

from quizzes import attempts
from quizzes.kinds.placing.explained import OPEN
from quizzes.kinds.placing.figures import chance_in_words
from quizzes.kinds.placing.reader import Reader, in_words, joined, too
from quizzes.kinds.placing.result import Result
from quizzes.models import Attempt
from tests.placing import answer, key, placing_class

NOW = datetime(2026, 3, 10, 14, 30, tzinfo=UTC)


@pytest.fixture
def result(club, bob):
    """A result for an order, on a class made from the other arguments."""

    def make(given, *, reader=None, **more):
        revision = placing_class(club, **more)
        attempt = attempts.begin(revision, by=bob, now=NOW, rng=random.Random(1))
        attempts.hand_in(attempt, now=NOW, answer=given)
        attempt = Attempt.objects.visible_to(bob).for_result().get()
        grade = attempt.grades.get()
        return Result(attempt, grade, revision=attempt.revision, reader=reader)

    return make


def test_headline_counts_pairs(result):
    assert result(answer("bacd")).headline == "5 of 6 pairs as the mentor has them"


def test_faultless_says_so(result):
    made = result(answer())
    assert made.headline == "Every pair as the mentor has it"
    assert made.differing == []
    assert len(made.all_reasons) == 3


def test_half_pairs_are_said_as_halves(result):
    made = result(answer("cd"), places=2, key=key("ab"))
    assert made.headline == "½ of 5 pairs as the mentor has them"


def test_nothing_to_compare_is_said_and_no_number_invented(result):
    made = result(answer("ab"), names="ab", key=key("ab", level=[0]))
    assert made.headline.startswith("There is no pair here")
    assert made.chance is None


def test_neighbour_pair_has_the_mentors_reason_with_the_seen_numbers(result):
    (pair,) = result(answer("bacd"), key=key(cuts=[3, 2, 2])).differing
    assert (pair.upper.armband, pair.lower.armband) == (11, 22)
    assert pair.had == "You had 22 over 11."
    assert (pair.cut, pair.cut_sum, pair.cut_word) == (3, "3", "close")
    assert [step.reason for step in pair.steps] == ["11 beats 22."]
    assert pair.steps[0].grant == "22 has the better coat."
    assert pair.turned_on.slug == "priority-1"


def test_far_pair_adds_cuts_and_follows_the_reasons_between(result):
    made = result(answer("cbad"), key=key(cuts=[3, 1, 2]))
    pair = next(
        p for p in made.differing if p.lower.dog.id == "c" and p.upper.dog.id == "a"
    )
    assert (pair.cut, pair.cut_sum) == (4, "3 + 1 = 4")
    assert [step.reason for step in pair.steps] == ["11 beats 22.", "22 beats 33."]


# Weights 50 and 50: a is one step better than c on the first, three on the second.
LEVELS = {
    "a": {"levels": {"priority-1": 3, "priority-2": 4}},
    "c": {"levels": {"priority-1": 2, "priority-2": 1}},
}


def test_far_pair_differs_most_on_the_priority_that_gains_most(result):
    """The mentor's tags are for neighbours, so nothing says that a far pair turned on one."""
    made = result(answer("bcad"), by_dog=LEVELS)
    pair = next(
        p for p in made.differing if (p.upper.dog.id, p.lower.dog.id) == ("a", "c")
    )
    assert pair.turned_on is None
    assert pair.differ_on.slug == "priority-2"
    assert pair.upper.phrase == "Priority 2 at level 4"
    assert pair.lower.phrase == "Priority 2 at level 1"


def test_far_pair_without_levels_names_no_priority(result):
    made = result(answer("bcad"))
    pair = next(p for p in made.differing if p.lower.dog.id == "c")
    assert (pair.turned_on, pair.differ_on, pair.on_balance) == (None, None, False)


def test_no_single_priority_stays_none(result):
    """The mentor chose no single priority; the levels may still be told apart."""
    document = key("acbd")
    document["pairs"][0]["priority"] = None
    (pair,) = result(answer("cabd"), key=document, by_dog=LEVELS).differing
    assert pair.turned_on is None
    assert pair.on_balance
    assert pair.differ_on.slug == "priority-2"


def test_reason_of_dogs_that_stand_apart_now_is_not_used(result):
    """A mentor's key keeps it for when they are neighbours again."""
    document = key()
    document["pairs"].append(
        {"upper": "a", "lower": "c", "reason": "old", "priority": "priority-2"}
    )
    made = result(answer("bcad"), key=document)
    pair = next(p for p in made.differing if p.lower.dog.id == "c")
    assert pair.turned_on is None
    assert "old" not in [step.reason for step in pair.steps]


def test_what_to_read_is_what_the_mentor_named(result):
    assert result(answer("bacd"), by_dog=LEVELS).priority_to_read.slug == "priority-1"


def test_what_to_read_is_what_the_levels_say_where_the_mentor_named_nothing(result):
    document = key("acbd")
    document["pairs"][0]["priority"] = None
    made = result(answer("cabd"), key=document, by_dog=LEVELS)
    assert made.priority_to_read.slug == "priority-2"


def test_pair_with_an_unplaced_dog_has_no_reason(result):
    made = result(answer("ac"), places=2, key=key("ab"))
    (pair,) = made.differing
    assert (pair.upper.dog.id, pair.lower.dog.id, pair.steps) == ("b", "c", ())


def test_gravest_pairs_come_first_by_cuts(result):
    """Cuts 1, 5, 2: of d over a, b and c the pair with most between is a and d."""
    made = result(answer("dabc"), key=key(cuts=[1, 5, 2]))
    assert [(p.letter, p.upper.dog.id, p.cut) for p in made.differing] == [
        ("a", "a", 8),
        ("b", "b", 7),
        ("c", "c", 2),
    ]


def test_gravest_pairs_come_first_by_places(result):
    made = result(answer("dabc"))
    assert [pair.upper.dog.id for pair in made.differing] == ["a", "b", "c"]
    assert made.order_of_pairs == "Those furthest apart in the key come first."


def test_the_rest_is_folded_and_said_so(result):
    made = result(answer("dcba"), key=key(cuts=[2, 2, 2]))
    assert (len(made.opened), len(made.folded)) == (OPEN, 6 - OPEN)
    assert made.order_of_pairs == (
        "The widest cut comes first. Three more are folded below."
    )


@pytest.mark.parametrize("order", ["bacd", "bcad", "dcba", "bdac"])
def test_every_reason_is_quoted_once(result, order):
    made = result(answer(order))
    quoted = [s.reason for pair in made.differing for s in pair.steps if s.quoted]
    quoted += [one.reason for one in made.all_reasons if one.quoted]
    assert sorted(quoted) == ["11 beats 22.", "22 beats 33.", "33 beats 44."]


def test_references_lead_to_where_the_reason_is_quoted(result):
    made = result(answer("bdac"))
    places = {f"pair-{p.letter}": p.steps for p in made.differing}
    for pair in made.differing:
        for step in pair.steps:
            there = places.get(step.at, made.all_reasons)
            assert step.reason in [one.reason for one in there if one.quoted]


def test_level_neighbours_on_the_way_are_said_to_be_level(result):
    made = result(answer("bcad"), key=key(level=[1]))
    pair = next(p for p in made.differing if p.lower.dog.id == "c")
    assert [step.level for step in pair.steps] == [False, True]


@pytest.mark.parametrize(
    ("order", "summary"),
    [
        ("bacd", "One pair is the other way round."),
        ("bcad", "Both pairs turn on 11. You had it two places too low."),
        ("dabc", "All 3 pairs turn on 44. You had it three places too high."),
        (
            "badc",
            "You had 11 and 33 one place too low and 22 and 44 one place too high.",
        ),
        ("cdba", "You had 11 three places too low and 33 and 44 two places too high."),
    ],
)
def test_summary_says_what_was_misplaced(result, order, summary):
    assert result(answer(order)).summary.startswith(summary)


def test_summary_counts_what_the_mentor_named(result):
    assert result(answer("badc")).summary.endswith(" Both turn on priority 1.")


def test_summary_counts_the_mentors_names_where_they_are_half_or_more(result):
    part = result(answer("cbad")).summary
    assert part.endswith(" 2 of the 3 pairs turn on priority 1.")


def test_summary_leaves_out_what_the_mentor_named_once(result):
    assert "priority" not in result(answer("bcad")).summary


def test_summary_says_who_was_left_out(result):
    made = result(answer("cd"), places=2, key=key("ab"))
    assert made.summary == "The key places 11 and 22, you did not."


def test_level_dogs_are_not_misplaced_among_themselves(result):
    made = result(answer("cbad"), key=key(level=[0]))
    assert made.shifts == {"a": 1, "b": 0, "c": -2, "d": 0}


def test_a_dog_placed_in_vain_shifts_no_other(result):
    ruled = {"d": {"ruling": "excused", "reason": "lame"}}
    made = result(answer("dabc"), key=key("abc", rulings=ruled))
    assert set(made.shifts.values()) == {0}


def test_another_reader_reads_of_the_trainee_by_name(result):
    """Nothing that is said to somebody else says "you"."""
    ruled = {"e": {"ruling": "excused", "reason": "lame"}}
    made = result(
        answer("ba", e="absent"),
        names="abcde",
        places=2,
        key=key("cd", rulings=ruled),
        reader=Reader("Bob Trainee"),
    )
    lines = [*made.figures["plain"], *made.figures["statistics"]]
    said = [
        made.headline,
        made.summary,
        made.order_of_pairs,
        *made.table.counting,
        *(pair.had for pair in made.differing),
        *(cell["words"] for row in made.table.rows for cell in row["cells"]),
        *(one["did"] for one in made.rulings),
        *(line.meaning for line in lines),
    ]
    assert "Bob Trainee placed 22 and left 33 unplaced." in said
    assert "Bob Trainee had it absent." in said
    assert not [text for text in said if "you" in text.lower()]


def test_a_name_in_small_letters_begins_a_sentence():
    assert Reader("the trainee").says("", "%(who)s had 2.") == "The trainee had 2."


@pytest.mark.parametrize(
    ("given", "more", "sentences"),
    [
        (answer("bacd"), {}, []),
        (
            answer("bacd"),
            {"key": key(level=[0])},
            ["One more pair does not count: the key has it in either order."],
        ),
        (
            answer("ab"),
            {"names": "abcde", "places": 2, "key": key("ac")},
            [
                "2 of them count a half, since you placed neither dog.",
                "3 more pairs do not count: the key places neither dog.",
            ],
        ),
        (
            answer("cd"),
            {"places": 2, "key": key("ab")},
            [
                "One of them counts a half, since you placed neither dog.",
                "One more pair does not count: the key places neither dog.",
            ],
        ),
        (
            answer("ab"),
            {"places": 2},
            ["One more pair does not count: you were not asked to place it."],
        ),
    ],
)
def test_pairs_that_count_a_half_or_not_are_said(result, given, more, sentences):
    assert result(given, **more).table.counting == sentences


def test_dogs_the_mentor_did_not_place_are_not_called_level(result):
    made = result(answer("ab"), places=2, key=key("ab"))
    last = made.table.rows[-1]["cells"][-1]
    assert (last["verdict"], last["mark"]) == ("unplaced", "")
    assert last["words"] == "33 and 44: not placed in the key"
    assert "open" not in made.table.sorts


def test_rings_are_named_by_armbands(result):
    (ring,) = result(answer("bacd")).rings
    assert ring["name"] == "11 over 22, see a"


def test_of_many_crossings_those_explained_have_letters(result):
    names = "abcdef"
    made = result(answer(names[::-1]), names=names)
    letters = [one["ring"].letter for one in made.rings]
    assert len(letters) == 15
    assert letters[-OPEN:] == ["a", "b", "c"]
    assert not any(letters[:-OPEN])


def test_styles_of_line_that_occur_are_explained(result):
    words = [words for _style, words in result(answer("bacd")).line_styles]
    assert words == ["the same place", "one place off"]


def test_places_of_a_tie_are_said(result):
    made = result(answer("acbd"), key=key(level=[1]))
    assert made.rings == []
    assert [words for _style, words in made.line_styles] == ["the same place"]
    assert made.ties == ["22 and 33 may stand in either order: 2nd or 3rd."]


def test_places_of_a_tie_of_three_are_said(result):
    made = result(answer(), key=key(level=[1, 2]))
    assert made.ties == ["22, 33 and 44 may stand in any order: 2nd, 3rd or 4th."]


@pytest.mark.parametrize(
    ("shift", "words"),
    [
        (1, "one place too low"),
        (-1, "one place too high"),
        (11, "eleven places too low"),
    ],
)
def test_shifts_are_words(shift, words):
    assert too(shift) == words


def test_lists_and_numbers_are_words():
    assert [joined(list("abc")[:n]) for n in range(4)] == [
        "",
        "a",
        "a and b",
        "a, b and c",
    ]
    assert (in_words(12), in_words(13)) == ("twelve", "13")


def test_rulings_are_compared(result):
    ruled = {
        "c": {"ruling": "disqualified", "reason": "one testicle"},
        "d": {"ruling": "excused", "reason": "lame"},
    }
    made = result(answer("adb", c="disqualified"), key=key("ab", rulings=ruled))
    verdicts = {one["armband"]: one["verdict"] for one in made.rulings}
    assert verdicts == {33: "right", 44: "missed"}
    missed = next(one for one in made.rulings if one["armband"] == 44)
    assert missed["did"] == "You placed it 2nd."


def test_ruled_out_by_the_trainee_only(result):
    made = result(answer("abc", d="excused"))
    (one,) = made.rulings
    assert (one["verdict"], one["mentors"]) == ("wrong", None)
    assert made.unplaced == "Placed on one side only: 44."
    assert one["unruled"] == (
        "The key places it 4th: nothing here called for a ruling."
    )


def test_pair_with_a_dog_the_reader_never_placed_has_a_mark_of_its_own(result):
    made = result(answer("abc", d="excused"))
    last = [row["cells"][-1] for row in made.table.rows]
    assert {cell["verdict"] for cell in last} == {"alone"}
    assert last[0]["words"] == "11 over 44: you placed only 11, counts as shared"
    assert made.table.rows[0]["cells"][0]["verdict"] == "agreed"
    assert made.headline == "Every pair as the mentor has it"


def test_pair_below_the_places_of_both_sides_is_simply_shared(result):
    made = result(answer("ab"), places=2, key=key("ab"))
    assert made.table.rows[0]["cells"][-1]["verdict"] == "agreed"


def test_cuts_are_told_in_plain_words(result):
    made = result(answer("cbad"), key=key(cuts=[6, 2, 1]))
    assert {(p.upper.dog.id, p.lower.dog.id): p.apart for p in made.differing} == {
        ("a", "b"): "Clearly apart (cut 6).",
        ("b", "c"): "Close (cut 2).",
        ("a", "c"): "Apart by 6 + 2 = 8: easy to see.",
    }


def test_levels_are_told_only_where_no_reason_is_quoted(result):
    document = key()
    made = result(answer("bcad"), by_dog=LEVELS, key=document)
    far = next(p for p in made.differing if p.lower.dog.id == "c")
    assert far.quotes
    assert far.by_levels is None
    assert {one.slug for one in far.named} == {"priority-1"}
    assert made.priority_to_read.slug == "priority-1"


def test_levels_are_told_where_there_is_no_reason(result):
    document = key()
    document["pairs"] = []
    made = result(answer("bcad"), by_dog=LEVELS, key=document)
    far = next(p for p in made.differing if p.lower.dog.id == "c")
    assert far.by_levels.slug == "priority-2"
    assert made.priority_to_read.slug == "priority-2"


def test_matrix_has_every_pair_once_in_key_order(result):
    made = result(answer("bacd"))
    assert [row["armband"] for row in made.table.rows] == [11, 22, 33]
    assert [len(row["cells"]) for row in made.table.rows] == [3, 2, 1]
    first = made.table.rows[0]["cells"][0]
    assert first["words"] == "11 over 22: you had 22 over 11, see a"


def test_level_pairs_are_open_in_the_matrix(result):
    made = result(answer(), key=key(level=[0]))
    assert made.table.rows[0]["cells"][0]["words"] == "11 and 22: either order"


def test_figures_explain_the_cuts(result):
    """Reversal of 2-5-3 loses 3*2+4*5+3*3 = 35; a random order half of it."""
    made = result(answer("bacd"), key=key(cuts=[2, 5, 3]))
    line = next(f for f in made.figures["plain"] if f.label == "By the cuts")
    assert line.value == "48 of 50"
    assert "average 32.5; the worst order scores 15" in line.meaning


@pytest.mark.parametrize(
    ("given", "more", "value", "said"),
    [
        (answer("bacd"), {}, "0.50 a dog, 2 in all", []),
        (answer(), {"key": key(level=[1])}, "0.25 a dog, 1 in all", ["either order"]),
        (
            answer("ab"),
            {"names": "abcde", "places": 2, "key": key("ac")},
            "0.80 a dog, 4 in all",
            [
                "All 5 dogs of the ring count"
            ],  # b and c are 2 places from the middle, 4th
        ),
        (answer("abc", d="excused"), {}, "0 a dog, 0 in all", ["All 4 dogs"]),
    ],
)
def test_moves_of_dogs_without_a_place_of_their_own_are_explained(
    result, given, more, value, said
):
    made = result(given, **more)
    line = next(f for f in made.figures["plain"] if f.label == "Places moved")
    assert line.value == value
    for words in ("either order", "All 5 dogs of the ring count", "All 4 dogs"):
        assert (words in line.meaning) == (words in said)


def test_undefined_figures_are_words(result):
    made = result(answer("ab"), names="ab", key=key("ab", level=[0]))
    assert {line.value for line in made.figures["statistics"]} <= {
        "not defined",
        "0.00",
    }
    assert "nan" not in str(made.figures)


@pytest.mark.parametrize(
    ("chance", "words", "strokes"),
    [
        (Fraction(1, 24), "1 time in 24", 24),
        (Fraction(2, 17), "about 1 time in 9", 9),
        (Fraction(1, 1680), "1 time in 1,680", 1680),
        (Fraction(3, 4), "about 8 times in 10", 0),
        (Fraction(1), "every time", 0),
        (Fraction(1, 2), "1 time in 2", 2),
    ],
)
def test_chance_is_said_in_words(chance, words, strokes):
    assert chance_in_words(chance) == {"words": words, "strokes": strokes}
