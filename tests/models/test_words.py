"""How counts and chances are said."""

import pytest

from quizzes.words import how_often


@pytest.mark.parametrize(
    ("chance", "said"),
    [
        (None, ""),
        (1.0, "every time"),
        (0.97, "nearly every time"),
        (0.61, "6 times in 10"),
        (1 / 9, "1 time in 9"),
        (1e-9, "less than once in a million times"),
    ],
)
def test_how_often_ends_a_sentence(chance, said):
    assert how_often(chance) == said
