"""Random keys and answers of every kind: ties, unplaced dogs, rulings, cuts."""

from hypothesis import strategies as st

from quizzes.grading import RULINGS, Answer, Key, KeyProblem
from tests.grading.helpers import groups


@st.composite
def keys(draw, smallest=1, largest=8):
    """A key of so many dogs in the ring and up to two ruled out."""
    n = draw(st.integers(smallest, largest))
    levels = draw(st.lists(st.integers(0, n - 1), min_size=n, max_size=n))
    order = groups(levels)
    kept = draw(st.integers(1, len(order)))
    rest = [dog for group in order[kept:] for dog in group]
    withheld = draw(st.sets(st.sampled_from(rest))) if rest else set()
    rulings = dict.fromkeys(withheld, "withheld")
    for dog in range(n, n + draw(st.integers(0, 2))):
        rulings[dog] = draw(st.sampled_from(RULINGS[:3]))
    unplaced = tuple(dog for dog in rest if dog not in withheld)
    return with_cuts(draw, order[:kept], rulings, unplaced, bool(rest))


def with_cuts(draw, order, rulings, unplaced, open_end):
    given = len(order) - 1 + (open_end and draw(st.booleans()))
    cuts = draw(st.none() | st.tuples(*[st.integers(1, 3)] * given))
    try:
        return Key(order, cuts, rulings, unplaced)
    except KeyProblem:
        return Key(order, None, rulings, unplaced)


@st.composite
def answers(draw, key):
    """An answer to a key: every dog is placed, perhaps level with others, or not, or ruled."""
    rulings, levels = {}, {}
    level = st.integers(0, len(key.dogs) - 1)
    for dog in key.dogs:
        said = draw(level | st.sampled_from([None, *RULINGS]) | level)
        if isinstance(said, str):
            rulings[dog] = said
        elif said is not None:
            levels[dog] = said
    dogs = list(levels)
    order = groups(list(levels.values()))
    return Answer(tuple(tuple(dogs[at] for at in group) for group in order), rulings)


@st.composite
def full_answers(draw, key):
    """An answer that places every dog of the ring, ties included."""
    n = len(key.ring)
    levels = draw(st.lists(st.integers(0, n - 1), min_size=n, max_size=n))
    order = groups(levels)
    return Answer(tuple(tuple(key.ring[at] for at in group) for group in order))


@st.composite
def keys_and_answers(draw, answering=answers, **sizes):
    key = draw(keys(**sizes))
    return key, draw(answering(key))
