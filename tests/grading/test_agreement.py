"""Agreement and consensus orders against values from outside; sources stand in the data."""

import json
from fractions import Fraction
from itertools import combinations, pairwise, permutations, product
from math import factorial

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import stats

from quizzes.grading.agreement import (
    compare_two,
    concordance,
    kappa_of_table,
    mean_tau_b,
    ranks_of,
    votes,
    weighted_kappa,
)
from quizzes.grading.consensus import (
    LISTED,
    borda,
    fitted_cuts,
    kemeny,
    mean_ranks,
    median_cut,
    with_level,
)
from quizzes.grading.cuts import largest_fitting
from tests.grading.helpers import DATA, groups, strict

CASES = {
    case["id"]: case
    for case in json.loads((DATA / "agreement.json").read_text())["cases"]
}
OF_W = [name for name in CASES if name.startswith("W-")]
OF_KEMENY = [name for name, case in CASES.items() if "profile" in case["input"]]


def close(case, name):
    case = CASES[case]
    return pytest.approx(
        case["expected"][name], rel=0, abs=case["tolerance"][name] or 1e-12
    )


def ranked(rows):
    """Ranks from one row of values per mentor, smallest value first."""
    return ranks_of([groups(row) for row in rows], range(len(rows[0])))


def profile(case):
    """Ranks of a case's voters, one row each, and its dogs."""
    rows = CASES[case]["input"]["profile"]
    dogs = sorted(rows[0]["order"])
    orders = [strict(row["order"]) for row in rows for _ in range(row["voters"])]
    return ranks_of(orders, dogs), dogs


def kemeny_of(rows, **more):
    return kemeny(votes(ranked(rows)).above, **more)


class TestConcordance:
    @pytest.mark.parametrize("case", OF_W)
    def test_published(self, case):
        (rows,) = CASES[case]["input"].values()
        assert concordance(ranked(rows)).w == close(case, "W")

    @pytest.mark.parametrize("case", ["W-siegel-castellan", "W-siegel56"])
    def test_small_w_can_hide_contradiction(self, case):
        """Without ties the mean of Spearman's rho over the pairs is (m W - 1) / (m - 1)."""
        (rows,) = CASES[case]["input"].values()
        m = len(rows)
        w = concordance(ranked(rows)).w
        assert (m * w - 1) / (m - 1) == close(case, "mean_spearman")

    @pytest.mark.parametrize(
        "rows", [[(1, 2, 3), (1, 1, 2)], [(1, 2, 3), (1, 2, 2), (1, 1, 2)]]
    )
    def test_mean_over_all_orders(self, rows):
        """Enumerated: every way of handing each mentor's ranks out to the dogs."""
        found = [
            concordance(ranked(list(given)))
            for given in product(*(list(permutations(row)) for row in rows))
        ]
        assert np.mean([one.w for one in found]) == pytest.approx(found[0].by_chance)

    def test_dogs_that_somebody_left_out_do_not_count(self):
        orders = [strict("abcd"), strict("acbd"), strict("abc")]
        found = concordance(ranks_of(orders, "abcd"))
        assert found == concordance(
            ranks_of([strict("abc"), strict("acb"), strict("abc")], "abc")
        )
        assert found.dogs == 3

    @pytest.mark.parametrize(
        "orders", [[], [strict("ab")], [(("a", "b"),)] * 3, [strict("a"), strict("b")]]
    )
    def test_nothing_to_say(self, orders):
        assert concordance(ranks_of(orders, "ab")) is None


values = st.integers(0, 5)


@st.composite
def panels(draw, most_dogs=6, most_mentors=5, least_mentors=2):
    n = draw(st.integers(2, most_dogs))
    row = st.lists(values, min_size=n, max_size=n)
    return draw(st.lists(row, min_size=least_mentors, max_size=most_mentors))


@given(panels(least_mentors=3).filter(lambda rows: len(rows[0]) > 2))
def test_w_is_the_friedman_statistic_scaled(rows):
    """scipy.stats.friedmanchisquare corrects for ties; W is its value over m (n - 1)."""
    m, n = len(rows), len(rows[0])
    assume(any(len(set(row)) > 1 for row in rows))
    statistic = stats.friedmanchisquare(*np.transpose(rows)).statistic
    assert concordance(ranked(rows)).w == pytest.approx(statistic / (m * (n - 1)))


@given(panels(most_mentors=2))
def test_two_mentors_as_scipy_has_them(rows):
    found = compare_two(*ranked(rows))
    tau = stats.kendalltau(*rows).statistic
    if found.tau_b is None:
        assert np.isnan(tau)
    else:
        assert found.tau_b == pytest.approx(tau, abs=1e-12)
    pairs = list(combinations(range(len(rows[0])), 2))
    same = [
        all(
            np.sign(row[i] - row[j]) == np.sign(rows[0][i] - rows[0][j]) for row in rows
        )
        for i, j in pairs
    ]
    assert (found.agreed, found.counted) == (sum(same), len(pairs))
    assert found.share == pytest.approx(np.mean(same))


