"""What the result page says about an attempt."""

import random
from datetime import UTC, datetime
from fractions import Fraction

import pytest

from quizzes import attempts
from quizzes.kinds.placing.result import Result, chance_in_words
from quizzes.models import Attempt
from tests.placing import answer, key, placing_class

NOW = datetime(2026, 3, 10, 14, 30, tzinfo=UTC)


@pytest.fixture
def result(club, bob):
    """A result for an order, on a class made from the other arguments."""

    def make(given, **more):
        revision = placing_class(club, **more)
        attempt = attempts.begin(revision, by=bob, now=NOW, rng=random.Random(1))
        attempts.hand_in(attempt, now=NOW, answer=given)
        attempt = Attempt.objects.visible_to(bob).for_result().get()
        grade = attempt.grades.get()
        return Result(attempt, grade, revision=attempt.revision)

    return make


def test_headline_counts_pairs(result):
    assert result(answer("bacd")).headline == "5 of 6 pairs as the mentor has them"


def test_faultless_says_so(result):
    made = result(answer())
    assert made.headline == "Every pair as the mentor has them"
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
    assert [step["reason"] for step in pair.steps] == ["11 beats 22."]
    assert pair.steps[0]["grant"] == "22 has the better coat."
    assert pair.priority.slug == "priority-1"


def test_far_pair_adds_cuts_and_follows_the_reasons_between(result):
    made = result(answer("cbad"), key=key(cuts=[3, 1, 2]))
    pair = next(
        p for p in made.differing if p.lower.dog.id == "c" and p.upper.dog.id == "a"
    )
    assert (pair.cut, pair.cut_sum) == (4, "3 + 1 = 4")
    assert [step["reason"] for step in pair.steps] == ["11 beats 22.", "22 beats 33."]


def test_far_pair_turns_on_the_priority_that_gains_most(result):
    """Weights 50 and 50: a is one step better on the first, three on the second."""
    levels = {
        "a": {"levels": {"priority-1": 3, "priority-2": 4}},
        "c": {"levels": {"priority-1": 2, "priority-2": 1}},
    }
    made = result(answer("bcad"), by_dog=levels)
    pair = next(
        p for p in made.differing if (p.upper.dog.id, p.lower.dog.id) == ("a", "c")
    )
    assert pair.priority.slug == "priority-2"
    assert pair.upper.phrase == "Priority 2 at level 4"
    assert pair.lower.phrase == "Priority 2 at level 1"


def test_pair_without_levels_or_reason_turns_on_balance(result):
    document = key()
    document["pairs"][0]["priority"] = None
    (pair,) = result(answer("bacd"), key=document).differing
    assert pair.priority is None


def test_summary_names_the_dog_all_pairs_share(result):
    made = result(answer("bcad"))
    assert made.summary == "All 2 pairs turn on 11."


def test_rulings_are_compared(result):
    ruled = {
        "c": {"ruling": "disqualified", "reason": "one testicle"},
        "d": {"ruling": "excused", "reason": "lame"},
    }
    made = result(answer("adb", c="disqualified"), key=key("ab", rulings=ruled))
    verdicts = {one["armband"]: one["verdict"] for one in made.rulings}
    assert verdicts == {33: "right", 44: "missed"}
    assert next(o for o in made.rulings if o["armband"] == 44)["placed"] == "2nd"


def test_ruled_out_by_the_trainee_only(result):
    made = result(answer("abc", d="excused"))
    (one,) = made.rulings
    assert (one["verdict"], one["mentors"]) == ("wrong", None)
    assert made.unplaced == "Placed on one side only: 44."


def test_matrix_has_every_pair_once_in_key_order(result):
    made = result(answer("bacd"))
    assert [row["armband"] for row in made.matrix] == [11, 22, 33]
    assert [len(row["cells"]) for row in made.matrix] == [3, 2, 1]
    first = made.matrix[0]["cells"][0]
    assert first["words"] == "11 over 22: you had 22 over 11, see a"


def test_level_pairs_are_open_in_the_matrix(result):
    made = result(answer(), key=key(level=[0]))
    assert made.matrix[0]["cells"][0]["words"] == "11 and 22: either order"


def test_figures_explain_the_cuts(result):
    """Reversal of 2-5-3 loses 3*2+4*5+3*3 = 35; a random order half of it."""
    made = result(answer("bacd"), key=key(cuts=[2, 5, 3]))
    line = next(f for f in made.figures["plain"] if f.label == "By the cuts")
    assert line.value == "48 of 50"
    assert "average 32.5; the worst order scores 15" in line.meaning


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
