"""Many answers as arrays."""

import subprocess
import sys
from itertools import permutations

import numpy as np
import pytest

from quizzes.grading import (
    Answer,
    AnswerArrays,
    encode,
    grade,
    grade_many,
    order_matrix,
)
from quizzes.grading.pairs import CHUNK
from tests.grading.helpers import answer, key


def test_places_of_answers():
    mentor = key("ABCD", rulings={"X": "absent"})
    arrays = encode(mentor, [answer("B-A=D-C"), answer("D", X="absent", A="withheld")])
    assert arrays.places.tolist() == [[2, 1, 4, 2, 0], [0, 0, 0, 1, 0]]
    assert arrays.rulings.tolist() == [[0] * 5, [4, 0, 0, 0, 3]]


def test_every_order_of_seven_across_several_chunks():
    mentor = key("A-B=C-D-E-F-G")
    orders = list(permutations(range(1, 8)))
    places = np.array(orders * 3, np.int8)
    assert len(places) > CHUNK
    grades = grade_many(mentor, AnswerArrays(places, np.zeros_like(places)))
    for at in range(0, len(places), 1009):
        by_place = sorted(zip(places[at].tolist(), "ABCDEFG", strict=True))
        single = grade(mentor, Answer(tuple((dog,) for _, dog in by_place)))
        assert grades.grade(at) == single
    assert grades.share.mean() == pytest.approx(0.5)


def test_undefined_is_nan_in_arrays_and_none_in_grades():
    grades = grade_many(key("A=B"), [answer("AB")])
    for name in ("share", "random_as_good", "first_right", "score", "tau_b", "rho"):
        assert np.isnan(getattr(grades, name)).all()
        assert getattr(grades.grade(0), name) is None


def test_no_answers_at_all():
    grades = grade_many(key("ABC", cuts=(1, 2)), [])
    assert len(grades) == 0
    assert grades.random_as_good.shape == grades.score.shape == (0,)


def test_order_matrix_counts_places():
    places = np.array([[1, 2, 3], [1, 3, 2], [2, 2, 0]])
    assert order_matrix(places).tolist() == [[0, 2, 1, 0], [0, 0, 2, 1], [1, 0, 1, 1]]


def test_order_matrix_of_nothing():
    assert order_matrix(np.zeros((0, 2), int)).tolist() == [[0, 0, 0], [0, 0, 0]]


def test_import_does_not_load_scipy_or_the_site():
    code = (
        "import sys, quizzes.grading, quizzes.grading.sheet as s;"
        "k = s.read_key('armband,place\\n1,1\\n2,2\\n');"
        "s.grade_sheet(k, [s.AnswerRow('a', '1-2')]);"
        "print([m for m in sys.modules if m.split('.')[0] in ('scipy', 'django')])"
    )
    run = [sys.executable, "-c", code]
    done = subprocess.run(run, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
