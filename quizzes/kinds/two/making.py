"""The two dogs of a pair: they differ by so much in what is asked, and in nothing else.

Everything follows from the attempt's seed and the number of the pair, so a pair is the same however often it is
asked for. Strengths of faults are whole hundredths, so that plates are found again on disk.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from random import Random

from quizzes import plates
from quizzes.drawing.amounts import value_of
from quizzes.drawing.sketch import SEXES, Sketch
from quizzes.kinds.two.content import PairsContent, Part
from quizzes.plates.parts import measured_by

WHOLE = 100
TRIES = 12
MIDDLE, SCATTER = (0.2, 0.8), 0.45


@dataclass(frozen=True)
class Pair:
    """Two dogs as they stand, first and second.

    better : which of them is better, 0 or 1
    difference : by how much, in the unit of the exercise, as drawn
    """

    dogs: tuple[Sketch, Sketch]
    better: int
    difference: float


@lru_cache(maxsize=64)
def curve(breed: str, build: tuple, code: str) -> tuple[float, ...]:
    """What the fault's measurement is at each strength from 0 to 100; ratios in per cent."""
    name = measured_by(code)
    sketches = (
        Sketch(breed=breed, build=dict(build), faults={code: part / WHOLE})
        for part in range(WHOLE + 1)
    )
    found = [plates.measure(sketch.dog)[name] for sketch in sketches]
    return tuple(value_of(one) for one in found)


@lru_cache(maxsize=64)
def reach(values: tuple[float, ...]) -> tuple[float, ...]:
    """How far each strength lies from none, up to the first that lies farthest."""
    away = [abs(value - values[0]) for value in values]
    farthest = max(away)
    last = next(at for at, one in enumerate(away) if one > farthest - 1e-9)
    return tuple(away[: last + 1])


def pair(content: PairsContent, seed: str, number: int, wanted: float) -> Pair:
    """The pair of that number, with about the wanted difference."""
    rng = Random(f"{seed}/{number}")
    better = rng.randrange(2)
    look = {
        "breed": content.breed,
        "build": dict(content.build),
        "sex": rng.choice(SEXES),
        "coat_seed": rng.randrange(1, 5000),
        "mirror": rng.random() < 0.5,
    }
    draw = _over_all if content.over_all else _on_one
    good, bad, difference = draw(content, rng, wanted)
    dogs = [Sketch(**look, faults=faults) for faults in (good, bad)]
    first, second = dogs if better == 0 else reversed(dogs)
    return Pair((first, second), better, difference)


def _on_one(content: PairsContent, rng: Random, wanted: float):
    """Both have the fault; where on its range the pair lies is left to chance."""
    (part,) = content.of
    build = tuple(sorted(content.build.items()))
    away = reach(curve(content.breed, build, part.code))
    start = rng.random() * max(away[-1] - wanted, 0.0)
    good = _nearest(away, start, range(len(away) - 1))
    bad = _nearest(away, away[good] + wanted, range(good + 1, len(away)))
    faults = ({part.code: at / WHOLE} if at else {} for at in (good, bad))
    return (*faults, round(away[bad] - away[good], 3))


def _nearest(away: Sequence[float], value: float, among: range) -> int:
    return min(among, key=lambda at: abs(away[at] - value))


def _over_all(content: PairsContent, rng: Random, wanted: float):
    """Each is better in something; the weights decide by the wanted points of 100."""
    parts, scatter = content.of, SCATTER
    for _ in range(TRIES):
        middles = [rng.uniform(*MIDDLE) for _ in parts]
        apart = _apart(parts, [rng.uniform(-scatter, scatter) for _ in parts], wanted)
        good, bad = (_strengths(parts, middles, apart, sign) for sign in (-0.5, 0.5))
        if good and bad and (points := _points(parts, good, bad)) > 0:
            return good, bad, points
        scatter *= 0.8
    level = [wanted / WHOLE] * len(parts)
    good, bad = (
        _strengths(parts, [0.5] * len(parts), level, sign) for sign in (-0.5, 0.5)
    )
    return good, bad, _points(parts, good, bad)


def _apart(parts: Sequence[Part], steps: Sequence[float], wanted: float) -> list[float]:
    """Steps between the two dogs, moved together so that they weigh what is wanted."""
    weighed = sum(part.weight * step for part, step in zip(parts, steps, strict=True))
    shift = (wanted - weighed) / WHOLE
    return [step + shift for step in steps]


def _strengths(parts, middles, apart, sign) -> dict[str, float] | None:
    """Each fault's strength in one of the dogs; None if one lies out of reach."""
    rows = zip(parts, middles, apart, strict=True)
    found = {part.code: round(at + sign * step, 2) for part, at, step in rows}
    if not all(0 <= strength <= 1 for strength in found.values()):
        return None
    return {code: strength for code, strength in found.items() if strength}


def _points(parts: Sequence[Part], good: dict, bad: dict) -> float:
    gains = (
        part.weight * (bad.get(part.code, 0) - good.get(part.code, 0)) for part in parts
    )
    return round(sum(gains), 3)
