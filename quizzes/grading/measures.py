"""Rank statistics of many answers against one key, from the sums over their pairs.

Every function takes the ``Plan`` of the key and the ``Sums`` of m answers and returns
an array of shape (m,). Unplaced dogs are level below all placed ones, on both sides.
nan marks a value that is undefined: nothing to compare, or one side entirely level.
Each value is one correctly rounded division or root of exact whole numbers, so it does
not depend on how many answers are graded at once.
"""

from __future__ import annotations

import numpy as np

from quizzes.grading.cuts import FULL_SCORE
from quizzes.grading.pairs import Floats, Plan, Sums

SEPARATED, LEVEL, CUT, VIGNA, VIGNA_LEVEL = range(5)


def agreed_and_counted(sums: Sums, row: int = SEPARATED) -> tuple[Floats, Floats]:
    """Return the weight of pairs agreed (half pairs: half) and of pairs that count."""
    half = sums.level[row] - sums.undecided[row]
    return sums.ahead[row] + half / 2, sums.ahead[row] + sums.behind[row] + half


def share(sums: Sums, row: int = SEPARATED) -> Floats:
    """Return the share of counted pairs in the mentor's order; random orders have half.

    With ``row=CUT`` every pair weighs the sum of the cuts between its dogs (a
    position-weighted Kendall distance; Kumar, R. & Vassilvitskii, S. (2010).
    Generalized distances between rankings. WWW 2010, 571-580).
    """
    return _ratio(*agreed_and_counted(sums, row))


def score(sums: Sums) -> Floats:
    """Return fifty less the cut of every reversed pair, half the cut of a half pair."""
    agreed, counted = agreed_and_counted(sums, CUT)
    undefined = agreed_and_counted(sums)[1] == 0
    return np.where(undefined, np.nan, FULL_SCORE - (counted - agreed))


def tau_b(plan: Plan, sums: Sums) -> Floats:
    """Return Kendall's tau-b; pairs level on one side only pull it towards 0.

    Kendall, M. G. (1945). The treatment of ties in ranking problems. Biometrika 33(3),
    239-251.
    """
    return _correlation(plan, sums, SEPARATED, LEVEL)


def weighted_tau(plan: Plan, sums: Sums) -> Floats:
    """Return Vigna's weighted tau, additive hyperbolic, ranked by place in the key.

    A pair weighs 1/place + 1/place, so that errors near the top of the key cost more.
    Dogs level in the key share a place and the next ones have the next (1, 2, 2, 3), as
    for ``scipy.stats.weightedtau`` with the key's places as its ``rank``.

    Vigna, S. (2015). A weighted correlation index for rankings with ties. WWW 2015,
    1166-1176.
    """
    return _correlation(plan, sums, VIGNA, VIGNA_LEVEL)


def tau_x(plan: Plan, sums: Sums) -> Floats:
    """Return tau-x, for which level on both sides is agreement.

    Emond, E. J. & Mason, D. W. (2002). A new rank correlation coefficient with
    application to the consensus ranking problem. Journal of Multi-Criteria Decision
    Analysis 11(1), 17-28.
    """
    agreed = sums.ahead[SEPARATED] - sums.behind[SEPARATED] + sums.level[LEVEL]
    return _ratio(agreed, np.full_like(agreed, len(plan.upper)))


def rho(plan: Plan, sums: Sums) -> Floats:
    """Return Spearman's rho.

    It is Pearson's correlation of the midranks; the shortcut by d squared is wrong as
    soon as there are ties.

    Spearman, C. (1904). The proof and measurement of association between two things.
    American Journal of Psychology 15(1), 72-101.
    """
    squares = (sums.ranks**2).sum(axis=0) * (plan.ranks**2).sum()
    return _ratio(plan.ranks @ sums.ranks, np.sqrt(squares))


def places_moved(plan: Plan, sums: Sums) -> Floats:
    """Return Spearman's footrule on midranks: places between answer and key, summed.

    Diaconis, P. & Graham, R. L. (1977). Spearman's footrule as a measure of disarray.
    Journal of the Royal Statistical Society B 39(2), 262-268. With ties: Fagin et al.
    (2006), see ``pairs``.
    """
    moved = np.abs(sums.ranks - plan.ranks[:, np.newaxis]).sum(axis=0) / 2
    return moved if len(plan.ranks) > 1 else np.full_like(moved, np.nan)


def _correlation(plan: Plan, sums: Sums, separated: int, level: int) -> Floats:
    """Return weight in key order less weight reversed, over what the sides separate."""
    by_key = plan.weights[separated].sum()
    rows = [separated, level]
    by_answer = sums.ahead[rows].sum(axis=0) + sums.behind[rows].sum(axis=0)
    return _ratio(
        sums.ahead[separated] - sums.behind[separated], np.sqrt(by_key * by_answer)
    )


def _ratio(part: Floats, whole: Floats) -> Floats:
    ratio = np.full(np.shape(whole), np.nan)
    np.divide(part, whole, out=ratio, where=whole != 0)
    return ratio
