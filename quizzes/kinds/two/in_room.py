"""Pairs chosen by a room at once: the same ladder of differences for everybody, and how small a one the room sees.

A staircase follows one person's answers, so a room can't share it. Everybody gets the pairs that the printed sheet
has, and the room's answers together tell what eight of one person's could not.
"""

from __future__ import annotations

from functools import cached_property

from django.core.exceptions import ValidationError
from django.http import Http404
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from quizzes import plates
from quizzes.drawing.amounts import amount
from quizzes.drawing.dogs import THEMES
from quizzes.grading.staircase import threshold
from quizzes.kinds.base import Graded
from quizzes.kinds.in_room import InRoom, most_first, row
from quizzes.kinds.placing.pictures import svg
from quizzes.kinds.two.content import PairsContent
from quizzes.kinds.two.drawable import said
from quizzes.kinds.two.figure import said_range
from quizzes.kinds.two.kind import ABOUT, threshold_told
from quizzes.kinds.two.paper_form import ladder
from quizzes.kinds.two.player import drawn

SIDES = {"0": gettext_lazy("the first"), "1": gettext_lazy("the second")}


class Room(InRoom):
    """An answer is {"ladder": [0 or 1, …]}, pair by pair. Too few to say anything of one person, so none is kept."""

    ask = "quizzes/two/_ask_in_room.html"
    told_by = "quizzes/two/_told_in_room.html"
    styles = ("css/two.css",)
    is_kept = False
    note = gettext_lazy(
        "The room gets eight pairs, the same for everybody; on its own page the pairs follow each person's answers."
    )

    @cached_property
    def pairs(self):
        return PairsContent.read(self.revision.content)

    @cached_property
    def rungs(self):
        return ladder(self.pairs)

    def show(self, rng):
        return {}

    def dogs(self, number: int, at, *, told=False) -> list[dict]:
        view, one = self.pairs.view, self.rungs[number - 1]
        names = (_("The first dog"), _("The second dog"))
        _left, _top, wide, high = plates.view_box([dog.dog for dog in one.dogs], view)
        return [
            {
                "side": side,
                "width": round(4 * wide),
                "height": round(4 * high),
                "name": names[side],
                "alt": f"{names[side]}. {plates.neutral_text(dog.dog, view)}",
                "better": told and side == one.better,
                **{
                    theme: f"{at.plate(f'pair-{number}', str(side))}?theme={theme}"
                    + ("&measured=1" if told else "")
                    for theme in THEMES
                },
            }
            for side, dog in enumerate(one.dogs)
        ]

    def asked(self, shown, answer, at):
        chosen = answer.get("ladder", [])
        return {
            "asked_of": said(self.pairs),
            "is_wide": self.pairs.view in ("side", "head", "top"),
            "rungs": [
                {
                    "number": n,
                    "field": f"a-pair-{n}",
                    "dogs": self.dogs(n, at),
                    "value": chosen[n - 1] if n <= len(chosen) else None,
                }
                for n in range(1, len(self.rungs) + 1)
            ],
        }

    def sent(self, shown, post):
        sent = (post.get(f"a-pair-{n}", "") for n in range(1, len(self.rungs) + 1))
        return {"ladder": [int(one) if one in SIDES else None for one in sent]}

    def check(self, shown, answer):
        given = answer.get("ladder") if isinstance(answer, dict) else None
        if not isinstance(given, list) or len(given) != len(self.rungs):
            raise ValidationError(_("This is no answer to these pairs."), code="form")
        if not all(
            one is None or (type(one) is int and one in (0, 1)) for one in given
        ):
            raise ValidationError(_("This is no answer to these pairs."), code="form")
        return {"ladder": given}

    def missing(self, shown, answer):
        left = [str(n) for n, one in enumerate(answer["ladder"], 1) if one is None]
        if not left:
            return []
        text = ngettext(
            "One pair is still open: number %(which)s.",
            "%(n)s pairs are still open: numbers %(which)s.",
            len(left),
        )
        return [text % {"n": len(left), "which": ", ".join(left)}]

    def _right(self, answer) -> list[bool]:
        rows = zip(self.rungs, answer["ladder"], strict=True)
        return [one.better == chosen for one, chosen in rows]

    def grade(self, answer):
        right = self._right(answer)
        n = sum(right)
        return Graded(n / len(right), n, len(right), None, {"right": right})

    # The room.

    def _by_size(self):
        """Pairs with their numbers, the largest difference first."""
        numbered = enumerate(self.rungs, start=1)
        return sorted(numbered, key=lambda one: -one[1].difference)

    def gathered(self, answers):
        answers = list(answers)
        rows = [self._row(n, one, answers) for n, one in self._by_size()]
        found = {"kind": "sheet", "rows": rows, "share_of": "choices"}
        return {**found, "figures": self._figures(answers)}

    def _row(self, n: int, one, answers) -> dict:
        given = [str(answer["ladder"][n - 1]) for answer in answers]
        counts = {side: given.count(side) for side in SIDES if side in given}
        better = str(one.better)
        apart = amount(one.difference, self.pairs.unit)
        named = _("Pair %(n)s, %(amount)s apart") % {"n": n, "amount": apart}
        return row(
            n,
            named,
            SIDES[better],
            most_first(counts, SIDES.get, better.__eq__),
            right=counts.get(better, 0),
            of=len(answers),
        )

    def _figures(self, answers) -> list[str]:
        """The room's threshold: of all answers together, read as one person's are."""
        if not answers:
            return []
        right = [one for answer in answers for one in self._right(answer)]
        shown = [one.difference for _answer in answers for one in self.rungs]
        found = threshold(shown, right, self.pairs.plan)
        told, outcome = threshold_told(found, self.pairs)
        low, high = said_range(told, self.pairs.unit)
        often = _("8 times in 10") if self.pairs.down == 3 else _("7 times in 10")
        text = _("The smallest difference that the room sees %(often)s: %(what)s.")
        figures = [text % {"often": often, "what": outcome}]
        if told["short"]["how"] == ABOUT and low and high:
            text = _("With 95 %% confidence it lies between %(low)s and %(high)s.")
            figures.append(text % {"low": low, "high": high})
        return figures

    def told(self, hand, at):
        chosen, right = hand.answer["ladder"], hand.grade["result"]["right"]
        missed = [n for n, _one in self._by_size() if not right[n - 1]]
        return {
            "right": sum(right),
            "of": len(right),
            "rungs": [
                {
                    "number": n,
                    "apart": amount(one.difference, self.pairs.unit),
                    "yours": SIDES[str(chosen[n - 1])],
                    "key": SIDES[str(one.better)],
                    "right": right[n - 1],
                }
                for n, one in self._by_size()
            ],
            "missed": missed[0] if missed else None,
            "dogs": self.dogs(missed[0], at, told=True) if missed else [],
        }

    def plate(self, request, what, place, *, told):
        theme, number = request.GET.get("theme", "light"), what.removeprefix("pair-")
        known = {str(n) for n in range(1, len(self.rungs) + 1)}
        if theme not in THEMES or place not in SIDES or number not in known:
            raise Http404
        is_measured = told and request.GET.get("measured") == "1" and self.pairs.measure
        measures = [self.pairs.measure] if is_measured else []
        dogs = self.rungs[int(number) - 1].dogs
        return svg(drawn(self.pairs, dogs, int(place), theme, measures))
