"""What a class shows in its plates: which faults, how strong, and what stays out.

A level is drawn by the priority's first visible fault at a strength of a quarter a
level below ideal. Two neighbours whose pair turns on a drawn priority differ by two
levels at least, half the range of strength: a shift of the outline that is seen on a
plate 320 px wide. Finer steps belong to the text.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from quizzes.generator.streams import Stream
from quizzes.generator.wishes import Priority
from quizzes.plates import BREEDS
from quizzes.plates.faults import fault, hidden_by_coat

IDEAL = 4
SEEN_APART = 2
"""Levels between two neighbours that a plate of 320 px can separate."""

# Departures so common in sound dogs that a trace of one says nothing of merit.
NATURAL = ("F5", "F9", "F10", "F11", "F14", "F15", "F21", "F23", "F27")
LARGEST_TRACE = 12

_VIEW_ORDER = ("side", "front", "rear", "top", "head")


@dataclass(frozen=True)
class Drawn:
    """How a breed's plates show the priorities.

    codes : by slug, the codes that draw the priority, the leading one first
    felt : slugs of what only the hand can tell, by nature or under this coat
    traces : codes for natural variation
    """

    codes: Mapping[str, tuple[str, ...]]
    felt: frozenset[str]
    traces: tuple[str, ...]


def drawn_in(priorities: Sequence[Priority], content: Mapping) -> Drawn:
    """How the plates of a class show these priorities; what one dog's coat hides is shown on none."""
    breed = content.get("breed", "")
    own = BREEDS[breed].coat if breed in BREEDS else ""
    coats = {dog.get("build", {}).get("coat", own) for dog in content["dogs"]}
    return drawn(tuple(priorities), breed, tuple(sorted(coats)))


@lru_cache(maxsize=64)
def drawn(
    priorities: tuple[Priority, ...], breed: str, coats: tuple[str, ...] = ()
) -> Drawn:
    """How plates of this breed show these priorities; nothing if it can't be drawn.

    coats : those of the dogs where they differ from the breed's
    """
    own = (BREEDS[breed].coat,) if breed in BREEDS else ()
    hidden = frozenset[str]().union(*map(hidden_by_coat, coats or own))
    taken: set[str] = set()
    codes, felt = {}, set()
    for priority in priorities:
        if priority.by_hand or hidden & set(priority.faults):
            felt.add(priority.slug)
        if priority.by_hand or breed not in BREEDS:
            continue
        visible = [
            code for code in priority.faults if _known(code) and code not in hidden
        ]
        free = [code for code in visible if code not in taken]
        taken.update(free)
        if free:
            codes[priority.slug] = tuple(sorted(free, key=_view))
    traces = _traces(priorities) if breed in BREEDS else ()
    return Drawn(codes, frozenset(felt), traces)


def _known(code: str) -> bool:
    try:
        return bool(fault(code))
    except KeyError:
        return False


def _view(code: str) -> int:
    return _VIEW_ORDER.index(fault(code).view)


def _parts(code: str) -> dict[str, float]:
    return {name: marked for name, _mild, marked in fault(code).changes}


def _traces(priorities: Sequence[Priority]) -> tuple[str, ...]:
    """Natural departures that touch nothing a priority is judged by."""
    judged = {
        name
        for priority in priorities
        for code in priority.faults
        if _known(code)
        for name in _parts(code)
    }
    return tuple(code for code in NATURAL if not judged & _parts(code).keys())


def _opposed(one: str, other: str) -> bool:
    """Whether two faults pull a part in opposite directions, as long and short do."""
    mine, theirs = _parts(one), _parts(other)
    return any(mine[name] * theirs[name] < 0 for name in mine.keys() & theirs.keys())


def _direction(stream: Stream, codes: Sequence[str]) -> list[str]:
    """The codes that go with one leading code, which is the first or one opposed to it."""
    leads = [codes[0], *(code for code in codes[1:] if _opposed(codes[0], code))]
    lead = stream.choice(leads)
    rest = [code for code in codes if code != lead and not _opposed(lead, code)]
    return [lead, *rest]


def _strength(level: int, spread: int) -> float:
    """Strength of the leading fault; the two levels between leave room for variety.

    spread : 0 to 10. Levels two apart differ by half the range whatever it is.
    """
    if level == 3:
        return (25 - spread) / 100
    if level == 1:
        return (75 + spread) / 100
    return (IDEAL - level) / IDEAL


def faults_of(look: Drawn, dog: str, levels: Mapping[str, int]) -> dict[str, float]:
    """The dog's faults, code -> strength, from its levels and its id alone."""
    shown: dict[str, float] = {}
    for slug, codes in look.codes.items():
        stream = Stream.of(dog, "drawing", slug)
        lead, *rest = _direction(stream, codes)
        strength = _strength(levels[slug], stream.below(11))
        shares = [100, *(stream.between(60, 95) for _ in rest)]
        for code, share in zip((lead, *rest), shares, strict=True):
            shown[code] = round(strength * share / 100, 3)
    return {code: strength for code, strength in shown.items() if strength}


def is_shown(dogs: Sequence[Mapping], slug: str, codes: Sequence[str]) -> bool:
    """Whether a class's plates show the priority; where no dog is known to be faulty they may."""
    faulty = [dog for dog in dogs if dog["levels"].get(slug, IDEAL) < IDEAL]
    shown = any(set(codes) & dog["faults"].keys() for dog in faulty)
    return bool(codes) and (shown or not faulty)


def in_words_only(priorities: Sequence[Priority], content: Mapping) -> list[Priority]:
    """The priorities on which a trainee has to go by the words, since no plate shows them."""
    look = drawn_in(priorities, content)
    return [
        one
        for one in priorities
        if not is_shown(content["dogs"], one.slug, look.codes.get(one.slug, ()))
    ]


def views_of(look: Drawn, slug: str) -> tuple[str, ...]:
    """The views in which the priority is drawn, the leading one first."""
    views = (fault(code).view for code in look.codes.get(slug, ()))
    return tuple(dict.fromkeys(views))


def traces_of(look: Drawn, dog: str) -> dict[str, float]:
    """Traces of natural variation, which follow from the id and never from a level."""
    stream = Stream.of(dog, "traces")
    chosen = stream.sample(look.traces, stream.below(3))
    return {code: stream.between(4, LARGEST_TRACE) / 100 for code in chosen}


def needs_head_study(dogs: Sequence[Mapping]) -> bool:
    """Whether a class needs the head study of every dog beside its plate.

    For all or for none: a study for one dog alone would point at it.
    """
    return any(
        fault(code).in_head and strength > 0
        for dog in dogs
        for code, strength in dog.get("faults", {}).items()
    )
