"""The examination from memory: pairs of steps, the steps to move, unsafe orders, and guessing."""

import math
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import kendalltau

from quizzes.kinds.examination.content import ExamAnswer, ExamContent, Gap, Step, ToFind
from quizzes.kinds.examination.grading import (
    gap_points,
    guesses_of,
    order_graded,
    points_of,
    right_places,
    sense_points,
)
from quizzes.kinds.examination.safety import RULES, marks_in, unsafe_orders
from tests.examinations import STEPS, A, key_of
from tests.grading.helpers import CASES

TEN = "ABCDEFGHIJ"
LETTERS = [(letter, "hand", "") for letter in TEN]


def letters(n, level=()):
    return key_of(*TEN[:n], level=level, steps=LETTERS)


def permuted(names):
    return st.permutations(list(names))


class TestOrder:
    @pytest.mark.parametrize(
        ("order", "agreed", "tau", "chance", "moved"),
        [
            ("ABCD", 6, 1, 1 / 24, ""),
            ("BACD", 5, 2 / 3, 4 / 24, "A"),
            ("DABC", 3, 0, 15 / 24, "D"),
            ("DCBA", 0, -1, 1, "DCB"),
            ("ACBD", 5, 2 / 3, 4 / 24, "B"),
        ],
    )
    def test_by_hand(self, order, agreed, tau, chance, moved):
        """Four steps have 6 pairs and 24 orders: 1, 3, 5, 6, 5, 3, 1 of them with 6, 5, ... 0 pairs right."""
        graded = order_graded(letters(4), order)
        assert (graded.agreed, graded.counted) == (agreed, 6)
        assert graded.tau == pytest.approx(tau)
        assert graded.chance == pytest.approx(chance)
        assert len(graded.moved) == len(moved)

    def test_a_pair_that_may_change_places_never_counts(self):
        key = letters(4, level=(1,))
        for order in ("ABCD", "ACBD"):
            graded = order_graded(key, order)
            assert (graded.agreed, graded.counted, graded.moved) == (5, 5, ())
            # Kendall (1945): tau-b of 5 pairs right, one level on one side: 5 / sqrt(5 * 6).
            assert graded.tau == pytest.approx(5 / math.sqrt(30))

    def test_a_step_that_is_left_out_takes_its_pairs_along(self):
        graded = order_graded(letters(4), "ACD")
        assert (graded.agreed, graded.counted) == (3, 6)
        assert graded.left_out == ("B",)
        assert (graded.tau, graded.chance, graded.moved) == (
            1,
            pytest.approx(1 / 6),
            (),
        )

    @pytest.mark.parametrize("order", ["", "A"])
    def test_nothing_to_correlate(self, order):
        graded = order_graded(letters(4), order)
        assert (graded.tau, graded.chance, graded.agreed) == (None, None, 0)

    def test_published(self):
        """Tuna, Hollander and Wolfe (1973), p. 187f: 26 of 36 pairs, tau 4/9, one-sided p .05972."""
        known = CASES["tau-tuna"]["input"]
        x, y = known["x"], known["y"]
        by_x = sorted(range(len(x)), key=x.__getitem__)
        by_y = sorted(range(len(y)), key=y.__getitem__)
        key = letters(9)
        order = [TEN[by_x.index(n)] for n in by_y]
        graded = order_graded(key, order)
        assert (graded.agreed, graded.counted) == (26, 36)
        assert graded.tau == pytest.approx(4 / 9)
        assert graded.chance == pytest.approx(0.05972, abs=5e-6)

    @given(permuted(TEN), st.sets(st.integers(0, 8), max_size=4), st.integers(2, 10))
    def test_tau_b_as_scipy_has_it(self, order, level, n):
        key = letters(10, level)
        graded = order_graded(key, order[:n])
        theirs = [key.group_of[step] for step in order[:n]]
        if len(set(theirs)) > 1:
            assert graded.tau == pytest.approx(kendalltau(theirs, range(n)).statistic)
        else:
            assert graded.tau is None

    def test_chance_as_all_orders_say(self):
        key = letters(5, level=(0, 2))
        orders = list(permutations("ABCDE"))
        agreed = [order_graded(key, order).agreed for order in orders]
        for order, mine in zip(orders[:40], agreed, strict=False):
            share = sum(one >= mine for one in agreed) / len(orders)
            assert order_graded(key, order).chance == pytest.approx(share)

    @given(permuted(TEN))
    def test_moving_the_moved_reaches_the_keys_order(self, order):
        graded = order_graded(letters(10), order)
        kept = [step for step in order if step not in graded.moved]
        assert kept == sorted(kept)
        assert 0 <= graded.agreed <= graded.counted == 45


