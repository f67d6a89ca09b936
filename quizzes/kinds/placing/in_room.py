"""A class placed by a room at once: cards in judges' notation, sums of all answers, what one person is told.

Sums are documents: ids of dogs are turned into armbands, no person is in them, and nothing that has to be
translated. A class in a room keeps its numbers, so everybody means the same dog by the same armband.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property
from itertools import islice

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from quizzes import grading
from quizzes.grading.agreement import concordance, ranks_of
from quizzes.grading.batch import RULING_CODE
from quizzes.grading.cards import CardReader
from quizzes.kinds.in_room import AtRoom, InRoom, dog_cards, line_of
from quizzes.kinds.placing.board import Ruling
from quizzes.kinds.placing.content import ClassContent, ClassKey, with_numbers
from quizzes.kinds.placing.crossed import Crossed
from quizzes.kinds.placing.pictures import photograph_ids, plate_of

IN_RING = ("", "withheld")
SEPARATORS = re.compile(r"[\s,.;/+]+")


class Room(InRoom):
    """A class placed at once: a card is an order and rulings; reasons are given aloud."""

    ask = "quizzes/placing/_ask_in_room.html"
    told_by = "quizzes/placing/_told_in_room.html"
    styles = ("css/crossing.css",)
    hand_in = gettext_lazy("Hand in the placing")

    @cached_property
    def content(self):
        return {**self.revision.content, "ask_reasons": False, "hand_later": False}

    @cached_property
    def klass(self) -> ClassContent:
        return ClassContent.read(self.revision.content)

    @cached_property
    def armbands(self) -> dict[str, int]:
        """The number each dog wears in the room, by its id, the lowest first."""
        worn = {dog["id"]: dog["armband"] for dog in self.revision.content["dogs"]}
        return dict(sorted(worn.items(), key=lambda one: one[1]))

    def cards(self, at):
        shown = photograph_ids(self.klass, self.revision.exercise.club_id)
        cards = dog_cards(AtRoom(self.klass, self.revision, at, shown))
        return [cards[dog] for dog in self.armbands]

    def asked(self, shown, answer, at):
        cards = self.cards(at)
        # Live dogs are looked at in the ring.
        seen = any(one.picture or one.dog.ringside for one in cards)
        return {
            "armbands": list(self.armbands.values()),
            "cards": cards if seen else [],
        }

    def sent(self, shown, post):
        placing, rulings = post.get("placing", ""), post.get("rulings", "")
        return read_card(self.armbands, placing, rulings)

    def gathered(self, answers):
        return gathered(self.revision.content, self.revision.key, answers)

    def told(self, hand, at):
        told_ = told(self.revision.content, self.revision.key, hand.answer)
        crossed = Crossed(self.revision, hand.answer, hand.grade)
        letters = {
            (self.armbands[upper], self.armbands[lower]): letter
            for (upper, lower), letter in crossed.letters.items()
        }
        for pair in told_["differ"]:
            pair["letter"] = letters[pair["upper"], pair["lower"]]
        told_["differ"].sort(key=lambda pair: (len(pair["letter"]), pair["letter"]))
        return {
            **told_,
            "crossed": crossed if crossed.figure.lines else None,
            "reasons": self._reasons(),
            "is_ruled": any(
                dog["your_ruling"] or dog["key_ruling"] for dog in told_["dogs"]
            ),
        }

    def _reasons(self) -> list[dict]:
        """The mentor's reasons for neighbours, from the top."""
        key = ClassKey.read(self.revision.key)
        pairs = (pair for pair in key.neighbours if pair in key.reasons)
        found = [
            {
                "upper": self.armbands[upper],
                "lower": self.armbands[lower],
                **_why(key, self.armbands, upper, lower),
            }
            for upper, lower in pairs
        ]
        return [one for one in found if one["reason"]]

    def in_writing(self, answer):
        return written(self.armbands, answer) if answer else ("", "")

    def on_stage(self, at):
        numbers = list(self.armbands.values())
        return {"armbands": numbers, "dogs": line_of(self.cards(at))}

    def plate(self, request, what, place, *, told):
        return plate_of(request, self.klass, what, told=told)

    @property
    def photographs(self):
        return self.klass.pictures


