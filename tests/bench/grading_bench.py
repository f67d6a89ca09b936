"""Time grading side by side with scipy, called once per answer.

Run it with ``python -m tests.bench.grading_bench``. Both sides get the same places;
scipy gives tau-b, rho, the weighted tau and Somers' D, the batch gives every field of a
grade.
"""

from itertools import islice, permutations
from random import Random
from time import perf_counter

import numpy as np
from scipy import stats

from quizzes.grading import AnswerArrays, Key, grade_many
from quizzes.grading.sheet import AnswerRow, grade_sheet, read_answers

DOGS = 8
ANSWERS = 100_000
SAMPLE = 500


def timed(work):
    start = perf_counter()
    result = work()
    return perf_counter() - start, result


def by_scipy(places):
    mentor = np.arange(1, places.shape[1] + 1)
    return [
        (
            stats.kendalltau(mentor, row).statistic,
            stats.spearmanr(mentor, row).statistic,
            stats.weightedtau(-mentor, -row, rank=mentor - 1).statistic,
            (stats.somersd(mentor, row).statistic + 1) / 2,
        )
        for row in places.astype(int)
    ]


def arrays(rng, n, m, ties):
    """Random answers of n dogs; with ties, places are drawn with repetition."""
    if ties:
        places = rng.integers(1, n + 1, (m, n))
    else:
        places = rng.permuted(np.tile(np.arange(1, n + 1), (m, 1)), axis=1)
    places = places.astype(np.int8)
    return AnswerArrays(places, np.zeros_like(places))


def compare(n, ties):
    key = Key(tuple((dog,) for dog in range(n)))
    room = arrays(np.random.default_rng(1), n, ANSWERS, ties)
    grade_many(key, arrays(np.random.default_rng(2), n, 10, ties))
    ours, grades = timed(lambda: grade_many(key, room))
    theirs, figures = timed(lambda: by_scipy(room.places[:SAMPLE]))
    mine = np.stack([grades.tau_b, grades.rho, grades.weighted_tau, grades.share], 1)
    apart = np.nanmax(np.abs(mine[:SAMPLE] - np.array(figures)))
    ratio = theirs / SAMPLE / (ours / ANSWERS)
    what = f"{n} dogs{', ties' if ties else ''}"
    print(
        f"{what:16} {1e6 * ours / ANSWERS:8.2f} us {1e6 * theirs / SAMPLE:10.1f} us"
        f" {ratio:8.0f} x  differ by {apart:.0e}"
    )


def sheet():
    random, dogs = Random(1), [str(dog) for dog in range(1, DOGS + 1)]
    lines = ("-".join(random.sample(dogs, DOGS)) for _ in range(ANSWERS))
    text = "name,placing,rulings\n" + "".join(f"A,{line},\n" for line in lines)
    key = Key(tuple((dog,) for dog in dogs))
    reading, cards = timed(lambda: read_answers(text))
    grading, graded = timed(lambda: grade_sheet(key, cards))
    writing, _ = timed(graded.to_csv)
    print(
        f"{ANSWERS} cards of {DOGS} dogs: read {reading:.2f} s,"
        f" grade {grading:.2f} s, write {writing:.2f} s"
    )


def one_by_one():
    key = Key(tuple((str(dog),) for dog in range(DOGS)), rulings={"x": "absent"})
    orders = islice(permutations(key.ring), 0, 40000, 400)
    cards = [AnswerRow("A", "-".join(order)) for order in orders]
    seconds, _ = timed(lambda: [grade_sheet(key, [card]) for card in cards])
    print(f"one card at a time: {1e6 * seconds / len(cards):.0f} us")


def main():
    print(f"{ANSWERS} answers at once   all fields   scipy, 4 fields")
    for n in (4, 8, 12):
        compare(n, ties=False)
    compare(8, ties=True)
    sheet()
    one_by_one()


if __name__ == "__main__":
    main()
