"""Dogs graded: points by hand, guessing, and kappa on the scale of merit."""

from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quizzes.grading.items import FULL, HALF, NONE, reached_at_random
from quizzes.kinds.grade.grades import (
    MERIT,
    Grade,
    at_random,
    kappa,
    points,
    steps_apart,
)
from quizzes.kinds.grade.rows import compared

E, V, G, S, D, C = Grade.values
GRADES = st.sampled_from(Grade.values)


class TestPoints:
    TABLE = """
        1 ½ 0 0 0 0
        ½ 1 ½ 0 0 0
        0 ½ 1 ½ 0 0
        0 0 ½ 1 0 0
        0 0 0 0 1 0
        0 0 0 0 0 1
    """

    def test_every_answer_to_every_key(self):
        """Rows: the key; columns: the answer. Half never reaches past Sufficient."""
        worth = {"1": FULL, "½": HALF, "0": NONE}
        wanted = [worth[one] for one in self.TABLE.split()]
        pairs = product(Grade.values, repeat=2)
        assert [points(right, said) for right, said in pairs] == wanted

    @given(GRADES, GRADES)
    def test_it_makes_no_odds_who_is_the_mentor(self, one, other):
        assert points(one, other) == points(other, one)

    def test_steps_have_a_direction(self):
        assert steps_apart(E, G) == 2
        assert steps_apart(G, V) == -1
        assert steps_apart(S, D) is None
        assert steps_apart(E, "") is None

    @pytest.mark.parametrize(
        ("right", "half"), [(E, 1), (V, 2), (G, 2), (S, 1), (D, 0), (C, 0)]
    )
    def test_guessing_among_six(self, right, half):
        found = at_random(right)
        assert found.get(FULL) == Fraction(1, 6)
        assert found.get(HALF, 0) == Fraction(half, 6)
        assert sum(found.values()) == 1

    def test_two_dogs_by_hand(self):
        """Very good and disqualified: of 36 answers 1 has 2 points, 2 have 1½, so at least 1½ is 3 in 36."""
        asked = [at_random(V), at_random(D)]
        assert reached_at_random(asked, 1.5) == pytest.approx(3 / 36)
        assert reached_at_random(asked, 2) == pytest.approx(1 / 36)


class TestKappa:
    def test_as_published(self):
        """Agresti (1990), four steps, as R's vcd has it for SexualFun: .2373806 with linear weights."""
        table = ((7, 7, 2, 3), (2, 8, 3, 7), (1, 5, 4, 9), (2, 8, 9, 14))
        pairs = [
            (MERIT[row], MERIT[column])
            for row, counts in enumerate(table)
            for column, count in enumerate(counts)
            for _n in range(count)
        ]
        assert kappa(pairs) == pytest.approx(0.2373806, abs=5e-8)

    def test_by_hand(self):
        """One of six is a neighbour off: 1/6 of a step seen. By chance, over the margins 2 1 1 2 and
        1 2 1 2: (2*10 + 6 + 6 + 2*8) / 36 = 48/36. So 1 - (1/6) / (48/36) = 7/8.
        """
        pairs = [(E, E), (E, V), (V, V), (G, G), (S, S), (S, S)]
        assert kappa(pairs) == pytest.approx(7 / 8)

    def test_beside_the_scale_nothing_counts(self):
        pairs = [(E, E), (S, S)]
        assert kappa([*pairs, (D, E), (V, C), (D, D)]) == kappa(pairs) == 1

    @pytest.mark.parametrize("pairs", [[], [(D, D)] * 6, [(E, E)] * 6])
    def test_undefined(self, pairs):
        assert kappa(pairs) is None

    @given(st.lists(st.tuples(GRADES, GRADES), min_size=1, max_size=12))
    def test_full_agreement_is_the_most(self, pairs):
        found = kappa(pairs)
        assert found is None or found <= 1


class TestReasons:
    NAMES = {"a": "Back", "b": "Feet", "c": "Coat"}

    def test_each_reason_stands_once(self):
        found = compared(
            ["for:a", "against:b", "for:x"],
            ["for:a", "for:b", "against:c"],
            self.NAMES,
        )
        assert found == {
            "both": ["for it: Back"],
            "turned": ["against it: Feet"],
            "mine": ["for it: x"],
            "theirs": ["against it: Coat"],
        }

    @given(
        st.lists(
            st.sampled_from(["for:a", "against:a", "for:b", "against:c"]), unique=True
        ),
        st.lists(
            st.sampled_from(["for:a", "against:a", "for:b", "against:c"]), unique=True
        ),
    )
    def test_all_of_mine_are_told(self, mine, theirs):
        found = compared(mine, theirs, self.NAMES)
        told = found["both"] + found["turned"] + found["mine"]
        assert len(told) == len(mine)