def read_card(armbands: Mapping[str, int], placing: str, rulings: str = "") -> dict:
    """An answer from a placing as judges write it, 4-2-3-1, and rulings, "31 excused". Raises ValidationError.

    armbands : number by dog's id. Blanks and commas are taken for hyphens.
    """
    dogs = {str(number): dog for dog, number in armbands.items()}
    # The reader asks for a key only to know who is in the class; this one says nothing.
    numbers = sorted(dogs, key=int)
    reader = CardReader(grading.Key(order=tuple((one,) for one in numbers)))
    found = reader.read(_hyphened(placing, dogs), rulings)
    if found.problem:
        raise ValidationError(f"{found.problem[0].upper()}{found.problem[1:]}.", "card")
    if "=" in placing:
        text = _("Give each dog a place of its own.")
        raise ValidationError(text, code="level")
    placed = sorted((place, n) for n, place in enumerate(found.places) if place)
    words = {code: name for name, code in RULING_CODE.items() if name}
    return {
        "order": [dogs[numbers[n]] for _place, n in placed],
        "rulings": {
            dogs[numbers[n]]: {"ruling": words[code], "reason": _reason(words[code])}
            for n, code in enumerate(found.rulings)
            if code
        },
    }


def _hyphened(placing: str, dogs: Mapping[str, str]) -> str:
    """4 2 3 1 as 4-2-3-1, and 4231 too where it can be read in one way only."""
    text = placing.strip().strip("-")
    if text.isdecimal() and text not in dogs:
        found = list(islice(_parted(text, frozenset(dogs)), 2))
        if len(found) == 1:
            return "-".join(found[0])
    return SEPARATORS.sub("-", text)


def _parted(text: str, dogs: frozenset[str]) -> Iterable[tuple[str, ...]]:
    """The ways in which digits are numbers of dogs, each there once."""
    if not text:
        yield ()
    for dog in dogs:
        if text.startswith(dog):
            for rest in _parted(text[len(dog) :], dogs - {dog}):
                yield (dog, *rest)


def _reason(ruling: str) -> str:
    return _("given in the room") if Ruling(ruling).needs_reason else ""


def written(armbands: Mapping[str, int], answer: Mapping) -> tuple[str, str]:
    """The placing and the rulings of an answer as a card has them."""
    order = "-".join(str(armbands[dog]) for dog in answer.get("order", ()))
    rulings = (
        f"{armbands[dog]} {entry['ruling']}"
        for dog, entry in answer.get("rulings", {}).items()
    )
    return order, "; ".join(rulings)


def gathered(content: Mapping, key: Mapping, answers: Iterable[Mapping]) -> dict:
    """What a room has done with the class, under its key, for screens that count nothing themselves."""
    klass, mentors = ClassContent.read(content), ClassKey.read(key)
    answers = list(answers)
    armbands = {dog.id: dog.armband for dog in klass}
    graded = mentors.for_grading(klass)
    found = concordance(_ranks(answers, graded.ring))
    return {
        "kind": "placing",
        "places": min(klass.places or len(klass), len(klass)),
        "rows": _rows(klass, mentors, answers),
        "pairs": _pairs(klass, mentors, graded, answers),
        "separated": graded.separated,
        "w": found and {"w": found.w, "dogs": found.dogs, "by_chance": found.by_chance},
        "order": [armbands[dog] for dog in mentors.order],
        "cuts": list(mentors.cuts),
        "note": with_numbers(mentors.note, armbands),
    }


def _ranks(answers: Sequence[Mapping], ring: Sequence[str]):
    """Ranks of the key's ring; a dog that somebody ruled out is not ranked by them."""
    orders = []
    for answer in answers:
        ruled = answer.get("rulings", {})
        rest = tuple(
            dog
            for dog in ring
            if dog not in answer["order"]
            and ruled.get(dog, {}).get("ruling", "") in IN_RING
        )
        placed = tuple((dog,) for dog in answer["order"])
        orders.append((*placed, rest) if rest else placed)
    return ranks_of(orders, ring)


