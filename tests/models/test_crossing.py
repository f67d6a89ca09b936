"""The figure of crossing lines."""

from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quizzes.kinds.placing.crossing import ROW, figure, letters_for

DOGS = "abcdef"


def draw(answer, key=DOGS, cuts=()):
    """The figure of an answer beside a strict key, with a letter for each reversed pair."""
    at = {dog: place for place, dog in enumerate(answer)}
    pairs = [
        (upper, lower)
        for upper, lower in combinations(key, 2)
        if upper in at and lower in at and at[upper] > at[lower]
    ]
    groups = [(dog,) for dog in key]
    return figure(list(answer), groups, cuts, letters_for(pairs))


@settings(deadline=None, max_examples=40)
@given(st.permutations(DOGS))
def test_each_reversed_pair_has_one_ring(answer):
    inversions = sum(
        answer.index(upper) > answer.index(lower)
        for upper, lower in combinations(DOGS, 2)
    )
    assert len(draw(answer).rings) == inversions


@settings(deadline=None, max_examples=40)
@given(st.permutations(DOGS), st.lists(st.integers(1, 8), min_size=5, max_size=5))
def test_rings_and_rows_stay_inside_the_figure(answer, cuts):
    made = draw(answer, cuts=cuts)
    for entry in (*made.yours, *made.key):
        assert 0 < entry.y < made.height
    for ring in made.rings:
        assert 0 <= ring.x <= 100
        assert 0 < ring.y < made.height


def curve(line, t):
    """A point of the drawn path, computed from its own numbers (Bezier's definition)."""
    numbers = [float(n) for n in line.path.replace("M", "").replace("C", " ").split()]
    points = list(zip(numbers[::2], numbers[1::2], strict=True))
    weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
    return tuple(
        sum(w * p[axis] for w, p in zip(weights, points, strict=True))
        for axis in (0, 1)
    )


def distance(ring, line):
    points = [curve(line, t / 400) for t in range(401)]
    return min(((x - ring.x) ** 2 + (y - ring.y) ** 2) ** 0.5 for x, y in points)


@settings(deadline=None, max_examples=40)
@given(st.permutations(DOGS))
def test_every_ring_lies_on_the_line_of_the_dog_the_key_has_higher(answer):
    made = draw(answer)
    lines = {line.dog: line for line in made.lines}
    assert all(distance(ring, lines[ring.upper]) < 0.6 for ring in made.rings)


@pytest.mark.parametrize("answer", ["bac", "acb", "bca", "cab"])
def test_rings_lie_where_the_lines_meet(answer):
    made = draw(answer, key="abc")
    lines = {line.dog: line for line in made.lines}
    assert made.rings
    for ring in made.rings:
        assert distance(ring, lines[ring.upper]) < 0.6
        assert distance(ring, lines[ring.lower]) < 0.6


def test_gaps_are_as_wide_as_the_cuts():
    made = draw("abcdef", cuts=[1, 2, 3, 4, 8])
    ys = [entry.y for entry in made.key]
    gaps = [low - high for high, low in pairwise(ys)]
    assert gaps == sorted(gaps)
    assert gaps[4] - ROW == pytest.approx(8 * (gaps[0] - ROW))


def test_level_dogs_stand_close_and_say_so():
    made = figure(list("abc"), [("a",), ("b", "c")], [3], {})
    assert [entry.tied for entry in made.key] == [False, True, True]
    assert [entry.place for entry in made.key] == [1, 2, 2]


@settings(deadline=None, max_examples=40)
@given(st.permutations("abcd"))
def test_level_dogs_never_cross(answer):
    made = figure(list(answer), [("a",), ("b", "c", "d")], [3], {})
    lines = {line.dog: line for line in made.lines}
    for one, other in combinations("bcd", 2):
        start = lines[one].start - lines[other].start
        assert start * (lines[one].end - lines[other].end) > 0


def test_any_place_of_a_tie_is_the_same_place():
    made = figure(list("acb"), [("a",), ("b", "c")], [3], {})
    assert [line.moved for line in made.lines] == [0, 0, 0]


def test_dogs_on_one_side_only_have_no_line():
    made = figure(["a", "x"], [("a",), ("b",)], [], {})
    assert [line.dog for line in made.lines] == ["a"]


def test_empty_answer_still_draws():
    assert figure([], [("a",)], [], {}).height > 0


def test_letters_go_on_after_z_without_numbers():
    letters = list(letters_for([(str(n), "x") for n in range(66)]).values())
    assert letters[24:28] == ["y", "z", "aa", "ab"]
    assert len(set(letters)) == 66


@settings(deadline=None, max_examples=40)
@given(st.permutations("abcde"))
def test_lettered_rings_do_not_lie_on_one_another(answer):
    """On a phone the middle column is 120 pixels wide, a ring 26."""
    rings = [ring for ring in draw(answer, key="abcde").rings if ring.letter][:3]
    for one, other in combinations(rings, 2):
        across, down = abs(one.x - other.x) * 1.2, abs(one.y - other.y)
        assert max(across, down) >= 24


def test_a_crossing_without_letter_is_marked_where_it_is():
    made = figure(list("bac"), [("a",), ("b",), ("c",)], [], {("a", "b"): ""})
    (ring,) = made.rings
    lines = {line.dog: line for line in made.lines}
    assert distance(ring, lines["a"]) < 0.6
    assert distance(ring, lines["b"]) < 0.6
