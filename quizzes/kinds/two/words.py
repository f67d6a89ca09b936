"""What is known of how finely people measure."""

from __future__ import annotations

from django.utils.translation import gettext_lazy

from quizzes.drawing.amounts import DEGREES, HEIGHT, PER_CENT, POINTS

SKILLED = {
    DEGREES: gettext_lazy(
        "For comparison: people skilled with a goniometer err by 1 to 5 degrees."
    ),
    HEIGHT: gettext_lazy(
        "For comparison: where a length is estimated here, two per cent of the height counts as right; on a dog of "
        "50 cm that is a centimetre."
    ),
    PER_CENT: gettext_lazy(
        "We know of no figure for how finely skilled people tell such a proportion."
    ),
    POINTS: gettext_lazy(
        "The points are the mentor's weights, so there is no outside figure to hold them against."
    ),
}
