"""Nothing but the dogs' merit tells the key: rank agreement over 2,000 classes.

Kendall's tau of independent orders of five dogs has a standard deviation of
sqrt(2 (2n + 5) / (9n (n - 1))) = 0.41 a class (Kendall 1938), so the mean over 2,000
classes is within 0.0365 of 0 but for one time in 15,000.
"""

from functools import lru_cache

import numpy as np

from quizzes.generator.drawing import drawn
from quizzes.plates import BREEDS
from quizzes.plates.markings import words as pattern_words
from tests.generator.material import BREED, DIFFICULTIES, PRIORITIES, by_id, made

CLASSES, DOGS, BOUND = 2000, 5, 0.0365
TRACES = drawn(PRIORITIES, BREED).traces


@lru_cache(maxsize=1)
def rows():
    """For each class its dogs in key order, with their position in the document."""
    made_rows = []
    for seed in range(CLASSES):
        one = made(DOGS, DIFFICULTIES[seed % 3], seed)
        dogs = by_id(one.content)
        line = list(dogs)
        made_rows.append([(line.index(i), dogs[i]) for i in one.key["order"]])
    return made_rows


def pattern(dog):
    patterns = BREEDS[BREED].patterns
    shown = pattern_words(BREEDS[BREED], dog["coat_seed"])
    return next((n for n, name in enumerate(sorted(patterns)) if name in shown), -1)


SIGNS = {
    "position": lambda at, _dog: at,
    "armband": lambda _at, dog: dog["armband"],
    "id": lambda _at, dog: int(dog["id"], 16),
    "coat": lambda _at, dog: dog["coat_seed"],
    "pattern": lambda _at, dog: pattern(dog),
    "age": lambda _at, dog: dog["age_months"],
    "ring text": lambda _at, dog: len(dog["ringside"]),
    "hand text": lambda _at, dog: len(dog["hands_on"]),
    "traces": lambda _at, dog: sum(dog["faults"].get(code, 0) for code in TRACES),
}


def mean_tau(sign):
    values = np.array([[sign(at, dog) for at, dog in dogs] for dogs in rows()], float)
    upper, lower = np.triu_indices(DOGS, 1)
    return float(np.sign(values[:, lower] - values[:, upper]).mean())


def test_nothing_of_these_tells_the_order():
    """In one test, since the classes take long to make and every worker makes its own."""
    found = {name: mean_tau(sign) for name, sign in SIGNS.items()}
    assert {name: tau for name, tau in found.items() if abs(tau) >= BOUND} == {}


def test_what_does_tell_is_found():
    """The same measure on the levels themselves, so that it is known to see."""
    assert mean_tau(lambda _at, dog: sum(dog["levels"].values())) < -0.5
    assert mean_tau(lambda _at, dog: sum(dog["faults"].values())) > 0.3


def test_texts_of_a_class_are_about_equally_long():
    apart = []
    for dogs in rows():
        for name in ("ringside", "hands_on"):
            lengths = [len(dog[name]) for _at, dog in dogs]
            apart.append(max(lengths) - min(lengths))
    assert np.quantile(apart, 0.99) <= 3
    assert max(apart) <= 24


def test_without_the_remarks_length_would_tell():
    """Why texts are brought to one length: the phrases alone are a sign of merit."""

    def bare(_at, dog):
        return len(dog["ringside"].rsplit(". ", 1)[0])

    assert abs(mean_tau(bare)) > 2 * BOUND


def test_a_class_does_not_say_whether_it_has_an_odd_one():
    """The question is asked in every class, and most dogs answer it alike."""
    asked = {"with": 0, "without": 0}
    sound = "Goes sound."
    for seed in range(120):
        for name, odd in (("with", "excused"), ("without", None)):
            dogs = made(5, "plain", seed, odd_one=odd).content["dogs"]
            asked[name] += sum(sound in dog["ringside"] for dog in dogs) >= 4
    assert min(asked.values()) > 12
