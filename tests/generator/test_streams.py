"""The random numbers: published values, and one sequence however it is read."""

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quizzes.generator.streams import Stream, key_of

# First outputs of the reference implementation of SplitMix64 for the key 1234567, as
# they are used to check implementations in many languages.
REFERENCE = (
    6457827717110365317,
    3203168211198807973,
    9817491932198370423,
    4593380528125082431,
    16408922859458223821,
)


def test_reference_values():
    stream = Stream(1234567)
    assert tuple(stream.bits() for _ in range(5)) == REFERENCE


def test_arrays_are_the_same_sequence():
    stream = Stream(1234567)
    assert tuple(stream.array(3).tolist()) == REFERENCE[:3]
    assert stream.bits() == REFERENCE[3]


@given(st.integers(0, 2**64 - 1), st.integers(1, 5), st.integers(1, 7))
def test_an_array_leaves_the_stream_where_single_numbers_would(key, rows, columns):
    one, many = Stream(key), Stream(key)
    singly = [one.bits() for _ in range(rows * columns)]
    assert many.array(rows, columns).ravel().tolist() == singly
    assert many.bits() == one.bits()


def test_names_are_told_apart():
    keys = {key_of("a", "b"), key_of("ab"), key_of("a", "b", ""), key_of("b", "a")}
    assert len(keys) == 4


def test_a_name_always_has_the_same_key():
    # SHA-256 of the two names with a unit separator between, first eight bytes.
    assert key_of(7, "coats") == 0x39D7_D775_9135_89B0


def test_numbers_below_a_limit_are_even():
    stream = Stream(1)
    counts = Counter(stream.below(6) for _ in range(60_000))
    assert set(counts) == set(range(6))
    # Chi squared with 5 degrees of freedom passes 20.5 once in a thousand.
    assert sum((n - 10_000) ** 2 / 10_000 for n in counts.values()) < 20.5


def test_all_orders_are_as_likely():
    stream = Stream(2)
    counts = Counter(tuple(stream.shuffled("abcd")) for _ in range(24_000))
    assert len(counts) == 24
    # 23 degrees of freedom: 49.7 once in a thousand.
    assert sum((n - 1000) ** 2 / 1000 for n in counts.values()) < 49.7


@pytest.mark.parametrize("count", [0, 3, 8])
def test_a_sample_has_nothing_twice(count):
    assert len(set(Stream(3).sample(range(8), count))) == count
