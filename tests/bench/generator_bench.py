"""Time the making of classes, alone and with the plates of their dogs.

Run it with ``python -m tests.bench.generator_bench [classes] [classes with plates]``. The
plates of a breed's dogs are drawn as the site draws them: one frame for all dogs of a
class, card size, light; a head study of each dog where the class needs it.
"""

import sys
from collections import Counter
from time import perf_counter

from quizzes import plates
from quizzes.generator import make_class, needs_head_study, overrule, twin
from quizzes.generator.wishes import Changes
from tests.generator.material import (
    BREED,
    DIFFICULTIES,
    MODULE_FAULTS,
    PRIORITIES,
    wish,
)

DOGS = 8


def classes(count):
    for seed in range(count):
        asked = wish(DOGS, DIFFICULTIES[seed % 3], seed, sex="mixed")
        yield make_class(PRIORITIES, asked, faults=MODULE_FAULTS)


def plates_of(content):
    """(side plates, head studies) of a class as SVG text."""
    dogs = [
        plates.conformation(BREED, dog["faults"], dog["sex"], dog["coat_seed"])
        for dog in content["dogs"]
    ]
    box = plates.view_box(dogs)
    sides = [plates.draw(dog, box=box) for dog in dogs]
    heads = needs_head_study(content["dogs"])
    return sides, [plates.draw(dog, "head") for dog in dogs if heads]


def timed(work, items):
    start = perf_counter()
    results = [work(item) for item in items]
    return (perf_counter() - start) / max(len(results), 1), results


def alone(count):
    start = perf_counter()
    made = list(classes(count))
    each = (perf_counter() - start) / count
    print(f"{count} classes of {DOGS} dogs, without plates: {1000 * each:.1f} ms each")
    for difficulty, first in zip(DIFFICULTIES, range(3), strict=True):
        shares = [one.difficulty_measured for one in made[first::3]]
        low, high = min(shares), max(shares)
        mean = sum(shares) / len(shares)
        print(
            f"  {difficulty:9} expected share {mean:.3f}, from {low:.3f} to {high:.3f}"
        )
    notes = Counter(note for one in made for note in one.notes)
    for note, times in notes.most_common():
        print(f"  {times} times: {note}")
    return made


def with_plates(made):
    each, drawn = timed(lambda one: plates_of(one.content), made)
    sides = [len(svg) for one in drawn for svg in one[0]]
    heads = [len(svg) for one in drawn for svg in one[1]]
    print(
        f"{len(made)} classes of {DOGS} dogs, their plates: {1000 * each:.0f} ms each,"
        f" {1000 * each / DOGS:.1f} ms a dog"
    )
    print(f"  side plate {sum(sides) / len(sides) / 1000:.1f} kB", end="")
    if heads:
        print(f", head study {sum(heads) / len(heads) / 1000:.1f} kB", end="")
    print()


def changed(made):
    each, _twins = timed(
        lambda one: twin(one.content, one.key, "again", PRIORITIES), made
    )
    print(f"a twin: {1000 * each:.2f} ms")
    each, _others = timed(
        lambda one: overrule(
            PRIORITIES,
            one.content,
            one.key,
            Changes(levels={one.key["order"][0]: {"back": 0}}),
        ),
        made,
    )
    print(f"one level overruled: {1000 * each:.2f} ms")


def main():
    counts = [int(given) for given in sys.argv[1:]] + [1000, 1000][len(sys.argv) - 1 :]
    made = alone(counts[0])
    changed(made[:200])
    with_plates(made[: counts[1]])


if __name__ == "__main__":
    main()
