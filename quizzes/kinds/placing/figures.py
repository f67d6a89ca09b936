"""The figures under a result, each with what it means and what it does not."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _

from quizzes import grading
from quizzes.kinds.placing.reader import Reader


@dataclass(frozen=True)
class FigureLine:
    label: str
    value: str
    meaning: str


def decimals(value: float | None, places: int = 2) -> str:
    """The number, or that there is none; a coefficient keeps its sign as a minus, not a hyphen."""
    if value is None:
        return _("not defined")
    return f"{value:.{places}f}".replace("-", "\N{MINUS SIGN}")


def whole_or(value: float, places: int = 1) -> str:
    return str(int(value)) if value == int(value) else decimals(value, places)


def figures(
    grade: grading.Grade, key: grading.Key, reader: Reader, *, placed: int
) -> dict[str, list[FigureLine]]:
    """Plain figures first; the coefficients of rank statistics for those who ask.

    placed : how many dogs of the ring the answer placed
    """
    return {
        "plain": [line for line in _plain(grade, key, reader, placed) if line],
        "statistics": _statistics(grade),
    }


def _plain(grade, key, reader, placed):
    yield _first(grade, reader)
    if grade.placed_in_key < len(key.ring):
        yield FigureLine(
            _("Placed dogs of the key found"),
            _("%(found)s of %(all)s")
            % {"found": grade.placed_found, "all": grade.placed_in_key},
            reader.says(
                _("Dogs the key places that you placed too, in whatever order."),
                _("Dogs the key places that %(who)s placed too, in whatever order."),
            ),
        )
    yield from _by_cuts(grade, key)
    if grade.places_moved is not None:
        yield FigureLine(
            _("Places moved"),
            _("%(mean)s a dog, %(sum)s in all")
            % {
                "mean": whole_or(grade.mean_places_moved, 2),
                "sum": whole_or(grade.places_moved),
            },
            " ".join(_moves(key, placed)),
        )


def _moves(key, placed):
    """What a move is, and how dogs count that have no place of their own."""
    yield _(
        "How far each dog stands from its place in the key. Easy to picture, but a move near "
        "the top counts no more than one at the foot."
    )
    if any(len(group) > 1 for group in key.order):
        yield _(
            "Dogs that may stand in either order count at the middle of their places, so that "
            "a faultless placing moves them a little too."
        )
    if key.bucket or placed < len(key.ring):
        yield _(
            "All %(n)s dogs of the ring count: those without a place stand at the middle of the "
            "places that are left."
        ) % {"n": len(key.ring)}


def _first(grade, reader):
    if grade.first_right is None:
        return None
    return FigureLine(
        _("Winner"),
        _("the key's") if grade.first_right else _("another dog"),
        reader.says(
            _(
                "Whether your first is first in the key. It says nothing about the rest."
            ),
            _(
                "Whether the dog %(who)s put first is first in the key. It says nothing about "
                "the rest."
            ),
        ),
    )


def _by_cuts(grade, key):
    if grade.score is None:
        return
    yield FigureLine(
        _("By the cuts"),
        _("%(score)s of 50") % {"score": whole_or(grade.score)},
        _(
            "How plain the mistakes were: a pair of dogs far apart costs more than a close one. "
            "Fifty, less the cuts between the dogs of every pair the other way round. Random "
            "orders average %(mean)s; the worst order scores %(worst)s."
        )
        % {
            "mean": whole_or(grading.mean_random_score(key)),
            "worst": 50 - grading.worst_loss(key),
        },
    )
    if grade.gap_share is not None:
        yield FigureLine(
            _("Pairs weighed by the cuts"),
            decimals(grade.gap_share),
            _(
                "The share of pairs again, a wide cut counting more than a close one; 1 is all. "
                "Its weights are the opinion of whoever made the key."
            ),
        )


def _statistics(grade):
    return [
        FigureLine(
            _("Top-weighted tau"),
            decimals(grade.weighted_tau),
            _(
                "Like tau, with pairs near the top of the key counting more (Vigna 2015). It shows "
                "where the differences sit, not how many there are."
            ),
        ),
        FigureLine(
            _("Kendall's tau-b"),
            decimals(grade.tau_b),
            _(
                "Pairs alike less pairs that differ, allowing for level dogs; 1 the same order, "
                "\N{MINUS SIGN}1 the reverse. Below 1 even for a faultless placing if the key has level dogs."
            ),
        ),
        FigureLine(
            _("tau-x"),
            decimals(grade.tau_x),
            _(
                "Treats \N{LEFT DOUBLE QUOTATION MARK}level\N{RIGHT DOUBLE QUOTATION MARK} as a "
                "statement of its own (Emond and Mason 2002). Made for comparing mentors with mentors."
            ),
        ),
        FigureLine(
            _("Spearman's rho"),
            decimals(grade.rho),
            _("The correlation of the places. Far moves weigh more than near ones."),
        ),
    ]


def chance_in_words(chance) -> dict | None:
    """How often a random order does as well: strokes to draw, and the words for it."""
    if chance is None:
        return None
    if chance * 2 > 1:
        tenths = round(float(chance) * 10)
        words = (
            _("every time")
            if tenths == 10
            else _("about %(n)s times in 10") % {"n": tenths}
        )
        return {"strokes": 0, "words": words}
    one_in = grading.one_in(chance)
    pattern = _("1 time in %(n)s") if one_in.exact else _("about 1 time in %(n)s")
    return {"strokes": one_in.number, "words": pattern % {"n": f"{one_in.number:,}"}}
