"""Time what the page of a closed panel computes: twelve dogs, twenty mentors.

Run it with ``python -m tests.bench.panel_bench``. The exact consensus order is timed for
mentors who disagree at random, and for the worst case, in which every order is as good.
"""

from time import perf_counter

import numpy as np

from quizzes.grading.agreement import concordance, mean_tau_b, votes
from quizzes.grading.consensus import kemeny, mean_ranks

DOGS, MENTORS = 12, 20


def timed(what, work):
    start = perf_counter()
    result = work()
    print(f"{what:38} {1000 * (perf_counter() - start):7.1f} ms")
    return result


def main():
    rng = np.random.default_rng(1)
    places = np.tile(np.arange(1.0, DOGS + 1), (MENTORS, 1))
    ranks = rng.permuted(places, axis=1)
    print(f"{DOGS} dogs, {MENTORS} mentors")
    found = timed("votes on every pair", lambda: votes(ranks))
    timed("Kendall's W", lambda: concordance(ranks))
    timed("mean tau-b over all pairs of mentors", lambda: mean_tau_b(ranks))
    timed("Borda", lambda: mean_ranks(ranks))
    best = timed("all Kemeny orders, random mentors", lambda: kemeny(found.above))
    print(f"  {best.count} of them, {best.against} votes against")
    level = timed(
        "all Kemeny orders, nobody decided", lambda: kemeny(np.zeros_like(found.above))
    )
    print(f"  {level.count:,} of them")


if __name__ == "__main__":
    main()
