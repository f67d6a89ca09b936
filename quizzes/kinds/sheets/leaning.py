"""To which side answers on a scale lean, in sentences."""

from __future__ import annotations

from collections.abc import Iterable


def leaning(steps: Iterable[int], below, above) -> list[str]:
    """How many answers lie below the key and how many above it; nothing of a side where there is none.

    steps : of each answer, how far it lies from the key
    below, above : sentences that take n (ngettext_lazy with "n")
    """
    steps = list(steps)
    counted = (
        (below, sum(step < 0 for step in steps)),
        (above, sum(step > 0 for step in steps)),
    )
    return [said % {"n": n} for said, n in counted if n]
