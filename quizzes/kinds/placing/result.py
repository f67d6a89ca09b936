"""What the result page says: the headline, the figure, each pair that differs and why."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from quizzes import grading, plates
from quizzes.drawing.dogs import conformation_of
from quizzes.drawing.parts import measured_by, telling_fault
from quizzes.kinds.placing.board import Ruling
from quizzes.kinds.placing.content import (
    ClassContent,
    ClassKey,
    Dog,
    Reason,
    with_numbers,
)
from quizzes.kinds.placing.crossing import MOST_LETTERS, figure, letters_for
from quizzes.kinds.placing.figures import figures
from quizzes.kinds.placing.pictures import Pictures, Shown, can_be_twinned
from quizzes.kinds.placing.places import cut_word, ordinal
from quizzes.words import halves

UNDECIDED = {"open": "=", "undecided": "", "half": "½"}


@dataclass(frozen=True)
class Explained:
    """One pair that differs: the mentor has `upper` over `lower`, the answer had not."""

    letter: str
    upper: Side
    lower: Side
    had: str
    cuts: tuple[int, ...]
    steps: tuple[dict, ...]
    priority: object | None
    overlay: Shown | None

    @property
    def sides(self) -> tuple[Side, Side]:
        return self.upper, self.lower

    @property
    def cut(self) -> int:
        return sum(self.cuts)

    @property
    def cut_sum(self) -> str:
        """ "2 + 1 = 3" where the cuts between add up, "4" for neighbours."""
        if len(self.cuts) < 2:
            return str(self.cut)
        return f"{' + '.join(map(str, self.cuts))} = {self.cut}"

    @property
    def cut_word(self) -> str:
        return cut_word(self.cut)


@dataclass(frozen=True)
class Side:
    """A dog as the reader of the result knows it."""

    dog: Dog
    armband: int
    picture: Shown | None
    phrase: str = ""
    measured: str = ""


class Result:
    """An attempt that was handed in, beside the key of one revision."""

    def __init__(self, attempt, grade, *, revision):
        self.attempt, self.stored, self.revision = attempt, grade, revision

    @cached_property
    def content(self) -> ClassContent:
        return ClassContent.read(self.revision.content)

    @cached_property
    def key(self) -> ClassKey:
        return ClassKey.read(self.revision.key)

    @cached_property
    def grade(self) -> grading.Grade:
        return grading.Grade.from_dict(self.stored.result)

    @cached_property
    def armbands(self) -> dict[str, int]:
        """The number each dog wore in this attempt."""
        return dict(self.attempt.shown["line"])

    @cached_property
    def pictures(self) -> Pictures:
        return Pictures(self.attempt, self.content)

    @cached_property
    def priorities(self) -> dict:
        """The priorities of the module as it was, by slug."""
        stored = self.revision.module_revision.priorities.prefetch_related("phrases")
        return {priority.slug: priority for priority in stored}

    @cached_property
    def headline(self) -> str:
        agreed, counted = self.stored.pairs_agreed, self.stored.pairs_counted
        if not counted:
            return _(
                "There is no pair here that the key and your placing can be compared on"
            )
        if self.is_made:
            every = _("Every pair as the mentor's weights have them")
            some = _(
                "%(agreed)s of %(counted)s pairs as the mentor's weights have them"
            )
        else:
            every = _("Every pair as the mentor has them")
            some = _("%(agreed)s of %(counted)s pairs as the mentor has them")
        if agreed == counted:
            return every
        return some % {"agreed": halves(agreed), "counted": counted}

    @property
    def is_made(self) -> bool:
        """True if the key follows from the mentor's weights and phrases, unread by any mentor."""
        return self.revision.exercise.from_weights

    @cached_property
    def differing(self) -> list[Explained]:
        wrong = [pair for pair in self.grade.pairs if pair.verdict == "disagreed"]
        letters = letters_for([(pair.upper, pair.lower) for pair in wrong])
        return [self._explain(pair, letters[pair.upper, pair.lower]) for pair in wrong]

    @cached_property
    def summary(self) -> str:
        """One sentence on what the differing pairs have in common."""
        if not self.differing:
            return _("See the reasons below and say them aloud.")
        pairs = len(self.differing)
        if pairs == 1:
            return _("One pair is the other way round.")
        dog, seen = Counter(
            side.armband for pair in self.differing for side in (pair.upper, pair.lower)
        ).most_common(1)[0]
        if seen == pairs:
            text = ngettext(
                "The %(n)s pair turns on %(dog)s.",
                "All %(n)s pairs turn on %(dog)s.",
                pairs,
            )
            return text % {"n": pairs, "dog": dog}
        named = Counter(pair.priority.name for pair in self.differing if pair.priority)
        if named:
            name, times = named.most_common(1)[0]
            if times * 2 >= pairs and times > 1:
                values = {"times": times, "n": pairs, "name": name.lower()}
                return _("%(times)s of the %(n)s pairs turn on %(name)s.") % values
        return _("The %(n)s pairs turn on different dogs and different points.") % {
            "n": pairs
        }

    @cached_property
    def figure(self):
        letters = {(p.upper.dog.id, p.lower.dog.id): p.letter for p in self.differing}
        return figure(
            self.attempt.answer["order"], self.key.groups, self.key.group_cuts, letters
        )

    @property
    def yours(self) -> list[dict]:
        return [self._entry(entry) for entry in self.figure.yours]

    @property
    def mentors(self) -> list[dict]:
        return [self._entry(entry) for entry in self.figure.key]

    @property
    def gaps(self) -> list[dict]:
        return [{"gap": gap, "word": cut_word(gap.cut)} for gap in self.figure.gaps]

    @property
    def figure_in_words(self) -> str:
        """What the figure shows, in one sentence."""
        yours = ", ".join(str(place["armband"]) for place in self.yours)
        mentors = ", ".join(str(place["armband"]) for place in self.mentors)
        crossings = len(self.figure.rings)
        text = ngettext(
            "The placing %(yours)s beside the key %(key)s. %(n)s crossing.",
            "The placing %(yours)s beside the key %(key)s. %(n)s crossings.",
            crossings,
        )
        return text % {"yours": yours, "key": mentors, "n": crossings}

    @property
    def unplaced(self) -> str:
        """Dogs of the ring that one side left without a place, in words."""
        drawn = {line.dog for line in self.figure.lines}
        rest = [
            str(self.armbands[dog])
            for dog in (*self.key.order, *self.attempt.answer["order"])
            if dog not in drawn
        ]
        if not rest:
            return ""
        return _("Placed on one side only: %(dogs)s.") % {"dogs": ", ".join(rest)}

    @property
    def has_halves(self) -> bool:
        return any(pair.verdict == "half" for pair in self.grade.pairs)

    @property
    def has_undecided(self) -> bool:
        return any(pair.verdict == "undecided" for pair in self.grade.pairs)

    @property
    def rings_have_letters(self) -> bool:
        return len(self.differing) <= MOST_LETTERS

    @cached_property
    def matrix(self) -> list[dict]:
        """The pairs in the key's order, upper half only: a row per dog but the last."""
        letters = {(p.upper.dog.id, p.lower.dog.id): p.letter for p in self.differing}
        rows: dict[str, list[dict]] = {}
        for pair in self.grade.pairs:
            upper, lower = self.armbands[pair.upper], self.armbands[pair.lower]
            letter = letters.get((pair.upper, pair.lower), "")
            rows.setdefault(pair.upper, []).append(
                {
                    "verdict": pair.verdict,
                    "letter": letter,
                    "mark": UNDECIDED.get(pair.verdict, ""),
                    "words": verdict_in_words(pair.verdict, upper, lower, letter),
                }
            )
        count = len(rows)
        return [
            {"armband": self.armbands[dog], "before": range(at), "cells": cells}
            for at, (dog, cells) in enumerate(rows.items())
        ][:count]

    @property
    def matrix_heads(self) -> list[int]:
        ring = [
            pair.lower
            for pair in self.grade.pairs
            if pair.upper == self.grade.pairs[0].upper
        ]
        return [self.armbands[dog] for dog in ring]

    @cached_property
    def all_reasons(self) -> list[dict]:
        """The mentor's reasons for every neighbour pair, to read and say aloud."""
        written = [
            (gap, self.key.reasons[pair])
            for gap, pair in enumerate(self.key.neighbours)
            if pair in self.key.reasons and self.key.reasons[pair].reason
        ]
        return [
            {
                **self._step(reason),
                "level": gap in self.key.level,
                "priority": self.priorities.get(reason.priority),
            }
            for gap, reason in written
        ]

    @cached_property
    def rulings(self) -> list[dict]:
        """Each dog that either side ruled on, and how the two compare."""
        yours, mentors = self.attempt.answer["rulings"], self.key.rulings
        verdicts = dict.fromkeys(self.grade.rulings.right, "right")
        verdicts |= dict.fromkeys(self.grade.rulings.missed, "missed")
        verdicts |= dict.fromkeys(self.grade.rulings.wrong, "wrong")
        return [
            {
                "armband": armband,
                "verdict": verdicts.get(dog, "wrong"),
                "yours": self._ruling(yours.get(dog)),
                "mentors": self._ruling(mentors.get(dog)),
                "placed": ordinal(self.attempt.answer["order"].index(dog) + 1)
                if dog in self.attempt.answer["order"]
                else "",
            }
            for dog, armband in self.armbands.items()
            if dog in yours or dog in mentors
        ]

    @cached_property
    def figures(self):
        return figures(self.grade, self.key.for_grading(self.content))

    @property
    def chance(self) -> dict | None:
        return chance_in_words(self.grade.random_as_good)

    @property
    def note(self) -> str:
        return self._say(self.key.note)

    @cached_property
    def priority_to_read(self):
        """The priority on which most of the differing pairs turn."""
        turned = [pair.priority for pair in self.differing if pair.priority]
        return Counter(turned).most_common(1)[0][0] if turned else None

    def _explain(self, pair, letter) -> Explained:
        dogs = self.content.by_id
        upper, lower = dogs[pair.upper], dogs[pair.lower]
        chain = self._between(pair.upper, pair.lower)
        reasons = [self.key.reasons[step] for step in chain if step in self.key.reasons]
        priority = self._turned_on(upper, lower, reasons)
        fault = self._drawn_fault(priority, upper, lower)
        return Explained(
            letter=letter,
            upper=self._side(upper, priority, fault),
            lower=self._side(lower, priority, fault),
            had=self._had(pair.upper, pair.lower),
            cuts=self._cuts_between(pair.upper, pair.lower),
            steps=tuple(map(self._step, reasons)),
            priority=priority,
            overlay=self.pictures.overlay(upper, lower),
        )

    def _step(self, reason: Reason) -> dict:
        """A reason of the mentor's with the numbers that this reader saw."""
        return {
            "upper": self.armbands[reason.upper],
            "lower": self.armbands[reason.lower],
            "reason": self._say(reason.reason),
            "grant": self._say(reason.grant),
        }

    def _between(self, upper: str, lower: str) -> list[tuple[str, str]]:
        """The neighbour pairs from one dog down to the other; the pair itself if it has a reason."""
        if (upper, lower) in self.key.reasons:
            return [(upper, lower)]
        order = self.key.order
        if lower not in order:
            return []
        steps = order[order.index(upper) : order.index(lower) + 1]
        return list(pairwise(steps))

    def _cuts_between(self, upper: str, lower: str) -> tuple[int, ...]:
        order = self.key.order
        if lower not in order:
            return ()
        gaps = range(order.index(upper), order.index(lower))
        return tuple(
            self.key.cuts[gap]
            for gap in gaps
            if self.key.cuts[gap] and gap not in self.key.level
        )

    def _turned_on(self, upper: Dog, lower: Dog, reasons: list[Reason]):
        """The priority the mentor named; else the one that gains most by weight and level."""
        if len(reasons) == 1 and reasons[0].priority in self.priorities:
            return self.priorities[reasons[0].priority]
        gains = {
            slug: priority.weight * (upper.levels[slug] - lower.levels[slug])
            for slug, priority in self.priorities.items()
            if slug in upper.levels and slug in lower.levels
        }
        best = max(gains, key=gains.__getitem__, default=None)
        return self.priorities[best] if best and gains[best] > 0 else None

    def _had(self, upper: str, lower: str) -> str:
        """What the answer did with the pair, in words."""
        order, rulings = self.attempt.answer["order"], self.attempt.answer["rulings"]
        values = {"upper": self.armbands[upper], "lower": self.armbands[lower]}
        if upper in order:
            return _("You had %(lower)s over %(upper)s.") % values
        if upper in rulings:
            ruling = Ruling(rulings[upper]["ruling"]).label.lower()
            return _("You placed %(lower)s and had %(upper)s %(ruling)s.") % {
                **values,
                "ruling": ruling,
            }
        return _("You placed %(lower)s and left %(upper)s unplaced.") % values

    def _drawn_fault(self, priority, upper: Dog, lower: Dog):
        """The fault by which the plates tell the pair apart on this priority; None if by none."""
        if priority is None or not all(map(self.pictures.is_plate, (upper, lower))):
            return None
        return telling_fault(priority.plate_faults, (upper, lower))

    def _side(self, dog: Dog, priority, fault) -> Side:
        phrase = ""
        if priority and priority.slug in dog.levels:
            phrases = {phrase.level: phrase.text for phrase in priority.phrases.all()}
            phrase = phrases.get(dog.levels[priority.slug], "")
        armband = self.armbands[dog.id]
        if fault is None:
            return Side(dog, armband, self.pictures.of(dog, told=True), phrase)
        name = measured_by(fault.code)
        picture = self.pictures.of(dog, told=True, view=fault.view, measured=name)
        drawn = conformation_of(self.content.breed, dog)
        return Side(
            dog, armband, picture, phrase, plates.measured_text(drawn, [name])[0]
        )

    def _entry(self, entry) -> dict:
        place = ordinal(entry.place)
        return {
            "entry": entry,
            "armband": self.armbands[entry.dog],
            "marker": f"{place} =" if entry.tied else place,
        }

    def _ruling(self, entry) -> dict | None:
        if not entry:
            return None
        label = Ruling(entry["ruling"]).label
        return {"label": label, "reason": self._say(entry.get("reason", ""))}

    def _say(self, text: str) -> str:
        return with_numbers(text, self.armbands)