def _rows(klass, mentors, answers) -> list[dict]:
    """Each dog, in the key's order: how often in which place, how often which ruling."""
    counts: dict[str, Counter] = defaultdict(Counter)
    for answer in answers:
        for place, dog in enumerate(answer["order"], start=1):
            counts[dog][place] += 1
        for dog, entry in answer.get("rulings", {}).items():
            counts[dog][entry["ruling"]] += 1
    places, shared = mentors.places(), Counter(mentors.places().values())
    order = [*mentors.order, *(dog.id for dog in klass if dog.id not in mentors.order)]
    armbands = {dog.id: dog.armband for dog in klass}
    last = min(klass.places or len(klass), len(klass))
    return [
        {
            "armband": armbands[dog],
            "counts": [counts[dog][place] for place in range(1, last + 1)],
            "key": [
                place
                for place in range(1, last + 1)
                if dog in places
                and places[dog] <= place < places[dog] + shared[places[dog]]
            ],
            "ruled": sum(counts[dog][ruling] for ruling in Ruling.values),
            "ruling": mentors.rulings.get(dog, {}).get("ruling", ""),
        }
        for dog in order
    ]


def _pairs(klass, mentors, graded, answers) -> list[dict]:
    """Each two dogs that the key separates: how many have them so, and the mentor's reason."""
    agreed, of = Counter(), Counter()
    for answer in answers:
        for pair in _graded(graded, answer).pairs:
            if pair.verdict in ("agreed", "disagreed", "half"):
                of[pair.upper, pair.lower] += 1
                agreed[pair.upper, pair.lower] += {"agreed": 1, "half": 0.5}.get(
                    pair.verdict, 0
                )
    armbands = {dog.id: dog.armband for dog in klass}
    return [
        {
            "upper": armbands[upper],
            "lower": armbands[lower],
            "agreed": agreed[upper, lower],
            "of": n,
            **_why(mentors, armbands, upper, lower),
        }
        for (upper, lower), n in of.items()
    ]


def _graded(key, answer) -> grading.Grade:
    rulings = {dog: one["ruling"] for dog, one in answer.get("rulings", {}).items()}
    order = tuple((dog,) for dog in answer["order"])
    return grading.grade(key, grading.Answer(order=order, rulings=rulings))


def _why(mentors, armbands, upper: str, lower: str) -> dict:
    said = mentors.reasons.get((upper, lower))
    return {
        "reason": with_numbers(said.reason, armbands) if said else "",
        "grant": with_numbers(said.grant, armbands) if said else "",
    }


def told(content: Mapping, key: Mapping, answer: Mapping) -> dict:
    """One person's own placing beside the key: dog by dog, and the pairs that differ with the mentor's reasons."""
    klass, mentors = ClassContent.read(content), ClassKey.read(key)
    armbands = {dog.id: dog.armband for dog in klass}
    graded = _graded(mentors.for_grading(klass), answer)
    places, mine = mentors.places(), answer["order"]
    ruled = answer.get("rulings", {})
    dogs = [*mentors.order, *(dog for dog in armbands if dog not in mentors.order)]
    return {
        "agreed": graded.pairs_agreed,
        "counted": graded.pairs_counted,
        "dogs": [
            {
                "armband": armbands[dog],
                "yours": mine.index(dog) + 1 if dog in mine else None,
                "key": places.get(dog),
                "level": list(places.values()).count(places.get(dog)) > 1,
                "your_ruling": _label(ruled.get(dog)),
                "key_ruling": _label(mentors.rulings.get(dog)),
            }
            for dog in dogs
        ],
        "differ": [
            {
                "upper": armbands[pair.upper],
                "lower": armbands[pair.lower],
                **_why(mentors, armbands, pair.upper, pair.lower),
            }
            for pair in graded.pairs
            if pair.verdict == "disagreed"
        ],
        "note": with_numbers(mentors.note, armbands),
    }


def _label(entry) -> str:
    return str(Ruling(entry["ruling"]).label) if entry else ""
