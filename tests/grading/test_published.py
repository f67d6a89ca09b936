"""Rank statistics against values from outside; sources stand in the data file."""

from collections import Counter
from fractions import Fraction
from itertools import permutations
from statistics import fmean

import numpy as np
import pytest

from quizzes.grading import Answer, AnswerArrays, Key, grade, grade_many
from quizzes.grading.chance import Form, chance_of, q_multinomial
from tests.grading.helpers import CASES, answer, expected, fraction, groups, key, strict


def graded(x, y):
    return grade(Key(groups(x)), Answer(groups(y)))


def all_orders(n):
    """Grades of every order of n dogs against 0, 1, 2, ..."""
    places = 1 + np.array(list(permutations(range(n))), np.int8)
    arrays = AnswerArrays(places, np.zeros_like(places))
    return grade_many(Key(strict(range(n))), arrays)


CORRELATIONS = [
    ("tau-tuna", "tau", "tau_b"),
    ("rho-tuna", "rho", "rho"),
    ("tau-siegel", "tau", "tau_b"),
    ("tau-siegel", "rho", "rho"),
    ("rho-iq-tv", "rho", "rho"),
    ("rho-zar-ties", "rho_pearson_on_midranks", "rho"),
    ("rho-zar-ties", "tau_b", "tau_b"),
    ("taub-kendall-3.4", "tau_b", "tau_b"),
    ("taub-kendall-3.4", "tau_b_printed", "tau_b"),
    ("varS-kendall-4.3", "tau_b", "tau_b"),
    ("taub-scipy-doc", "tau_b", "tau_b"),
    ("tau-scipy-suite", "tau", "tau_b"),
]


@pytest.mark.parametrize(("case", "name", "field"), CORRELATIONS)
def test_published_correlation(case, name, field):
    data = CASES[case]
    ours = getattr(graded(data["input"]["x"], data["input"]["y"]), field)
    tolerance = data["tolerance"][name]
    assert ours == pytest.approx(data["expected"][name], rel=0, abs=tolerance)


def test_tuna_pairs_and_chance():
    data = CASES["tau-tuna"]
    ours = graded(data["input"]["x"], data["input"]["y"])
    assert (ours.pairs_agreed, ours.pairs_counted) == (26, 36)
    p = data["expected"]["p_one_sided_exact"]
    assert float(ours.random_as_good) == pytest.approx(p, abs=5e-8)


def test_siegel_exact_two_sided_p_is_twice_the_chance():
    data = CASES["tau-siegel"]
    ours = graded(data["input"]["x"], data["input"]["y"])
    p = data["expected"]["p_two_sided_exact_tau"]
    assert 2 * float(ours.random_as_good) == pytest.approx(p, abs=1e-8)


@pytest.mark.parametrize(
    "case", ["kdist-wiki", "kdist-jpt", "kdist-mccaffrey4", "kdist-mccaffrey5"]
)
def test_kendall_distance(case):
    a, b = CASES[case]["input"]["a"], CASES[case]["input"]["b"]
    if CASES[case]["input"]["read_as"] == "rank vectors":
        ours = graded(a, b)
    else:
        ours = grade(Key(strict(a)), Answer(strict(b)))
    assert ours.pairs_counted == expected(case)["pairs"]
    assert ours.pairs_counted - ours.pairs_agreed == expected(case)["distance"]


@pytest.mark.parametrize("n", range(2, 11))
def test_mahonian_numbers(n):
    assert q_multinomial([1] * n) == expected("mahonian")["counts_by_k"][str(n)]


@pytest.mark.parametrize("n", range(2, 8))
def test_mahonian_numbers_by_grading_every_order(n):
    grades = all_orders(n)
    inversions = Counter((grades.pairs_counted - grades.pairs_agreed).tolist())
    counts = expected("mahonian")["counts_by_k"][str(n)]
    assert inversions == dict(enumerate(counts))


