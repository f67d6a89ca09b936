"""What the result page says: the headline, the figure, each pair that differs and why."""

from __future__ import annotations

from collections import Counter
from functools import cached_property

from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from quizzes import grading
from quizzes.kinds.placing.board import Ruling
from quizzes.kinds.placing.content import ClassContent, ClassKey, with_numbers
from quizzes.kinds.placing.crossing import MOST_LETTERS, figure
from quizzes.kinds.placing.explained import OPEN, Explained, Explainer
from quizzes.kinds.placing.figures import chance_in_words, figures
from quizzes.kinds.placing.pictures import Pictures, can_be_twinned
from quizzes.kinds.placing.places import cut_word, ordinal
from quizzes.kinds.placing.reader import Reader, either, in_words, joined
from quizzes.kinds.placing.reasons import ReasonsTold
from quizzes.kinds.placing.table import PairTable
from quizzes.words import halves


class Result:
    """An attempt that was handed in, beside the key of one revision."""

    def __init__(self, attempt, grade, *, revision, reader=None):
        self.attempt, self.stored, self.revision = attempt, grade, revision
        self.reader = reader or Reader()

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
            return self.reader.says(
                _(
                    "There is no pair here that the key and your placing can be compared on"
                ),
                _(
                    "There is no pair here that the key and this placing can be compared on"
                ),
            )
        if self.is_made:
            every = _("Every pair as the key has it")
            some = _("%(agreed)s of %(counted)s pairs as the key has them")
        else:
            every = _("Every pair as the mentor has it")
            some = _("%(agreed)s of %(counted)s pairs as the mentor has them")
        if agreed == counted:
            return every
        return some % {"agreed": halves(agreed), "counted": counted}

    @property
    def is_made(self) -> bool:
        """True if the key follows from the mentor's weights and phrases, unread by any mentor: "the mentor" has not said it."""
        return self.revision.exercise.from_weights

    @cached_property
    def table(self) -> PairTable:
        return PairTable(
            pairs=self.grade.pairs,
            key=self.key,
            placed=self.attempt.answer["order"],
            armbands=self.armbands,
            letters=self.explainer.letters,
            reader=self.reader,
        )

    @cached_property
    def explainer(self) -> Explainer:
        return Explainer(
            content=self.content,
            key=self.key,
            answer=self.attempt.answer,
            armbands=self.armbands,
            priorities=self.priorities,
            pictures=self.pictures,
            reader=self.reader,
            pairs=self.grade.pairs,
        )

    @property
    def differing(self) -> list[Explained]:
        return self.explainer.explained

    @property
    def opened(self) -> list[Explained]:
        """The gravest pairs, explained in full."""
        return self.differing[:OPEN]

    @property
    def folded(self) -> list[Explained]:
        return self.differing[OPEN:]

    @property
    def order_of_pairs(self) -> str:
        """What comes first among the pairs, and what is folded away."""
        if len(self.differing) < 2:
            return ""
        said = (
            _("The widest cut comes first.")
            if any(pair.cuts for pair in self.differing)
            else _("Those furthest apart in the key come first.")
        )
        if not self.folded:
            return said
        rest = ngettext(
            "%(n)s more is folded below.",
            "%(n)s more are folded below.",
            len(self.folded),
        )
        return f"{said} {rest % {'n': in_words(len(self.folded)).capitalize()}}"

    @property
    def measured(self) -> dict[str, str]:
        """How the measurements beside the plates are taken, by their names."""
        taken: dict[str, str] = {}
        for pair in self.differing:
            taken |= pair.taken
        return taken

    @cached_property
    def summary(self) -> str:
        """What the differing pairs have in common."""
        if not self.differing:
            return self.reader.says(
                _("Check your own reasons against these."),
                _("The reasons, from the top."),
            )
        pairs = len(self.differing)
        if pairs == 1:
            return _("One pair is the other way round.")
        order = self.attempt.answer["order"]
        left_out = [dog for dog in self.key.order if dog not in order]
        said = self.reader.summary(
            self.explainer.wrong, self.shifts, left_out, self.armbands
        )
        return f"{said} {self._turned_on()}".strip()

    def _turned_on(self) -> str:
        """The priority that the mentor names for half of the pairs or more; none for a single one."""
        pairs = len(self.differing)
        turned = Counter(p.turned_on.name for p in self.differing if p.turned_on)
        name, times = turned.most_common(1)[0] if turned else ("", 0)
        if times < 2 or times * 2 < pairs:
            return ""
        if times < pairs:
            text = _("%(times)s of the %(n)s pairs turn on %(name)s.")
        elif pairs == 2:
            text = _("Both turn on %(name)s.")
        else:
            text = _("All turn on %(name)s.")
        return text % {"times": times, "n": pairs, "name": name.lower()}

    @property
    def shifts(self) -> dict[str, int]:
        """By how many places each dog stands too low, less than 0 for too high.

        Only dogs that both sides placed count, so that one dog placed in vain shifts no other.
        """
        order = self.attempt.answer["order"]
        groups = [[dog for dog in group if dog in order] for group in self.key.groups]
        shared = [dog for dog in order if dog in self.key.order]
        shifts, first = {}, 0
        for group in groups:
            for dog in group:
                at, last = shared.index(dog), first + len(group) - 1
                shifts[dog] = min(at - first, 0) + max(at - last, 0)
            first += len(group)
        return shifts

    @cached_property
    def figure(self):
        letters = {
            pair: letter if at < self.most_rings else ""
            for at, (pair, letter) in enumerate(self.explainer.letters.items())
        }
        return figure(
            self.attempt.answer["order"], self.key.groups, self.key.group_cuts, letters
        )

    @property
    def most_rings(self) -> int:
        """How many crossings get a letter: all of them, or those explained in full."""
        return MOST_LETTERS if len(self.differing) <= MOST_LETTERS else OPEN

    @property
    def rings(self) -> list[dict]:
        """The crossings, with the name of the link to the explanation; those with a letter on top."""
        text = _("%(upper)s over %(lower)s, see %(letter)s")
        return [
            {
                "ring": ring,
                "name": text
                % {
                    "upper": self.armbands[ring.upper],
                    "lower": self.armbands[ring.lower],
                    "letter": ring.letter,
                },
            }
            for ring in sorted(self.figure.rings, key=lambda ring: bool(ring.letter))
        ]

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
    def ties(self) -> list[str]:
        """For each tie of the key, which of its places a dog may stand in."""
        said, first = [], 1
        for group in self.key.groups:
            if len(group) > 1:
                places = range(first, first + len(group))
                text = (
                    _("%(dogs)s may stand in either order: %(places)s.")
                    if len(group) == 2
                    else _("%(dogs)s may stand in any order: %(places)s.")
                )
                said.append(
                    text
                    % {
                        "dogs": joined([str(self.armbands[dog]) for dog in group]),
                        "places": either([ordinal(place) for place in places]),
                    }
                )
            first += len(group)
        return said

    @property
    def line_styles(self) -> list[tuple[str, str]]:
        """The styles of line that occur, by their class, and what each means."""
        moved = {min(line.moved, 2) for line in self.figure.lines}
        styles = [
            ("", _("the same place")),
            ("crossing-moved", _("one place off")),
            ("crossing-moved crossing-far", _("two or more off")),
        ]
        return [style for at, style in enumerate(styles) if at in moved]

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
    def all_reasons(self) -> list:
        """The mentor's reasons for every neighbour pair, to read and say aloud."""
        return self.explainer.reasons

    @property
    def reasons_told(self) -> ReasonsTold:
        """The reasons that were given with the placing; falsy where none were asked."""
        return ReasonsTold(
            self.content,
            self.key,
            self.attempt.answer,
            self.armbands,
            self.priorities,
        )

    @cached_property
    def rulings(self) -> list[dict]:
        """Each dog that either side ruled on, and how the two compare."""
        yours, mentors = self.attempt.answer["rulings"], self.key.rulings
        verdicts = dict.fromkeys(self.grade.rulings.right, "right")
        verdicts |= dict.fromkeys(self.grade.rulings.missed, "missed")
        return [
            {
                "armband": armband,
                "verdict": verdicts.get(dog, "wrong"),
                "yours": self._ruling(yours.get(dog)),
                "mentors": self._ruling(mentors.get(dog)),
                "did": self.reader.did(self.attempt.answer, dog),
                "unruled": self._unruled(dog),
            }
            for dog, armband in self.armbands.items()
            if dog in yours or dog in mentors
        ]

    def _unruled(self, dog: str) -> str:
        """Where the key has a dog that it does not rule on."""
        for entry in self.figure.key:
            if entry.dog == dog:
                text = _(
                    "The key places it %(place)s: nothing here called for a ruling."
                )
                return text % {"place": self._entry(entry)["marker"]}
        return _("The key leaves it without a place, and without a ruling.")

    @cached_property
    def figures(self):
        key = self.key.for_grading(self.content)
        placed = sum(dog in key.ring for dog in self.attempt.answer["order"])
        return figures(self.grade, key, self.reader, placed=placed)

    @property
    def chance(self) -> dict | None:
        return chance_in_words(self.grade.random_as_good)

    @property
    def note(self) -> str:
        return self._say(self.key.note)

    @property
    def can_twin(self) -> bool:
        return can_be_twinned(self.content)

    @cached_property
    def priority_to_read(self):
        """The priority named most often at the pairs told in full; else where levels differ."""
        named = [p for pair in self.opened for p in self._in_order(pair.named)]
        named = named or [pair.differ_on for pair in self.differing if pair.differ_on]
        return Counter(named).most_common(1)[0][0] if named else None

    def _in_order(self, named: set) -> list:
        """Heaviest first, so that of two named as often it is the one to read."""
        return [one for one in self.priorities.values() if one in named]

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


def result_page(request, attempt, grades):
    """The result under the key that was in force, with those under later keys."""
    own = next(grade for grade in grades if grade.revision_id == attempt.revision_id)
    is_own = attempt.trainee_id == request.user.pk
    name = str(attempt.trainee or _("the trainee"))
    reader = Reader() if is_own else Reader(of=name)
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
        "result": Result(attempt, own, revision=attempt.revision, reader=reader),
        "later": later,
        "is_own": is_own,
        "who": reader.of,
    }
    return render(request, "quizzes/placing/result.html", context)