def test_two_mentors_are_compared_on_the_dogs_that_both_ranked():
    ranks = ranks_of([strict("abcd"), strict("dba")], "abcd")
    found = compare_two(*ranks)
    assert (found.agreed, found.counted, found.tau_b) == (0, 3, -1)


def test_two_mentors_are_compared_on_the_pairs_that_count():
    ranks = ranks_of([strict("abcd"), strict("abdc")], "abcd")
    pairs = np.ones((4, 4), bool)
    pairs[2, 3] = False
    found = compare_two(*ranks, pairs)
    assert (found.agreed, found.counted, found.tau_b) == (5, 5, 1)


def test_mean_tau_b_leaves_out_whoever_has_all_level():
    ranks = ranks_of([strict("abc"), strict("acb"), (("a", "b", "c"),)], "abc")
    assert mean_tau_b(ranks) == pytest.approx(1 / 3)
    assert mean_tau_b(ranks[2:]) is None
    assert compare_two(ranks[0][:1], ranks[1][:1]).share is None


def unanimous(found):
    return [tuple(map(int, pair)) for pair in np.argwhere(np.triu(found.unanimous, 1))]


class TestVotes:
    def test_counts(self):
        orders = [strict("abc"), strict("bac"), (("a", "b"), ("c",)), strict("ca")]
        found = votes(ranks_of(orders, "abc"))
        assert found.above.tolist() == [[0, 1, 3], [1, 0, 3], [1, 0, 0]]
        assert found.asked.tolist() == [[0, 3, 4], [3, 0, 3], [4, 3, 0]]
        assert found.undecided == [(0, 1)]
        assert unanimous(found) == [(1, 2)]

    def test_half_is_no_majority(self):
        found = votes(ranks_of([strict("ab"), (("a", "b"),)], "ab"))
        assert found.undecided == [(0, 1)]
        assert unanimous(found) == []

    def test_all_level_is_agreement(self):
        found = votes(ranks_of([(("a", "b"),)] * 2, "ab"))
        assert (unanimous(found), found.undecided) == ([(0, 1)], [(0, 1)])

    def test_a_pair_that_nobody_ranked_is_no_agreement(self):
        found = votes(ranks_of([strict("a"), strict("b")], "ab"))
        assert (unanimous(found), found.undecided) == ([], [(0, 1)])


class TestKemeny:
    @pytest.mark.parametrize("case", OF_KEMENY)
    def test_published(self, case):
        ranks, dogs = profile(case)
        expected = CASES[case]["expected"]
        found = kemeny(votes(ranks).above)
        orders = ["".join(dogs[at] for at in order) for order in found.orders]
        assert orders == sorted(expected["kemeny_orders"])
        assert found.against == expected["kemeny_distance"]
        assert found.count == len(orders)

    @pytest.mark.parametrize("case", OF_KEMENY)
    def test_borda_scores(self, case):
        """A Borda score is the number of dogs beaten, summed: m (n - mean rank)."""
        ranks, dogs = profile(case)
        m, n = ranks.shape
        scores = {
            dog: m * (n - mean)
            for dog, mean in zip(dogs, mean_ranks(ranks), strict=True)
        }
        assert scores == CASES[case]["expected"]["borda"]

    @given(panels())
    def test_as_all_permutations_say(self, rows):
        above = votes(ranked(rows)).above
        against = {
            order: sum(above[j, i] for i, j in combinations(order, 2))
            for order in permutations(range(len(above)))
        }
        least = min(against.values())
        best = sorted(order for order, n in against.items() if n == least)
        found = kemeny(above)
        assert (found.against, found.count) == (least, len(best))
        assert list(found.orders) == best[:LISTED]

    @given(panels(), st.integers(1, 5))
    def test_first_places_only(self, rows, places):
        above = votes(ranked(rows)).above
        whole = {
            order: sum(above[j, i] for i, j in combinations(order, 2))
            for order in permutations(range(len(above)))
        }
        least = min(whole.values())
        best = sorted({order[:places] for order, n in whole.items() if n == least})
        found = kemeny(above, places=places)
        assert list(found.orders) == best[:LISTED]
        assert found.count == len(best)

    @given(panels())
    def test_no_neighbours_go_against_a_majority(self, rows):
        found = votes(ranked(rows))
        for order in kemeny(found.above).orders:
            for upper, lower in pairwise(order):
                assert not found.has_majority[lower, upper]

    def test_twelve_dogs_of_whom_nothing_is_said(self):
        found = kemeny(np.zeros((12, 12), np.int64))
        assert (found.count, len(found.orders)) == (factorial(12), LISTED)

    def test_thirteen_dogs_are_too_many(self):
        with pytest.raises(ValueError, match="12 dogs"):
            kemeny(np.zeros((13, 13), np.int64))

    def test_no_dog(self):
        assert kemeny(np.zeros((0, 0), np.int64)).orders == ((),)


