"""A closed panel as its page shows it: words first, then figures."""

from __future__ import annotations

from functools import cached_property

from django.utils.formats import number_format
from django.utils.text import capfirst, get_text_list
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from quizzes.grading import agreement
from quizzes.kinds.placing.board import Ruling
from quizzes.kinds.placing.content import ClassContent, ClassKey, with_numbers
from quizzes.kinds.placing.places import count_word, cut_word, ordinal
from quizzes.models import Panel
from quizzes.panels.findings import Findings, Pair, Voice


def voices_of(panel: Panel) -> list[Voice]:
    """The keys of a closed panel that were done, in the order of the mentors' names."""
    told = panel.keys.told().select_related("mentor")
    found = [
        Voice(str(key.mentor or _("a mentor who has left")), ClassKey.read(key.key))
        for key in told
    ]
    return _told_apart(sorted(found, key=lambda voice: voice.name.casefold()))


def _told_apart(voices: list[Voice]) -> list[Voice]:
    """The voices with a number to each name that two people bear."""
    names = [voice.name for voice in voices]
    return [
        Voice(f"{voice.name} {1 + names[:at].count(voice.name)}", voice.key)
        if names.count(voice.name) > 1
        else voice
        for at, voice in enumerate(voices)
    ]


class Report:
    """What the page of a closed panel says."""

    def __init__(self, panel: Panel):
        self.content = ClassContent.read(panel.content)
        self.found = Findings(self.content, voices_of(panel))
        self.armbands = {dog.id: dog.armband for dog in self.content}

    @property
    def mentors(self) -> int:
        return len(self.found.voices)

    @property
    def can_be_compared(self) -> bool:
        return self.found.can_be_compared

    @property
    def headline(self) -> str:
        """ "The four mentors agree on 8 of 10 pairs; Kendall's W is 0.81." """
        agreed = self._agreed
        if self.w is None:
            return f"{agreed}."
        text = _("%(agreed)s; Kendall's W is %(w)s.")
        return text % {"agreed": agreed, "w": number_format(self.w, 2)}

    @property
    def _agreed(self) -> str:
        text = ngettext(
            "The %(mentors)s mentors agree on %(n)s of the one pair",
            "The %(mentors)s mentors agree on %(n)s of %(pairs)s pairs",
            self.found.pairs,
        )
        values = {
            "mentors": count_word(self.mentors),
            "n": self.found.agreed,
            "pairs": self.found.pairs,
        }
        return text % values

    @property
    def majority(self) -> str:
        """On how many pairs more than half of the mentors are of one mind."""
        n = len(self.found.undecided)
        if not n:
            return _("Every pair has a majority.")
        text = ngettext(
            "One pair has no majority: either order is as good.",
            "%(count)s pairs have no majority: either order is as good.",
            n,
        )
        return capfirst(text % {"count": count_word(n)})

    @property
    def w(self) -> float | None:
        found = self.found.concordance
        return None if found is None else found.w

    @property
    def w_by_chance(self) -> float | None:
        found = self.found.concordance
        return None if found is None else found.by_chance

    @property
    def w_dogs(self) -> int | None:
        """Over how many dogs W is, where somebody left one out that stays in the order."""
        found = self.found.concordance
        if found is None or found.dogs == len(self.found.dogs):
            return None
        return found.dogs

    @property
    def mean_tau_b(self) -> float | None:
        return agreement.mean_tau_b(self.found.ranks)

    @property
    def two_by_two(self) -> list[dict]:
        return [
            {
                "one": one,
                "other": other,
                "agreed": two.agreed,
                "counted": two.counted,
                "tau_b": two.tau_b,
            }
            for one, other, two in self.found.two_by_two
        ]

    @property
    def how_many_orders(self) -> str:
        """Whether one order is best, and what that means."""
        n = self.found.kemeny.count
        against = ngettext(
            "%(n)s vote goes against it",
            "%(n)s votes go against it",
            self.found.kemeny.against,
        ) % {"n": self.found.kemeny.against}
        values = {"count": _many(n), "against": against}
        if n == 1:
            text = _(
                "One order suits the mentors best: %(against)s, fewer than any other."
            )
        elif len(self.found.different) == 1 and not self.left_out:
            text = _(
                "%(count)s orders suit the mentors equally well and differ only in dogs "
                "that may stand in either order: %(against)s, whichever you take."
            )
        else:
            text = _(
                "%(count)s orders suit the mentors equally well: %(against)s, whichever "
                "you take."
            )
        return capfirst(text % values)

    @property
    def left_out(self) -> int:
        """How many of the best orders are not listed."""
        return self.found.kemeny.count - len(self.found.kemeny.orders)

    @cached_property
    def orders(self) -> list[dict]:
        return [
            {
                "number": at,
                "title": _("Order %(n)s") % {"n": title},
                "dogs": self.in_places(self.found.groups(at)),
            }
            for title, at in enumerate(self.found.different, start=1)
        ]

    def in_places(self, groups) -> list[dict]:
        """Each dog's place, "2nd =" where it shares it."""
        rows, place = [], 1
        for group in groups:
            shared = " =" if len(group) > 1 else ""
            rows += [
                {"armband": self.armbands[dog], "place": ordinal(place) + shared}
                for dog in group
            ]
            place += len(group)
        return rows

    @property
    def borda(self) -> list[dict]:
        """Dogs by mean rank; those with the same one share a place."""
        rows, means = [], [mean for _dog, mean in self.found.borda]
        for dog, mean in self.found.borda:
            shared = " =" if means.count(mean) > 1 else ""
            place = ordinal(1 + means.index(mean)) + shared
            rows.append({"armband": self.armbands[dog], "place": place, "mean": mean})
        return rows

    @property
    def undecided(self) -> list[dict]:
        return [self._split(*pair) for pair in self.found.undecided]

    def _split(self, upper: str, lower: str) -> dict:
        a, b = self.armbands[upper], self.armbands[lower]
        sides = zip(
            (
                _("%(a)s over %(b)s") % {"a": a, "b": b},
                _("%(a)s over %(b)s") % {"a": b, "b": a},
                _("either order"),
            ),
            self.found.sides(upper, lower),
            strict=True,
        )
        said = [f"{what}: {_names(names)}" for what, names in sides if names]
        return {"upper": a, "lower": b, "said": said}

    @cached_property
    def places(self) -> list[dict]:
        """For each dog of the order its place in every mentor's key."""
        return [
            {
                "armband": self.armbands[dog],
                "cells": [self._place(voice.key, dog) for voice in self.found.voices],
            }
            for dog in self._consensus_first()
        ]

    def _consensus_first(self) -> list[str]:
        if not self.can_be_compared:
            return [dog.id for dog in self.content]
        order = [dog for group in self.found.groups(0) for dog in group]
        return order + [dog.id for dog in self.content if dog.id not in order]

    def _place(self, key: ClassKey, dog: str) -> str:
        places = key.places()
        if dog in places:
            shared = list(places.values()).count(places[dog]) > 1
            return ordinal(places[dog]) + (" =" if shared else "")
        if dog in key.rulings:
            return str(Ruling(key.rulings[dog]["ruling"]).label)
        return _("no place")

    @property
    def names(self) -> list[str]:
        return [voice.name for voice in self.found.voices]

    @property
    def rulings(self) -> list[dict]:
        """Every dog that some mentor gave a ruling, and what becomes of it."""
        return [
            self._ruled(dog.id, given)
            for dog in self.content
            if (given := self.found.rulings_on(dog.id))
        ]

    def _ruled(self, dog: str, given) -> dict:
        taken = self.found.rulings.get(dog)
        return {
            "armband": self.armbands[dog],
            "taken": Ruling(taken["ruling"]).label if taken else "",
            "said": [
                {
                    "name": name,
                    "label": Ruling(entry["ruling"]).label,
                    "reason": entry.get("reason", ""),
                }
                for name, entry in given.items()
            ],
        }

    @property
    def keys(self) -> list[dict]:
        """Each mentor's order and reasons."""
        return [
            {
                "name": voice.name,
                "dogs": self.in_places(voice.key.groups),
                "reasons": self._reasons(voice.key),
                "note": self._say(voice.key.note),
            }
            for voice in self.found.voices
        ]

    def _reasons(self, key: ClassKey) -> list[dict]:
        return [
            {
                "upper": self.armbands[upper],
                "lower": self.armbands[lower],
                "level": gap in key.level,
                "cut": None if gap in key.level else key.cuts[gap],
                "reason": self._say(said.reason) if said else "",
                "grant": self._say(said.grant) if said else "",
            }
            for gap, (upper, lower) in enumerate(key.neighbours)
            for said in [key.reasons.get((upper, lower))]
        ]

    def _say(self, text: str) -> str:
        return with_numbers(text, self.armbands)

    def said(self, name: str, reason) -> str:
        """A mentor's reason as one chooses it."""
        grant = _("Grant: %(text)s") % {"text": reason.grant} if reason.grant else ""
        return f"{name}: {self._say(' '.join(filter(None, [reason.reason, grant])))}"

    def pairs(self, pairs: list[Pair], form) -> list[dict]:
        """The neighbours of the order to be adopted, with the field that chooses a reason."""
        return [
            {
                "upper": self.armbands[pair.upper],
                "lower": self.armbands[pair.lower],
                "level": pair.level,
                "cut": pair.cut,
                "word": cut_word(pair.cut) if pair.cut else "",
                "field": form[name]
                if (name := f"reason-{gap}") in form.fields
                else None,
            }
            for gap, pair in enumerate(pairs)
        ]


def _names(names: list[str]) -> str:
    return get_text_list(names, _("and"))


def _many(n: int) -> str:
    return count_word(n) if n < 10 else f"{n:,}"
