"""Cuts from merit: how far apart two neighbours are, within the limits on cuts.

The cut of a pair is 1 if a standard trainee has it right half the time, 8 if always,
and in proportion between. If all cuts together are over the limits they are scaled
down alike, so that a wider gap never gets the smaller cut.
"""

from __future__ import annotations

from collections.abc import Sequence

from quizzes.grading.cuts import LARGEST_CUT, largest_fitting


def wanted_cut(chance: float) -> int:
    """The cut for a pair that a standard trainee has right with this chance."""
    sure = min(max(2 * chance - 1, 0.0), 1.0)
    return 1 + round((LARGEST_CUT - 1) * sure)


def fitting_cuts(sizes: Sequence[int], wanted: Sequence[int]) -> list[int] | None:
    """The cuts scaled down until they fit; None if even the smallest do not.

    sizes : tie groups from the top; dogs without a place are one more group at the end
    wanted : one cut for each gap between groups with a place
    """
    open_end = [0] * (len(sizes) - 1 - len(wanted))
    for share in range(100, -1, -1):
        cuts = [max(1, cut * share // 100) for cut in wanted]
        gaps = [*cuts, *open_end]
        if all(
            c <= most
            for c, most in zip(gaps, largest_fitting(sizes, gaps), strict=True)
        ):
            return cuts
    return None
