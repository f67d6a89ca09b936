"""Who reads a result, and what the page says to them of a whole placing and of single pairs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from quizzes.kinds.placing.board import Ruling
from quizzes.kinds.placing.places import ordinal


@dataclass(frozen=True)
class Reader:
    """Whoever placed the class, or somebody else, who reads of them by name.

    of : the name of who placed it; nothing where they read it themselves
    """

    of: str = ""

    def says(self, own: str, other: str, **values) -> str:
        """The sentence for this reader; %(who)s in the other one is the name."""
        said = (other if self.of else own) % {"who": self.of, **values}
        return said[:1].upper() + said[1:]

    def had(self, answer: Mapping, upper: str, lower: str, armbands: Mapping) -> str:
        """What the answer did with a pair that the key has the other way round."""
        values = {"upper": armbands[upper], "lower": armbands[lower]}
        if upper in answer["order"]:
            return self.says(
                _("You had %(lower)s over %(upper)s."),
                _("%(who)s had %(lower)s over %(upper)s."),
                **values,
            )
        if upper in answer["rulings"]:
            ruling = Ruling(answer["rulings"][upper]["ruling"]).label.lower()
            return self.says(
                _("You placed %(lower)s and had %(upper)s %(ruling)s."),
                _("%(who)s placed %(lower)s and had %(upper)s %(ruling)s."),
                **values,
                ruling=ruling,
            )
        return self.says(
            _("You placed %(lower)s and left %(upper)s unplaced."),
            _("%(who)s placed %(lower)s and left %(upper)s unplaced."),
            **values,
        )

    def did(self, answer: Mapping, dog: str) -> str:
        """What the answer did with a dog that either side ruled on."""
        if dog in answer["rulings"]:
            ruling = Ruling(answer["rulings"][dog]["ruling"]).label.lower()
            had = _("You had it %(ruling)s."), _("%(who)s had it %(ruling)s.")
            return self.says(*had, ruling=ruling)
        if dog in answer["order"]:
            place = ordinal(answer["order"].index(dog) + 1)
            placed = _("You placed it %(place)s."), _("%(who)s placed it %(place)s.")
            return self.says(*placed, place=place)
        return self.says(_("You recorded nothing."), _("%(who)s recorded nothing."))

    def verdict(self, verdict: str, upper: int, lower: int, letter: str) -> str:
        """A cell of the table of pairs, for people who hear it."""
        patterns = {
            "agreed": (
                _("%(upper)s over %(lower)s: you too"),
                _("%(upper)s over %(lower)s: %(who)s too"),
            ),
            "disagreed": (
                _(
                    "%(upper)s over %(lower)s: you had %(lower)s over %(upper)s, see %(letter)s"
                ),
                _(
                    "%(upper)s over %(lower)s: %(who)s had %(lower)s over %(upper)s, see %(letter)s"
                ),
            ),
            "alone": (
                _(
                    "%(upper)s over %(lower)s: you placed only %(upper)s, counts as shared"
                ),
                _(
                    "%(upper)s over %(lower)s: %(who)s placed only %(upper)s, counts as shared"
                ),
            ),
            "half": (
                _("%(upper)s over %(lower)s: you placed neither, counts half"),
                _("%(upper)s over %(lower)s: %(who)s placed neither, counts half"),
            ),
            "open": (_("%(upper)s and %(lower)s: either order"),) * 2,
            "unplaced": (_("%(upper)s and %(lower)s: not placed in the key"),) * 2,
            "undecided": (
                _("%(upper)s over %(lower)s: you were not asked to place both"),
                _("%(upper)s over %(lower)s: %(who)s was not asked to place both"),
            ),
        }
        return self.says(*patterns[verdict], upper=upper, lower=lower, letter=letter)

    def counting(self, verdicts: Iterable[str]) -> list[str]:
        """A sentence for each sort of pair that counts a half or not at all."""
        count = Counter(verdicts)
        half, level = count["half"], count["open"]
        unplaced, unasked = count["unplaced"], count["undecided"]
        sentences = [
            half
            and self.says(
                ngettext(
                    "One of them counts a half, since you placed neither dog.",
                    "%(n)s of them count a half, since you placed neither dog.",
                    half,
                ),
                ngettext(
                    "One of them counts a half, since %(who)s placed neither dog.",
                    "%(n)s of them count a half, since %(who)s placed neither dog.",
                    half,
                ),
                n=half,
            ),
            level
            and ngettext(
                "One more pair does not count: the key has it in either order.",
                "%(n)s more pairs do not count: the key has them in either order.",
                level,
            )
            % {"n": level},
            unplaced
            and ngettext(
                "One more pair does not count: the key places neither dog.",
                "%(n)s more pairs do not count: the key places neither dog.",
                unplaced,
            )
            % {"n": unplaced},
            unasked
            and self.says(
                ngettext(
                    "One more pair does not count: you were not asked to place it.",
                    "%(n)s more pairs do not count: you were not asked to place them.",
                    unasked,
                ),
                ngettext(
                    "One more pair does not count: %(who)s was not asked to place it.",
                    "%(n)s more pairs do not count: %(who)s was not asked to place them.",
                    unasked,
                ),
                n=unasked,
            ),
        ]
        return [sentence for sentence in sentences if sentence]

    def summary(
        self,
        pairs: Sequence[tuple[str, str]],
        shifts: Mapping[str, int],
        left_out: Sequence[str],
        armbands: Mapping[str, int],
    ) -> str:
        """What the pairs that differ have in common.

        pairs : two or more, by the dogs' ids
        shifts : by how many places each dog stands too low, less than 0 for too high
        left_out : dogs that the key placed and the answer did not
        """
        dog, seen = Counter(dog for pair in pairs for dog in pair).most_common(1)[0]
        if seen < len(pairs):
            return self._misplaced(shifts, left_out, armbands)
        text = (
            _("Both pairs turn on %(dog)s.")
            if len(pairs) == 2
            else _("All %(n)s pairs turn on %(dog)s.")
        )
        shared = text % {"n": len(pairs), "dog": armbands[dog]}
        if dog in left_out:
            rest = self.says(_("You left it unplaced."), _("%(who)s left it unplaced."))
        elif shifts.get(dog):
            rest = self._had_where([_("it %(shift)s") % {"shift": too(shifts[dog])}])
        else:
            return shared
        return f"{shared} {rest}"

    def _misplaced(self, shifts, left_out, armbands) -> str:
        """The dogs that stand furthest too low and too high; those left out."""
        sentences = []
        parts = [
            _("%(dogs)s %(shift)s") % {"dogs": dogs, "shift": too(worst)}
            for worst, dogs in _furthest(shifts, armbands)
        ]
        if parts:
            sentences.append(self._had_where(parts))
        if left_out:
            dogs = joined([str(armbands[dog]) for dog in left_out])
            sentences.append(
                self.says(
                    _("The key places %(dogs)s, you did not."),
                    _("The key places %(dogs)s, %(who)s did not."),
                    dogs=dogs,
                )
            )
        return " ".join(sentences) or _("The pairs turn on different dogs.")

    def _had_where(self, parts: list[str]) -> str:
        return self.says(
            _("You had %(dogs)s."), _("%(who)s had %(dogs)s."), dogs=joined(parts)
        )


def _furthest(shifts: Mapping[str, int], armbands: Mapping[str, int]):
    """The largest shift downwards and upwards, each with its dogs; no more than two dogs."""
    for worst in (max(shifts.values(), default=0), min(shifts.values(), default=0)):
        dogs = [str(armbands[dog]) for dog, by in shifts.items() if by == worst]
        if worst and len(dogs) <= 2:
            yield worst, joined(dogs)


def too(shift: int) -> str:
    """ "two places too low"; a shift below 0 is too high."""
    places = abs(shift)
    low = ngettext("%(n)s place too low", "%(n)s places too low", places)
    high = ngettext("%(n)s place too high", "%(n)s places too high", places)
    return (low if shift > 0 else high) % {"n": in_words(places)}


def joined(parts: Sequence[str]) -> str:
    """ "a", "a and b", "a, b and c"."""
    if len(parts) < 2:
        return "".join(parts)
    return _("%(rest)s and %(last)s") % {
        "rest": ", ".join(parts[:-1]),
        "last": parts[-1],
    }


def either(parts: Sequence[str]) -> str:
    """ "a or b", "a, b or c"."""
    return _("%(rest)s or %(last)s") % {
        "rest": ", ".join(parts[:-1]),
        "last": parts[-1],
    }


def in_words(number: int) -> str:
    """A small number in words, so that it is not taken for an armband."""
    words = _("one two three four five six seven eight nine ten eleven twelve").split()
    return words[number - 1] if 0 < number <= len(words) else str(number)