def chance_of_s(n, s):
    """P(S >= s) for a random strict order of n dogs, S = C - D."""
    pairs = n * (n - 1) // 2
    return chance_of(Form((1,) * n), Form((1,) * n), s + pairs, pairs)


@pytest.mark.parametrize("n", range(3, 11))
def test_upper_tails_of_kendalls_s(n):
    tails = expected("kendall-upper-tails")["by_n_then_s_count_and_probability"]
    for s, (count, probability) in tails[str(n)].items():
        chance = chance_of_s(n, int(s))
        assert chance == Fraction(count, sum(q_multinomial([1] * n)))
        assert float(chance) == pytest.approx(probability, abs=1e-6)


@pytest.mark.parametrize("n", range(4, 13))
def test_critical_values_of_kendalls_s(n):
    alphas = CASES["kendall-critical"]["input"]["alpha_one_sided"]
    printed = expected("kendall-critical")["S_critical_by_n"][str(n)]
    pairs = n * (n - 1) // 2
    for alpha, critical in zip(alphas, printed, strict=True):
        level = Fraction(str(alpha))
        fitting = [s for s in range(-pairs, pairs + 1, 2) if chance_of_s(n, s) <= level]
        assert (fitting[0] if fitting else None) == critical


@pytest.mark.parametrize("n", [3, 4, 5])
def test_distribution_of_spearmans_rho(n):
    sums = (1 - all_orders(n).rho) * (n**3 - n) / 6
    counts = Counter(str(round(total)) for total in sums.tolist())
    assert counts == expected("spearman-distribution")["counts"][str(n)]


@pytest.mark.parametrize("n", range(2, 8))
def test_distribution_of_the_footrule(n):
    moved = all_orders(n).places_moved.tolist()
    footrule = expected("footrule-distribution")
    assert Counter(f"{total:g}" for total in moved) == footrule["counts"][str(n)]
    assert max(moved) == footrule["maximum"][str(n)]
    assert fmean(moved) == pytest.approx(float(fraction(footrule["mean"][str(n)])))


@pytest.mark.parametrize("n", [3, 4, 5, 6])
def test_footrule_lies_between_one_and_two_kendall_distances(n):
    """Diaconis & Graham (1977), theorem 2: K + T <= F <= 2K."""
    grades = all_orders(n)
    distance = grades.pairs_counted - grades.pairs_agreed
    transpositions = np.array([n - cycles(p) for p in permutations(range(n))])
    assert (distance + transpositions <= grades.places_moved).all()
    assert (grades.places_moved <= 2 * distance).all()


def cycles(permutation):
    left, count = set(range(len(permutation))), 0
    while left:
        at, count = left.pop(), count + 1
        while permutation[at] in left:
            at = permutation[at]
            left.remove(at)
    return count


@pytest.mark.parametrize("n", range(3, 8))
def test_variance_of_s(n):
    grades = all_orders(n)
    s = 2 * grades.pairs_agreed - grades.pairs_counted
    variance = float(fraction(expected("varS-untied")["var_S"][str(n)]))
    assert np.mean(s**2) == pytest.approx(variance)


NULL_FORMS = {
    "key buckets [1, 2, 1]": (Form((1, 2, 1)), Form((1,) * 4)),
    "key buckets [2, 2]": (Form((2, 2)), Form((1,) * 4)),
    "key buckets [1, 1, 3]": (Form((1, 1, 3)), Form((1,) * 5)),
    "key buckets [3, 1]": (Form((3, 1)), Form((1,) * 4)),
    "key buckets [1, 2, 1, 2]": (Form((1, 2, 1, 2)), Form((1,) * 6)),
    "strict key of 5, top-4 answer": (Form((1,) * 5), Form((1,) * 5, open_end=True)),
    "strict key of 6, top-4 answer": (Form((1,) * 6), Form((1, 1, 1, 1, 2), True)),
    "strict key of 7, top-4 answer": (Form((1,) * 7), Form((1, 1, 1, 1, 3), True)),
    "strict key of 8, top-4 answer": (Form((1,) * 8), Form((1, 1, 1, 1, 4), True)),
    "strict key of 6, top-3 answer": (Form((1,) * 6), Form((1, 1, 1, 3), True)),
}