def verdict_in_words(verdict: str, upper: int, lower: int, letter: str) -> str:
    """A cell of the table of pairs, for people who hear it."""
    patterns = {
        "agreed": _("%(upper)s over %(lower)s: you too"),
        "disagreed": _(
            "%(upper)s over %(lower)s: you had %(lower)s over %(upper)s, see %(letter)s"
        ),
        "half": _("%(upper)s over %(lower)s: you placed neither, counts half"),
        "open": _("%(upper)s and %(lower)s: either order"),
        "undecided": _("%(upper)s over %(lower)s: you were not asked to place both"),
    }
    return patterns[verdict] % {"upper": upper, "lower": lower, "letter": letter}


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


def result_page(request, attempt, grades):
    """The result under the key that was in force, and below it those under later keys."""
    own = next(grade for grade in grades if grade.revision_id == attempt.revision_id)
    result = Result(attempt, own, revision=attempt.revision)
    later = [
        {
            "revision": grade.revision,
            "agreed": halves(grade.pairs_agreed),
            "counted": grade.pairs_counted,
        }
        for grade in grades
        if grade is not own
    ]
    context = {
        "attempt": attempt,
        "revision": attempt.revision,
        "module": attempt.revision.exercise.module,
        "result": result,
        "later": later,
        "is_own": attempt.trainee_id == request.user.pk,
        "can_twin": can_be_twinned(result.content),
    }
    return render(request, "quizzes/placing/result.html", context)