class TestBorda:
    @given(panels())
    def test_mean_of_scipys_midranks(self, rows):
        means = np.mean([stats.rankdata(row) for row in rows], axis=0)
        assert [float(mean) for mean in mean_ranks(ranked(rows))] == pytest.approx(
            list(means)
        )

    def test_a_dog_is_measured_by_the_pairs_it_was_in(self):
        """c beat both others of the one mentor who ranked it, and is first with a."""
        ranks = ranks_of([strict("ab"), strict("ab"), strict("cab")], "abcd")
        assert mean_ranks(ranks) == [
            1 + Fraction(3 * 1, 4),
            1 + Fraction(3 * 4, 4),
            1,
            None,
        ]

    def test_order_in_groups(self):
        means = [Fraction(2), Fraction(3, 2), None, Fraction(2)]
        assert borda(means) == ((1,), (0, 3), (2,))


class TestLevel:
    def test_dogs_without_a_majority_are_level(self):
        found = votes(ranks_of([strict("abc"), strict("bac")], "abc"))
        assert with_level((0, 1, 2), found) == ((0, 1), (2,))

    def test_not_with_a_dog_that_most_have_higher(self):
        orders = [strict("abc"), strict("acb"), strict("bac"), (("a", "b", "c"),)]
        orders += [strict("acb"), strict("bac")]
        found = votes(ranks_of(orders, "abc"))
        assert found.undecided == [(0, 1), (1, 2)]
        assert with_level((0, 1, 2), found) == ((0, 1), (2,))

    @given(panels())
    def test_no_majority_inside_a_group(self, rows):
        found = votes(ranked(rows))
        for group in with_level(kemeny(found.above).orders[0], found):
            for one, other in combinations(sorted(group), 2):
                assert (one, other) in found.undecided


class TestCuts:
    @pytest.mark.parametrize(
        ("distances", "cut"),
        [([], None), ([4], 4), ([2, 6], 2), ([7, 1, 5], 5), ([-3, -1, 2], 1)],
    )
    def test_median(self, distances, cut):
        assert median_cut(distances) == cut

    @given(st.lists(st.integers(1, 20), min_size=1, max_size=5))
    def test_fitted_cuts_fit(self, cuts):
        sizes = [1] * (len(cuts) + 1)
        fitted = fitted_cuts(sizes, cuts)
        most = largest_fitting(sizes, fitted)
        assert all(1 <= cut <= room for cut, room in zip(fitted, most, strict=True))
        assert all(cut <= wish for cut, wish in zip(fitted, cuts, strict=True))

    def test_what_fits_stays(self):
        assert fitted_cuts((1, 1, 1, 1), (5, 5, 5)) == (5, 5, 5)
        # A reversal of four loses 3, 4 and 3 times the cuts, of 50 points.
        assert fitted_cuts((1, 1, 1, 1), (8, 8, 1)) == (6, 7, 1)

    def test_a_class_too_large_for_cuts(self):
        assert fitted_cuts((1,) * 8, (1,) * 7) is None


class TestKappa:
    def test_published_weights(self):
        given = CASES["kappa-cohen"]["input"]
        table = np.array(given["table"], float)
        for weights, name in (
            ("disagreement_weights", "kappa_weighted"),
            ("asymmetric_weights", "kappa_weighted_asymmetric"),
        ):
            found = kappa_of_table(table, np.array(given[weights], float))
            assert found == close("kappa-cohen", name)
            assert found == close("kappa-cohen", f"{name}_printed")

    @pytest.mark.parametrize("case", ["kappa-cohen", "kappa-vcd", "kappa-anxiety"])
    @pytest.mark.parametrize(
        ("weights", "name"),
        [
            ("none", "kappa"),
            ("linear", "kappa_linear"),
            ("quadratic", "kappa_quadratic"),
        ],
    )
    def test_published(self, case, weights, name):
        first, second, steps = marks(CASES[case]["input"])
        found = weighted_kappa(first, second, steps=steps, weights=weights)
        assert found == close(case, name)

    def test_two_by_two(self):
        first, second, steps = marks(CASES["kappa-wiki-grants"]["input"])
        for weights in ("none", "linear", "quadratic"):
            assert weighted_kappa(
                first, second, steps=steps, weights=weights
            ) == pytest.approx(0.4)

    @pytest.mark.parametrize("marked", [[], [2, 2, 2]])
    def test_no_room_beyond_chance(self, marked):
        assert weighted_kappa(marked, marked, steps=4) is None

    def test_refusals(self):
        with pytest.raises(ValueError, match="same things"):
            weighted_kappa([1], [1, 2], steps=4)
        with pytest.raises(ValueError, match="from 0 to 3"):
            weighted_kappa([4], [1], steps=4)


def marks(given):
    """Two lists of marks from 0 up, and the steps of the scale."""
    if "table" not in given:
        both = [given["rater1"], given["rater2"]]
        return *([mark - 1 for mark in row] for row in both), 6
    cells = [
        (i, j)
        for i, row in enumerate(given["table"])
        for j, count in enumerate(row)
        for _ in range(count)
    ]
    return *map(list, zip(*cells, strict=True)), len(given["table"])