@pytest.mark.parametrize("case", expected("null-with-ties")["counts_by_D"])
def test_chance_when_one_side_has_ties(case):
    counts = expected("null-with-ties")["counts_by_D"][case]
    pairs = len(counts) - 1
    for reversed_pairs in range(len(counts)):
        chance = chance_of(*NULL_FORMS[case], 2 * (pairs - reversed_pairs), pairs)
        assert chance == Fraction(sum(counts[: reversed_pairs + 1]), sum(counts))


def test_chance_when_both_sides_place_four_of_eight():
    null = expected("null-top4-both")
    mentor = key("ABCD", unplaced="EFGH")
    answers = [Answer(strict(first_four)) for first_four in permutations("ABCDEFGH", 4)]
    grades = grade_many(mentor, answers)
    s = (2 * grades.pairs_agreed - grades.pairs_counted).astype(int)
    assert Counter(map(str, s.tolist())) == null["counts_by_S"]
    at_15 = int(np.flatnonzero(s == 15)[0])
    assert grades.grade(at_15).random_as_good == fraction(null["p_S_ge_15"])


@pytest.mark.parametrize("case", expected("topk-bucket")["cases"], ids=str)
def test_placings_of_four_in_a_class_of_eight(case):
    unplaced = [dog for dog in "ABCDEFGH" if dog not in case["key"]]
    ours = grade(key(case["key"], unplaced=unplaced), answer(case["answer"]))
    assert ours.tau_b == pytest.approx(case["tau_b"], abs=1e-9)
    assert ours.tau_x == pytest.approx(case["tau_x"], abs=1e-9)
    assert ours.places_moved == case["F_prof"]
    assert (1 - ours.tau_x) / 2 * 28 == pytest.approx(case["K_prof"])
    measure = case["somers_d_given_key"] if unplaced else case["gamma"]
    assert 2 * ours.share - 1 == pytest.approx(measure, abs=1e-9)


@pytest.mark.parametrize("case", expected("taux-v-taub")["cases"], ids=str)
def test_ties_in_the_key(case):
    ours = graded(case["key"], case["answer"])
    for name in ("tau_b", "tau_x"):
        assert getattr(ours, name) == pytest.approx(case[name], abs=1e-9)
    somers = None if ours.share is None else 2 * ours.share - 1
    assert somers == pytest.approx(case["somers_d_y_given_x"], abs=1e-9)
    assert ours.pairs_counted == case["C"] + case["D"] + case["tied_y_only"]


@pytest.mark.parametrize("weak", expected("kemeny-snell-3")["distance"])
def test_tau_x_is_the_kemeny_snell_distance(weak):
    order = tuple(tuple(group) for group in weak.split(">"))
    ours = grade(key("ABC"), Answer(order))
    distance = expected("kemeny-snell-3")["distance"][weak]
    assert ours.tau_x == pytest.approx(1 - 2 * distance / 6, abs=1e-12)


@pytest.mark.parametrize("case", expected("wtau-four-dogs")["cases"], ids=str)
def test_weighted_tau_of_four_dogs(case):
    ours = graded([1, 2, 3, 4], case["answer_ranks_in_key_order"])
    exact = float(fraction(case["weighted_tau_key_weights"]))
    assert ours.weighted_tau == pytest.approx(exact, abs=1e-12)
    assert ours.tau_b == pytest.approx(case["tau"], abs=1e-12)


@pytest.mark.parametrize("case", expected("gap-weighted")["cases"], ids=str)
def test_share_weighted_by_cuts(case):
    ours = grade(key("ABCD", cuts=(3, 1, 2)), answer(case["answer"]))
    assert ours.gap_share == float(fraction(case["share"]))
    assert ours.share == float(fraction(case["unweighted_share"]))
    assert ours.score == 50 - case["lost"]
