"""Making a class: dogs from a seed, what is seen and felt of them, and the key."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from quizzes.generator.difficulty import TARGETS, TOLERANCE, expected_share
from quizzes.generator.drawing import Drawn, drawn, faults_of, traces_of
from quizzes.generator.findings import Question, question
from quizzes.generator.keys import Judge
from quizzes.generator.levels import Chain, deciding, make_levels, random_dogs, too_near
from quizzes.generator.streams import Stream
from quizzes.generator.texts import describe
from quizzes.generator.wishes import (
    Document,
    MadeClass,
    ModuleFault,
    Note,
    Priority,
    Wish,
    WishProblem,
    check_priorities,
    check_wish,
    gettext_noop,
    weights_of,
)
from quizzes.generator.words import is_manner

# Ages in months by a word of the class's name: common practice, rules differ by country.
AGES = (
    (("puppy", "puppies"), (6, 12)),
    (("junior",), (9, 18)),
    (("yearling",), (12, 24)),
    (("maiden", "novice", "graduate"), (15, 40)),
    (("veteran",), (86, 132)),
)
ANY_AGE = (18, 78)
ARMBANDS = range(10, 100)


def make_class(
    priorities: Sequence[Priority],
    wish: Wish,
    *,
    faults: Sequence[ModuleFault] = (),
) -> MadeClass:
    """A class as wished, from the mentor's priorities in rank order.

    The same arguments give the same documents, to the byte, on any machine.

    Raises
    ------
    WishProblem if no such class can be made, with a sentence that says why.
    """
    check_priorities(priorities)
    check_wish(wish)
    if wish.difficulty not in TARGETS:
        text = gettext_noop("%(difficulty)s is no difficulty: %(known)s.")
        known = ", ".join(TARGETS)
        raise WishProblem(text, difficulty=wish.difficulty, known=known)
    mine, asked = tuple(priorities), question(wish, faults)
    look, seen = _look(mine, wish)
    chain = levels_of(mine, wish)
    dogs = _dogs(mine, wish, chain, asked)
    odd = dogs[-1]["id"] if wish.odd_one else None
    content = _content(dogs, wish)
    judge = Judge.of(mine, content)
    ranked = judge.order([dog for dog in content["dogs"] if dog["id"] != odd])
    left = _too_near(judge, ranked[: wish.places], seen)
    _show(dogs, replace(look, codes=_without(look.codes, left)))
    texts = describe(dogs, mine, look.felt, asked, odd)
    for dog in dogs:
        dog |= texts[dog["id"]]
    key, share = _key(judge, ranked, wish, asked, odd)
    told = gettext_noop(
        "%(name)s is left to the text: neighbours are too near for a plate."
    )
    notes = [
        Note(told, name=priority.name) for priority in mine if priority.slug in left
    ]
    return MadeClass(content, key, share, (*notes, *_missed(share, wish, key)))


def _look(priorities: Sequence[Priority], wish: Wish) -> tuple[Drawn, list[bool]]:
    """How the dogs are drawn, and for each priority whether a plate shows it."""
    coats = (wish.build["coat"],) if "coat" in wish.build else ()
    look = drawn(priorities, wish.breed, coats)
    return look, [priority.slug in look.codes for priority in priorities]


def levels_of(priorities: Sequence[Priority], wish: Wish) -> Chain:
    """The levels of the dogs that ``make_class`` makes of the same arguments, best first, the odd one left out."""
    _look_of, seen = _look(priorities, wish)
    sound, weights = wish.size - bool(wish.odd_one), weights_of(priorities)
    return make_levels(
        str(wish.seed), sound, wish.difficulty, weights, seen, wish.places
    )


def _too_near(
    judge: Judge, ranked: Sequence[Document], seen: Sequence[bool]
) -> set[str]:
    """Drawn priorities on which neighbours of unequal merit differ by too little."""
    rows, weights = judge.levels(ranked).tolist(), judge.weights
    level = judge.level_gaps(ranked, 0)
    return {
        judge.priorities[deciding(upper, lower, weights)].slug
        for gap, (upper, lower) in enumerate(pairwise(rows))
        if gap not in level and too_near(upper, lower, weights, seen)
    }


def _without(codes: Mapping[str, tuple[str, ...]], left: Collection[str]) -> dict:
    return {slug: shown for slug, shown in codes.items() if slug not in left}


def _show(dogs: Sequence[Document], look: Drawn) -> None:
    for dog in dogs:
        traces = traces_of(look, dog["id"])
        dog["faults"] = faults_of(look, dog["id"], dog["levels"]) | traces


def _dogs(
    priorities: Sequence[Priority], wish: Wish, chain: Chain, asked: Question | None
) -> list[Document]:
    """The dogs best first, the odd one last, with everything but faults and texts."""
    rows = chain.levels.tolist()
    if wish.odd_one:
        rows.append(_odd_levels(priorities, wish, rows, asked))
    armbands = Stream.of(wish.seed, "armbands").sample(ARMBANDS, len(rows))
    ids, coats = dog_ids(wish.seed, len(rows)), coat_seeds(wish.seed, len(rows))
    sexes = _sexes(wish, len(rows), asked)
    youngest, oldest = _ages(wish.class_name)
    ages = Stream.of(wish.seed, "ages")
    return [
        {
            "id": ids[at],
            "armband": armbands[at],
            "sex": sexes[at],
            "age_months": ages.between(youngest, oldest),
            "ringside": "",
            "hands_on": "",
            "levels": {p.slug: level for p, level in zip(priorities, row, strict=True)},
            "faults": {},
            "coat_seed": coats[at],
            "mirror": False,
            **({"build": dict(wish.build)} if wish.build else {}),
        }
        for at, row in enumerate(rows)
    ]


def _odd_levels(
    priorities: Sequence[Priority],
    wish: Wish,
    rows: list[list[int]],
    asked: Question | None,
) -> list[int]:
    """Levels of a dog that would be well placed but for its ruling, most of the time.

    One that is ruled out for its manner is at its worst where the manner is judged.
    """
    stream, weights = Stream.of(wish.seed, "odd"), weights_of(priorities)
    like = rows[stream.below(-(-len(rows) // 2))]
    merit = sum(w * level for w, level in zip(weights, like, strict=True)) / sum(
        weights
    )
    levels: list[int] = random_dogs(stream, merit, 1, len(weights))[0].tolist()
    if asked and asked.finding.manner:
        pairs = zip(priorities, levels, strict=True)
        levels = [0 if is_manner(one) else level for one, level in pairs]
    return levels


def dog_ids(seed: object, count: int) -> list[str]:
    """Ids that are all different and say nothing."""
    stream, ids = Stream.of(seed, "dogs"), dict[str, None]()
    while len(ids) < count:
        ids[f"{stream.bits() >> 40:06x}"] = None
    return list(ids)


def coat_seeds(seed: object, count: int) -> list[int]:
    """Seeds for coat and pattern, all different."""
    stream, coats = Stream.of(seed, "coats"), dict[int, None]()
    while len(coats) < count:
        coats[stream.between(10_000, 99_999)] = None
    return list(coats)


def _sexes(wish: Wish, count: int, asked: Question | None) -> list[str]:
    """A sex for each dog; a mixed class has both."""
    if wish.sex != "mixed":
        return [wish.sex] * count
    stream = Stream.of(wish.seed, "sexes")
    males = stream.between(-(-count // 3), count - -(-count // 3))
    sexes = stream.shuffled(["dog"] * males + ["bitch"] * (count - males))
    if wish.odd_one and asked and asked.finding.males and sexes[-1] == "bitch":
        at = sexes.index("dog")
        sexes[at], sexes[-1] = sexes[-1], sexes[at]
    return sexes


def _ages(class_name: str) -> tuple[int, int]:
    words = class_name.lower()
    for names, ages in AGES:
        if any(name in words for name in names):
            return ages
    return ANY_AGE


def _content(dogs: Sequence[Document], wish: Wish) -> Document:
    """The class as it is stored: the dogs in no meaningful order."""
    return {
        "dogs": Stream.of(wish.seed, "line").shuffled(dogs),
        "places": wish.places,
        "breed": wish.breed,
    }


def _key(
    judge: Judge,
    ranked: Sequence[Document],
    wish: Wish,
    asked: Question | None,
    odd: str | None,
) -> tuple[Document, float]:
    placed = ranked[: wish.places]
    level = judge.level_gaps(placed, wish.either_below, wish.seed)
    rulings = {}
    if odd and asked:
        rulings[odd] = {"ruling": asked.ruling, "reason": asked.reason}
    key = judge.key(placed, len(ranked) - len(placed), level, rulings)
    return key, expected_share(
        judge.levels(ranked), judge.weights, placed=wish.places, level=level
    )


def _missed(share: float, wish: Wish, key: Document) -> list[Note]:
    notes = []
    if not abs(share - TARGETS[wish.difficulty]) <= TOLERANCE:
        text = gettext_noop("These priorities allow no class of just that difficulty.")
        notes.append(Note(text))
    if len(key["order"]) > 1 and not any(key["cuts"]):
        notes.append(Note(gettext_noop("The class has too many pairs for cuts.")))
    return notes
