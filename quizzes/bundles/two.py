"""What a bundle has to know of pairs to choose from: all dogs are drawn, and nothing in them is a key."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from django.utils.translation import gettext as _

from quizzes import plates as drawn
from quizzes.bundles import plates
from quizzes.bundles.examination import pictures, unknown_steps, with_pictures
from quizzes.kinds.shapes import obj, shape_of
from quizzes.kinds.two.content import PairsContent
from quizzes.kinds.two.making import pair

__all__ = ["pictures", "unknown_steps", "with_pictures"]

shapes = (shape_of(PairsContent), obj({}))


def settled(content: Mapping, key: Mapping) -> tuple[dict, dict]:
    """What travels of the content, with everything filled in that may be left out."""
    return PairsContent.read(content).document(), {}


stored = settled


def for_reading(content: Mapping) -> dict:
    """Nothing in it tells which dog is better."""
    return dict(content)


def problems(content: Mapping, key: Mapping) -> Iterator[str]:
    """Why the pairs can't be stored, in words."""
    read = PairsContent.read(content)
    if not read.parts:
        return
    if read.least > read.pairs:
        yield _("it asks for fewer pairs than it takes to tell anything.")
    if not 0 < read.smallest <= read.largest:
        yield _("the smallest difference is larger than the largest.")
    why = _undrawn(read)
    if why:
        yield _("its dogs can't be drawn: it %(why)s.") % {"why": why}


def _undrawn(read: PairsContent) -> str:
    """Why its dogs can't be drawn, in words; "" if they can."""
    if read.breed not in drawn.BREEDS:
        text = _("is drawn as “%(name)s”, a breed that is not drawn here")
        return text % {"name": read.breed}
    why = plates.fault_problem(one.code for one in read.of)
    why = why or plates.build_problem(read.breed, read.build)
    return why or ("" if _makes_pairs(read) else _("asks for what no plate shows"))


def _makes_pairs(read: PairsContent) -> bool:
    """Whether both ends of the staircase can be made."""
    ends = (read.smallest, read.largest)
    try:
        return all(pair(read, "0", n, end).difference > 0 for n, end in enumerate(ends))
    except (ArithmeticError, LookupError, TypeError, ValueError):
        return False


def unknown_priorities(
    content: Mapping, key: Mapping, known: frozenset[str]
) -> set[str]:
    """Priorities that the pairs differ in and the module does not have."""
    return {one.slug for one in PairsContent.read(content).of} - known - {""}
