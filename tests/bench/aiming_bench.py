"""Do classes that are aimed bring a trainee's weights nearer to the mentor's in fewer classes?

Simulated trainees of known weights place classes of six with the standard trainee's errors. After each
class they read what the result page says of the pairs they had otherwise, and move the weight of the
priority that such a pair turned on a little toward the mentor's. One half of the runs takes the class that
the site would aim, the other any class of the same difficulty; both meet the same trainees.

python -m tests.bench.aiming_bench [trainees] [classes]
"""

import random
import sys
import time

import numpy as np

from quizzes.generator import Priority, Wish, levels_of
from quizzes.generator.levels import deciding
from quizzes.grading.implied import NoMaximum, Ranking, Share, enough, fit, shares
from quizzes.review.aiming import HELD, LATEST, best, typical

MENTOR = (26, 20, 16, 13, 10, 8, 7)
SIZE, CANDIDATES = 6, 8
LEARNT = 0.06
"""How far one explained pair moves a weight toward the mentor's."""

PRIORITIES = tuple(
    Priority(f"p{n}", f"P{n}", weight, ("a", "b", "c", "d", "e"))
    for n, weight in enumerate(MENTOR)
)


def classes(seed, count):
    """Levels of that many classes, best dog first."""
    rng = random.Random(seed)
    wishes = (
        Wish(
            SIZE,
            rng.choice(("plain", "middling")),
            "dog",
            "Open",
            "",
            rng.getrandbits(40),
        )
        for _ in range(count)
    )
    return [levels_of(PRIORITIES, wish).levels for wish in wishes]


def placed(levels, weights, rng):
    """The order of somebody who sees each level with an error."""
    seen = (levels + rng.standard_normal(levels.shape)) @ weights
    return np.argsort(-seen)


def learn(weights, levels, order):
    """Each pair that came out otherwise moves the weight that the mentor's reason names."""
    place = np.argsort(order)
    for upper in range(SIZE):
        for lower in range(upper + 1, SIZE):
            if place[upper] > place[lower]:
                at = deciding(levels[upper].tolist(), levels[lower].tolist(), MENTOR)
                if at >= 0:
                    weights[at] += LEARNT * (MENTOR[at] - weights[at])
    return 100 * weights / weights.sum()


def believed(done) -> list[float] | None:
    """The trainee's weights as the site estimates them; None where no departure can be told."""
    latest = done[-LATEST:]
    if not enough(latest):
        return None
    try:
        toward = typical(list(MENTOR)).tolist()
        parts = shares(fit(latest, toward=toward, strength=HELD))
    except (NoMaximum, ValueError):
        return None
    told = any(Share.departs(part, m) for part, m in zip(parts, MENTOR, strict=True))
    return [part.share for part in parts] if told else None


def away(weights) -> float:
    """Half the summed differences from the mentor's weights, in per cent."""
    return float(np.abs(weights - np.array(MENTOR)).sum() / 2)


def run(trainee, count, *, aimed):
    """The distance from the mentor's weights before each class and after the last."""
    rng = np.random.default_rng(trainee)
    weights = 100 * rng.dirichlet(np.full(len(MENTOR), 1.2))
    done, path = [], [away(weights)]
    for n in range(count):
        offered = classes(f"{trainee}-{n}", CANDIDATES if aimed else 1)
        own = believed(done) if aimed else None
        levels = offered[best(offered, MENTOR, own) if own else 0]
        order = placed(levels, weights, rng)
        done.append(Ranking(levels[order].astype(float)))
        weights = learn(weights, levels, order)
        path.append(away(weights))
    return path


def until(path, part) -> int:
    """Classes until only that part of the distance is left; one more than all where it never is."""
    goal = path[0] * part
    return next((n for n, at in enumerate(path) if at <= goal), len(path))


def main(trainees=24, count=40):
    began = time.perf_counter()
    runs = {
        name: [run(n, count, aimed=aimed) for n in range(trainees)]
        for name, aimed in (("aimed", True), ("any", False))
    }
    print(
        f"{trainees} trainees, {count} classes of {SIZE} each, {time.perf_counter() - began:.0f} s"
    )
    for name, paths in runs.items():
        ends = [path[-1] for path in paths]
        print(
            f"{name:>6}: from {np.mean([p[0] for p in paths]):.1f} to {np.mean(ends):.1f} % away; "
            f"classes until half the way {np.mean([until(p, 0.5) for p in paths]):.1f}, "
            f"three quarters {np.mean([until(p, 0.25) for p in paths]):.1f}"
        )
    saved = [
        until(b, 0.5) - until(a, 0.5)
        for a, b in zip(runs["aimed"], runs["any"], strict=True)
    ]
    error = np.std(saved, ddof=1) / np.sqrt(len(saved))
    print(
        f"classes saved until half the way: {np.mean(saved):.1f}, "
        f"95 % interval {np.mean(saved) - 1.96 * error:.1f} to {np.mean(saved) + 1.96 * error:.1f}"
    )


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
