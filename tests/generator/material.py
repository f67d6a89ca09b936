"""A module to make classes from, modules of any form, and short ways to ask for a class."""

import json
from pathlib import Path

from hypothesis import strategies as st

from quizzes.generator import ModuleFault, Priority, Wish, make_class
from quizzes.plates import BREEDS, FAULTS

FIXTURES = Path(__file__).parents[2] / "fixtures" / "marlefell-drover"
MODULE = json.loads((FIXTURES / "module.json").read_text(encoding="utf-8"))
BY_HAND = {"coat", "ribs"}
BREED = "marlefell-drover"
DIFFICULTIES = ("plain", "middling", "close")

PRIORITIES = tuple(
    Priority(
        row["slug"],
        row["name"],
        row["weight"],
        tuple(row["phrases"]),
        tuple(row["plate"]),
        row["slug"] in BY_HAND,
    )
    for row in MODULE["priorities"]
)
MODULE_FAULTS = tuple(
    ModuleFault(row["name"], row["ruling"], row["description"])
    for row in MODULE["faults"]
)


def wish(size=5, difficulty="middling", seed=1, **more):
    given = {"sex": "dog", "class_name": "Open dogs", "breed": BREED, **more}
    return Wish(size=size, difficulty=difficulty, seed=seed, **given)


def made(*args, faults=MODULE_FAULTS, **kwargs):
    """A class from the demo's module."""
    return make_class(PRIORITIES, wish(*args, **kwargs), faults=faults)


def by_id(content):
    return {dog["id"]: dog for dog in content["dogs"]}


def weighted(priorities, dog):
    """The dog's merit, worked out without the generator's own arithmetic."""
    return sum(p.weight * dog["levels"][p.slug] for p in priorities)


ADJECTIVES = ("poor", "rather poor", "fair", "a little short of good", "good")


@st.composite
def modules(draw):
    """Priorities of any number, weights and ties to faults."""
    count = draw(st.integers(1, 9))
    codes = st.lists(st.sampled_from(sorted(FAULTS)), max_size=3, unique=True)
    return tuple(
        Priority(
            f"p{at}",
            f"Part {'abcdefghi'[at]}",
            draw(st.integers(1, 40)),
            tuple(f"part {'abcdefghi'[at]} {word}" for word in ADJECTIVES),
            tuple(draw(codes)),
            draw(st.booleans()),
        )
        for at in range(count)
    )


@st.composite
def wishes(draw):
    size = draw(st.integers(3, 12))
    odd = draw(st.sampled_from([None, "disqualified", "excused"]))
    return wish(
        size,
        draw(st.sampled_from(DIFFICULTIES)),
        draw(st.integers(0, 10**9)),
        sex=draw(st.sampled_from(["dog", "bitch", "mixed"])),
        breed=draw(st.sampled_from([*sorted(BREEDS), "not-drawn"])),
        places=draw(st.none() | st.integers(1, size - bool(odd))),
        odd_one=odd,
        either_below=draw(st.sampled_from([0.0, 0.0, 0.6])),
    )