class TestUnsafe:
    def broken(self, order, **more):
        return {one.rule.slug: one for one in unsafe_orders(key_of(**more), order)}

    def test_the_mentors_own_order_is_never_unsafe(self):
        assert not unsafe_orders(key_of(), A)
        # Not even one that breaks every rule: the mentor decides.
        assert not unsafe_orders(key_of(*reversed(A)), A[::-1])

    def test_hands_before_the_dog_has_seen_you(self):
        order = ["Stand back", "First touch", "Approach", *A[3:]]
        found = self.broken(order)
        assert set(found) == {"seen"}
        assert found["seen"].then == ("First touch",)
        assert found["seen"].first == ("Approach",)

    def test_the_approach_left_out(self):
        found = self.broken([name for name in A if name != "Approach"])
        assert found["seen"].is_left_out
        assert "Bite" in found["seen"].then

    def test_the_mouth_before_the_first_touch(self):
        order = ["Stand back", "Approach", "Bite", "First touch", *A[4:]]
        found = self.broken(order)
        assert set(found) == {"mouth"}
        assert found["mouth"].then == ("Bite",)

    def test_gone_over_before_the_first_touch(self):
        order = ["Stand back", "Approach", "Neck", "First touch", "Bite", *A[5:]]
        found = self.broken(order)
        assert set(found) == {"touch"}
        assert found["touch"].then == ("Neck",)

    def test_from_the_testicles_to_the_mouth(self):
        order = ["Stand back", "Approach", "First touch", "Testicles", "Bite", "Neck"]
        found = self.broken(order)
        assert {"clean", "surprise"} <= set(found)
        assert found["clean"].first == ("Bite",)
        assert found["surprise"].first == ("Neck",)

    def test_what_is_left_out_surprises_nobody(self):
        order = [name for name in A if name not in ("Ribs", "Neck")]
        assert not self.broken(order)

    def test_a_step_that_the_mentor_ticked(self):
        order = ["Approach", "First touch", "Stand back", *A[3:]]
        assert not self.broken(order)
        found = self.broken(order, gates=["Stand back"])
        assert found["seen"].first == ("Stand back",)

    def test_without_a_named_step_what_the_eye_does_first_comes_first(self):
        steps = [("Look", "eye", ""), ("Feel", "hand", ""), ("Watch", "eye", "")]
        key = key_of(steps=steps)
        assert [
            one.rule.slug for one in unsafe_orders(key, ["Feel", "Look", "Watch"])
        ] == ["seen"]
        assert not unsafe_orders(key, ["Look", "Watch", "Feel"])

    @given(permuted(A), st.integers(0, 10))
    def test_each_two_steps_are_named_once_and_never_as_the_mentor_has_them(
        self, order, n
    ):
        key, told = key_of(), []
        for one in unsafe_orders(key, order[:n]):
            for first in one.first:
                for then in one.then:
                    told.append((first, then))
                    assert key.order.index(first) < key.order.index(then)
                    assert then in order[:n]
                    if first in order[:n]:
                        assert order.index(then) < order.index(first)
        assert len(told) == len(set(told))

    @given(permuted(A))
    def test_any_hand_before_the_approach_is_found(self, order):
        hands = [name for name, sense, _find in STEPS if sense != "eye"]
        too_early = [one for one in hands if order.index(one) < order.index("Approach")]
        found = self.broken(order)
        assert ("seen" in found) is bool(too_early)

    def test_marks_are_read_from_names(self):
        assert marks_in("First touch") == ("first-touch",)
        assert marks_in("Mouth and teeth") == ("mouth",)
        assert marks_in("Loin") == ()

    def test_every_rule_is_said(self):
        for rule in RULES:
            assert rule.said
            assert rule.why


class TestOtherParts:
    content = ExamContent(
        steps=tuple(Step(name, name) for name in A),
        asked=("sense", "find", "gap"),
        to_find=(ToFind("Neck", ("Neck", "Bite", "Coat", "Move")),),
        gap=Gap(shown=("Bite", "Neck", "Ribs"), options=("Shoulder", "Coat", "Move")),
    )

    @pytest.mark.parametrize(
        ("right", "said", "points"),
        [
            ("eye", "eye", 1),
            ("eye", "hand", 0),
            ("both", "eye", 0.5),
            ("hand", "both", 0.5),
        ],
    )
    def test_senses(self, right, said, points):
        assert sense_points(right, said) == points

    @pytest.mark.parametrize(
        ("step", "after", "points"),
        [("Shoulder", 2, 1), ("Shoulder", 0, 0.5), ("Coat", 2, 0.5), ("Coat", 3, 0)],
    )
    def test_the_missing_step(self, step, after, points):
        key = key_of()
        key = type(key)(key.order, key.level, key.steps, "Shoulder")
        assert gap_points(self.content, key, step, after) == points

    def test_either_place_where_two_may_change(self):
        key = key_of(level=(5,))
        key = type(key)(key.order, key.level, key.steps, "Shoulder")
        assert right_places(self.content, key) == [2, 3]

    def test_guessing_by_hand(self):
        """One of 4 finds; a third of the senses, half right 2/3 for "both" and 1/3 else; 1/3 and 1/4 for the gap."""
        key = key_of()
        key = type(key)(key.order, key.level, key.steps, "Shoulder")
        guesses = guesses_of(self.content, key)
        assert len(guesses) == self.content.questions == len(A) + 2
        assert guesses[3] == {1: pytest.approx(1 / 3), 0.5: pytest.approx(2 / 3)}
        assert float(guesses[-2][1]) == 1 / 4
        assert float(guesses[-1][1]) == pytest.approx(1 / 12)
        assert float(guesses[-1][0.5]) == pytest.approx(1 / 3 * 3 / 4 + 2 / 3 * 1 / 4)

    def test_what_is_not_answered_has_no_points(self):
        key = key_of()
        key = type(key)(key.order, key.level, key.steps, "Shoulder")
        reached = points_of(self.content, key, ExamAnswer())
        assert set(reached.values()) == {0}
