"""What a plate costs: time by stage, and size plain and compressed. Run: python -m tests.bench.plates_bench"""

import gzip
import sys
from collections.abc import Callable
from time import process_time

from quizzes.plates import BREEDS, conformation, draw, measure, outline, overlay
from quizzes.plates.contours import side_shape
from quizzes.plates.layers import scene
from quizzes.plates.profile import head_layers
from quizzes.plates.side import paint_far_legs, paint_foreleg, paint_tail, paint_trunk
from quizzes.plates.surface import body_bumps
from quizzes.plates.svg import Drawing
from quizzes.plates.themes import GRAINS, THEMES

RUNS = 40


def best(work: Callable[[], object], runs: int = RUNS) -> float:
    """Least processor time of several runs, in milliseconds."""
    found = []
    for _ in range(runs):
        start = process_time()
        work()
        found.append(process_time() - start)
    return 1000 * min(found)


def yardstick() -> float:
    """Milliseconds for a million additions, to compare machines."""

    def add() -> int:
        total = 0
        for k in range(1_000_000):
            total += k
        return total

    return best(add, 5)


def print_plates() -> None:
    """Time and size of every breed in every view."""
    print(f"{'breed':22}{'view':7}{'size':7}{'ms':>7}{'kB':>8}{'kB gz':>8}")
    for slug in BREEDS:
        dog = conformation(slug, seed=1)
        for view, size in (
            ("side", "thumb"),
            ("side", "card"),
            ("side", "large"),
            ("front", "card"),
            ("rear", "card"),
            ("top", "card"),
            ("head", "card"),
        ):
            text = draw(dog, view, size=size).encode()
            spent = best(
                lambda dog=dog, view=view, size=size: draw(dog, view, size=size)
            )
            print(
                f"{slug:22}{view:7}{size:7}{spent:7.1f}{len(text) / 1000:8.1f}{len(gzip.compress(text)) / 1000:8.1f}"
            )


def print_stages(slug: str) -> None:
    """Where the time of a side plate goes."""
    dog = conformation(slug, seed=1)
    theme, grain = THEMES["light"], GRAINS["card"]
    made, bumps = scene(dog, theme, grain), body_bumps(dog)

    def layer(paint: Callable[..., None], *more: object) -> Callable[[], None]:
        def work() -> None:
            drawing = Drawing(theme, "")
            paint(made, drawing, *more)
            drawing.content()

        return work

    stages = {
        "landmarks": lambda: conformation(slug, seed=1),
        "measurements": lambda: measure(dog),
        "contours": lambda: side_shape(dog.side, dog.params),
        "bumps": lambda: body_bumps(dog),
        "far legs": layer(paint_far_legs),
        "tail": layer(paint_tail),
        "trunk": layer(paint_trunk, bumps),
        "foreleg": layer(paint_foreleg, bumps),
        "head": layer(head_layers),
        "outline": lambda: outline(dog),
        "overlay": lambda: overlay(dog, dog),
    }
    print(f"\n{slug}, side, card, stage by stage")
    for name, work in stages.items():
        print(f"  {name:14}{best(work):7.2f} ms")


def main() -> None:
    """Print everything."""
    print(
        f"A million additions take {yardstick():.0f} ms here; {sys.version.split()[0]}"
    )
    print_plates()
    for slug in ("unnamed-dog", "marlefell-drover"):
        print_stages(slug)


if __name__ == "__main__":
    main()
