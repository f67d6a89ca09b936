"""Print how far off the staircase's estimates are for observers whose threshold is known.

Run it with ``python -m tests.bench.staircase_bench``. bias: geometric mean of estimate to truth; spread: standard
deviation of its logarithm; covered: how many of 100 intervals hold the truth; reversals: the bias that the mean of
the reversals would have (Levitt's estimate), for comparison.
"""

from quizzes.grading.staircase import Plan
from tests.grading.observers import flat, normal, slipping, steep, told

RUNS = 400


def main():
    print("down pairs observer  threshold   bias spread covered  reversals")
    for down in (2, 3):
        plan = Plan(12.0, 0.25, down)
        for trials in (20, 36):
            for curve in (normal, slipping, steep, flat):
                for limit in (1.0, 3.0, 6.0, 9.0):
                    seed = round(1000 * limit) + trials
                    one = told(curve, limit, plan, trials=trials, runs=RUNS, seed=seed)
                    print(
                        f"{down:4} {trials:5} {curve.__name__:9} {limit:9.1f} {one.bias:7.2f}"
                        f" {one.spread:6.2f} {100 * one.covered:7.0f} {one.turning:10.2f}"
                    )


if __name__ == "__main__":
    main()
