"""The same figures once more, straight from their definitions, slowly and exactly.

Nothing here is shared with the package but the plain values that go in.
"""

from fractions import Fraction
from itertools import combinations
from math import sqrt

REVERSED, AGREED, HALF, OPEN, UNDECIDED = range(5)


def places(order, ring):
    """Smallest place of each dog among the ring; unplaced dogs come last, level."""
    found, place = {}, 1
    for group in order:
        here = [dog for dog in group if dog in ring]
        found |= dict.fromkeys(here, place)
        place += len(here)
    return {dog: found.get(dog, place) for dog in ring}, found


def verdicts(key, answer):
    """What becomes of each pair, by the table in ``quizzes.grading.pairs``."""
    mentor, _ = places(key.order, key.ring)
    trainee, placed = places(answer.order, key.ring)
    for upper, lower in combinations(key.ring, 2):
        if mentor[upper] == mentor[lower]:
            yield upper, lower, OPEN
        elif upper not in placed and lower not in placed:
            yield upper, lower, HALF if key.bucket else UNDECIDED
        elif trainee[upper] == trainee[lower]:
            yield upper, lower, HALF
        else:
            yield upper, lower, int(trainee[upper] < trainee[lower])


def shares(key, answer, weigh=lambda upper, lower: 1):
    """Weight agreed and weight counted, as exact fractions."""
    agreed = counted = Fraction(0)
    for upper, lower, verdict in verdicts(key, answer):
        if verdict in (REVERSED, AGREED, HALF):
            weight = Fraction(weigh(upper, lower))
            counted += weight
            agreed += weight * {REVERSED: 0, AGREED: 1, HALF: Fraction(1, 2)}[verdict]
    return agreed, counted


def cut_between(key):
    """The sum of the cuts between two dogs."""
    depth, below = {}, 0
    gaps = [*(key.cuts or [0] * len(key.order)), 0, 0]
    for group, gap in zip([*key.order, key.bucket], gaps, strict=False):
        depth |= dict.fromkeys(group, below)
        below += gap
    return lambda upper, lower: depth[lower] - depth[upper]


def sign(number):
    return (number > 0) - (number < 0)


def figures(key, answer):
    """Correlations and the footrule, None where undefined."""
    mentor, _ = places(key.order, key.ring)
    trainee, _ = places(answer.order, key.ring)
    pairs = list(combinations(key.ring, 2))

    levels = sorted(set(mentor.values()))
    weight = {dog: Fraction(1, 1 + levels.index(mentor[dog])) for dog in key.ring}

    def correlate(weigh):
        both = ours = theirs = Fraction(0)
        for i, j in pairs:
            a, b = sign(mentor[i] - mentor[j]), sign(trainee[i] - trainee[j])
            both += weigh(i, j) * a * b
            ours += weigh(i, j) * a * a
            theirs += weigh(i, j) * b * b
        return float(both) / sqrt(ours * theirs) if ours * theirs else None

    return {
        "tau_b": correlate(lambda i, j: 1),
        "weighted_tau": correlate(lambda i, j: weight[i] + weight[j]),
        "tau_x": tau_x(mentor, trainee, key.ring),
        "rho": pearson(midranks(mentor), midranks(trainee)),
        "places_moved": moved(midranks(mentor), midranks(trainee)),
    }


def tau_x(mentor, trainee, ring):
    """Emond and Mason's score matrices, written out."""
    total = 0
    for i in ring:
        for j in ring:
            if i != j:
                ours = 1 if mentor[i] <= mentor[j] else -1
                total += ours * (1 if trainee[i] <= trainee[j] else -1)
    return total / (len(ring) * (len(ring) - 1)) if len(ring) > 1 else None


def midranks(place):
    """Mean place of each dog's tie group."""
    values = list(place.values())
    return [
        sum(v < mine for v in values) + Fraction(1 + values.count(mine), 2)
        for mine in values
    ]


def pearson(x, y):
    mean_x, mean_y = sum(x) / len(x), sum(y) / len(y)
    top = sum((a - mean_x) * (b - mean_y) for a, b in zip(x, y, strict=True))
    squares = sum((a - mean_x) ** 2 for a in x) * sum((b - mean_y) ** 2 for b in y)
    return float(top) / sqrt(squares) if squares else None


def moved(x, y):
    total = sum(abs(a - b) for a, b in zip(x, y, strict=True))
    return float(total) if len(x) > 1 else None
