"""Limits on the cuts of a key, and what a placing can lose by them.

A cut is the number of points lost if the dogs on its two sides are reversed; the cuts
between two dogs that are not neighbours add up. A class is worth 50 points. The
published limits for a class of four are: whole numbers from 1 to 8, a sum of at most
15, and no order may fall below 0. The last one carries over to any class, because the
worst order is always the full reversal.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from quizzes.grading.problems import KeyProblem

if TYPE_CHECKING:
    from quizzes.grading.model import Key

FULL_SCORE = 50
LARGEST_CUT = 8
LARGEST_SUM_OF_FOUR = 15


def gap_weights(sizes: Sequence[int]) -> list[int]:
    """Return how many pairs lie across each gap: dogs above it times dogs below it.

    ``sizes`` are the tie groups from the top. The full reversal loses the sum of weight
    times cut.
    """
    total = sum(sizes)
    above = [sum(sizes[:gap]) for gap in range(1, len(sizes))]
    return [dogs * (total - dogs) for dogs in above]


def loss_of_reversal(sizes: Sequence[int], gaps: Sequence[int]) -> int:
    """Return what reversing tie groups of these sizes in full loses by these cuts."""
    return sum(
        weight * cut for weight, cut in zip(gap_weights(sizes), gaps, strict=True)
    )


def largest_fitting(sizes: Sequence[int], gaps: Sequence[int]) -> tuple[int, ...]:
    """Return for each gap the largest cut that fits while the others stay as they are.

    Below 1 means that this gap alone cannot mend the cuts. Cuts are within the limits
    exactly if none of them is above its figure here.
    """
    spare = FULL_SCORE - loss_of_reversal(sizes, gaps)
    room = [
        min(LARGEST_CUT, cut + spare // weight)
        for cut, weight in zip(gaps, gap_weights(sizes), strict=True)
    ]
    if sum(sizes) == 4:
        spare_sum = LARGEST_SUM_OF_FOUR - sum(gaps)
        room = [
            min(most, cut + spare_sum) for most, cut in zip(room, gaps, strict=True)
        ]
    return tuple(room)


def worst_loss(key: Key) -> int | None:
    """Return what the full reversal of the key loses, 50 at most; None without cuts."""
    return None if key.gaps is None else loss_of_reversal(key.group_sizes, key.gaps)


def mean_random_score(key: Key) -> float | None:
    """Return the average score of a random complete order, or None without cuts.

    Every pair is reversed half the time.
    """
    loss = worst_loss(key)
    return None if loss is None else FULL_SCORE - loss / 2


def room_in_cuts(key: Key) -> tuple[int, ...] | None:
    """Return for each gap of a key the largest cut that fits beside the others."""
    return None if key.gaps is None else largest_fitting(key.group_sizes, key.gaps)


def cut_problem(
    sizes: Sequence[int], cuts: Sequence[int], *, open_end: bool
) -> KeyProblem | None:
    """Return what is wrong with the cuts of a key, or None.

    ``sizes`` are the tie groups from the top, the unplaced dogs last if ``open_end``;
    the cut down to those may be missing or 0.
    """
    needed = len(sizes) - 1
    if len(cuts) != needed and not (open_end and len(cuts) == needed - 1):
        wanted = needed - open_end
        return KeyProblem(
            "One cut is needed between each place and the next, %(wanted)d in all;"
            " the key has %(given)d.",
            wanted=wanted,
            given=len(cuts),
        )
    gaps = [*cuts, *[0] * (needed - len(cuts))]
    lowest = [1] * (needed - open_end) + [0] * open_end
    for gap, cut in enumerate(gaps):
        if isinstance(cut, bool) or not isinstance(cut, int) or cut < lowest[gap]:
            return KeyProblem(
                "The cut %(where)s is %(cut)s; a cut is a whole number"
                " from %(lowest)d to %(largest)d.",
                where=_where(sizes, gap, open_end),
                cut=cut,
                lowest=lowest[gap],
                largest=LARGEST_CUT,
            )
    return _excess(sizes, gaps, lowest, open_end)


def _excess(
    sizes: Sequence[int], gaps: list[int], lowest: list[int], open_end: bool
) -> KeyProblem | None:
    """Return which cut is too large and what would fit, or None if all fit."""
    room, weights = largest_fitting(sizes, gaps), gap_weights(sizes)
    over = [gap for gap, cut in enumerate(gaps) if cut > room[gap]]
    if not over:
        return None
    mendable = [gap for gap in over if room[gap] >= lowest[gap]]
    # Name a cut above the single limit first, then the one that takes most points.
    worst = max(
        mendable or over,
        key=lambda gap: (gaps[gap] > LARGEST_CUT, weights[gap] * gaps[gap]),
    )
    values = {
        "cut": gaps[worst],
        "where": _where(sizes, worst, open_end),
        "why": _why(sizes, gaps),
    }
    trial = [*gaps]
    if mendable:
        trial[worst] = room[worst]
        if all(
            cut <= most
            for cut, most in zip(trial, largest_fitting(sizes, trial), strict=True)
        ):
            template = (
                "The cut %(cut)d %(where)s is too large: %(why)s."
                " At most %(fits)d fits there beside the others."
            )
            return KeyProblem(template, fits=room[worst], **values)
    fitting = _shrunk(sizes, gaps, lowest)
    if fitting is None:
        template = (
            "The cut %(cut)d %(where)s is too large, and no smaller one would fit: this"
            " class has so many pairs that even the smallest cuts lose %(least)d of"
            " %(full)d points in a full reversal."
            " Leave the cuts blank."
        )
        return KeyProblem(
            template, least=loss_of_reversal(sizes, lowest), full=FULL_SCORE, **values
        )
    template = (
        "The cut %(cut)d %(where)s is too large: %(why)s."
        " Cuts of %(fitting)s would fit."
    )
    return KeyProblem(template, fitting="-".join(map(str, fitting)), **values)


def _shrunk(
    sizes: Sequence[int], gaps: Sequence[int], lowest: Sequence[int]
) -> list[int] | None:
    """Lower the largest cut by one until all fit; None if they never do."""
    cuts = [*gaps]
    while any(
        cut > most for cut, most in zip(cuts, largest_fitting(sizes, cuts), strict=True)
    ):
        spare = [gap for gap, cut in enumerate(cuts) if cut > lowest[gap]]
        if not spare:
            return None
        cuts[max(spare, key=lambda gap: cuts[gap])] -= 1
    return cuts


def _why(sizes: Sequence[int], gaps: Sequence[int]) -> str:
    loss = loss_of_reversal(sizes, gaps)
    if max(gaps) > LARGEST_CUT:
        return f"a single cut is at most {LARGEST_CUT}"
    if loss > FULL_SCORE:
        return f"a full reversal would lose {loss} of {FULL_SCORE} points"
    return f"the cuts of four dogs add up to at most {LARGEST_SUM_OF_FOUR}"


def _where(sizes: Sequence[int], gap: int, open_end: bool) -> str:
    upper, lower = 1 + sum(sizes[:gap]), 1 + sum(sizes[: gap + 1])
    if open_end and gap == len(sizes) - 2:
        return f"between {ordinal(upper)} and the unplaced dogs"
    return f"between {ordinal(upper)} and {ordinal(lower)}"


def ordinal(number: int) -> str:
    """Return 1st, 2nd, 3rd, 4th, 11th, 21st and so on."""
    last = number % 10 if number % 100 not in (11, 12, 13) else 0
    return f"{number}{ {1: 'st', 2: 'nd', 3: 'rd'}.get(last, 'th') }"
