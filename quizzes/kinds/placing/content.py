"""What a class to place shows, and its key, as the documents that a revision stores.

Both are read into frozen values before anything is done with them, so that no other code
knows how they are stored.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from itertools import pairwise

from quizzes import grading

SMALLEST, LARGEST = 2, 12
REFERENCE = re.compile(r"\{(\w+)\}")
NUMBER = re.compile(r"\{?\b(\d{1,3})\b\}?")


@dataclass(frozen=True)
class Dog:
    """One dog of a class. Levels run from 0 (faulty) to 4 (ideal), by a priority's slug.

    faults, coat_seed, mirror, build : what its plate is drawn from (quizzes/drawing/)
    drawn : False for a dog that stays a description in a class of drawn dogs
    picture, pictures : ids of photographs; the one shown first, and others by their view
    library, library_version : the dog of the club's library it was copied from, as that stood then
    """

    id: str
    armband: int | None = None
    sex: str = "dog"
    age_months: int | None = None
    ringside: str = ""
    hands_on: str = ""
    levels: Mapping[str, int] = field(default_factory=dict)
    faults: Mapping[str, float] = field(default_factory=dict)
    coat_seed: int = 0
    mirror: bool = False
    build: Mapping[str, float | str] = field(default_factory=dict)
    drawn: bool = True
    picture: str = ""
    credit: str = ""
    pictures: Mapping[str, str] = field(default_factory=dict)
    library: int | None = None
    library_version: int = 0

    @property
    def photographs(self) -> frozenset[str]:
        """The ids of all its photographs."""
        return frozenset((self.picture, *self.pictures.values())) - {""}

    @property
    def is_blank(self) -> bool:
        """True if nothing was said, drawn or shown of it yet."""
        said = (self.ringside, self.hands_on, self.levels, self.faults, self.build)
        return not any((*said, self.photographs, self.age_months, self.library))


@dataclass(frozen=True)
class ClassContent:
    """The dogs in no meaningful order, and how many places are given (None: all).

    hand_later : what the hand finds is told once the trainee goes over the dog
    picture_goes : the picture goes when the dog is gone over, as one leaves the ring-side
    ask_reasons : each pair of neighbours is given reasons before the placing is handed in
    """

    dogs: tuple[Dog, ...] = ()
    places: int | None = None
    breed: str = ""
    hand_later: bool = False
    picture_goes: bool = False
    ask_reasons: bool = False

    @classmethod
    def read(cls, document: Mapping) -> ClassContent:
        return cls(
            dogs=tuple(Dog(**dog) for dog in document.get("dogs", ())),
            places=document.get("places"),
            breed=document.get("breed", ""),
            hand_later=document.get("hand_later", False),
            picture_goes=document.get("picture_goes", False),
            ask_reasons=document.get("ask_reasons", False),
        )

    def document(self) -> dict:
        return asdict(self)

    def __iter__(self) -> Iterator[Dog]:
        return iter(self.dogs)

    def __len__(self) -> int:
        return len(self.dogs)

    @property
    def by_id(self) -> dict[str, Dog]:
        return {dog.id: dog for dog in self.dogs}

    @property
    def sex(self) -> str:
        """ "dog" or "bitch" where all are of one sex, else "mixed"."""
        sexes = {dog.sex for dog in self.dogs}
        return sexes.pop() if len(sexes) == 1 else "mixed"

    @property
    def pictures(self) -> frozenset[str]:
        """The ids of the photographs that the dogs have."""
        return frozenset().union(*(dog.photographs for dog in self.dogs))

    def without_picture(self, dog: str) -> ClassContent:
        """The class with that dog's photographs taken away."""
        bare = {"picture": "", "credit": "", "pictures": {}}
        return self.changed(dog, **bare)

    def with_dogs(self, more: Sequence[Dog]) -> ClassContent:
        """The class with those dogs at its end."""
        return replace(self, dogs=(*self.dogs, *more))

    def changed(self, dog: str, **values) -> ClassContent:
        """The class with other values for that dog."""
        dogs = (replace(one, **values) if one.id == dog else one for one in self.dogs)
        return replace(self, dogs=tuple(dogs))


@dataclass(frozen=True)
class Reason:
    """Why the upper dog is higher, and what the lower has that the upper lacks."""

    upper: str
    lower: str
    reason: str = ""
    grant: str = ""
    priority: str = ""


@dataclass(frozen=True)
class ClassKey:
    """The mentor's key: an order best first, and between two neighbours a cut or "either order".

    cuts : one per gap, None where the mentor gave none
    level : gaps (by index) whose two dogs may stand in either order
    rulings : dog id -> {"ruling", "reason"}
    reasons : by (upper, lower); those whose pair is no neighbour now are kept
    apart : by (upper, lower), the cut and "either order" of pairs that are no neighbours now
    mentors : how many, if a panel made the key; 0 for one mentor's own
    """

    order: tuple[str, ...] = ()
    cuts: tuple[int | None, ...] = ()
    level: frozenset[int] = frozenset()
    rulings: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    reasons: Mapping[tuple[str, str], Reason] = field(default_factory=dict)
    note: str = ""
    mentors: int = 0
    apart: Mapping[tuple[str, str], tuple[int | None, bool]] = field(
        default_factory=dict
    )

    @classmethod
    def read(cls, document: Mapping) -> ClassKey:
        pairs = (
            Reason(**{**pair, "priority": pair.get("priority") or ""})
            for pair in document.get("pairs", ())
        )
        order = tuple(document.get("order", ()))
        gaps = max(len(order) - 1, 0)
        cuts = tuple(document.get("cuts") or ())[:gaps]
        return cls(
            order=order,
            cuts=cuts + (None,) * (gaps - len(cuts)),
            level=frozenset(gap for gap in document.get("level", ()) if gap < gaps),
            rulings=document.get("rulings", {}),
            reasons={(pair.upper, pair.lower): pair for pair in pairs},
            note=document.get("note", ""),
            mentors=document.get("panel", {}).get("mentors", 0),
            apart={
                (one["upper"], one["lower"]): (one["cut"], one["level"])
                for one in document.get("apart", ())
            },
        )

    def document(self) -> dict:
        panel = {"panel": {"mentors": self.mentors}} if self.mentors else {}
        apart = [
            {"upper": upper, "lower": lower, "cut": cut, "level": level}
            for (upper, lower), (cut, level) in self.apart.items()
        ]
        return {
            "order": list(self.order),
            "cuts": list(self.cuts),
            "level": sorted(self.level),
            "rulings": {dog: dict(ruling) for dog, ruling in self.rulings.items()},
            "pairs": [asdict(pair) for pair in self.reasons.values()],
            "note": self.note,
            **panel,
            **({"apart": apart} if apart else {}),
        }

    @property
    def groups(self) -> tuple[tuple[str, ...], ...]:
        """The order with dogs that may stand in either order side by side."""
        groups: list[list[str]] = []
        for place, dog in enumerate(self.order):
            if place and place - 1 in self.level:
                groups[-1].append(dog)
            else:
                groups.append([dog])
        return tuple(map(tuple, groups))

    @property
    def group_cuts(self) -> tuple[int | None, ...]:
        """The cuts between the groups; a gap inside a group has none."""
        return tuple(cut for gap, cut in enumerate(self.cuts) if gap not in self.level)

    @property
    def neighbours(self) -> tuple[tuple[str, str], ...]:
        return tuple(pairwise(self.order))

    def places(self) -> dict[str, int]:
        """The place of each placed dog; dogs in either order share the better place."""
        places, next_place = {}, 1
        for group in self.groups:
            places |= dict.fromkeys(group, next_place)
            next_place += len(group)
        return places

    def placed_last(self, dog: str) -> ClassKey:
        """The key with the dog below all that are placed."""
        if dog in self.order:
            return self
        return self.reordered((*self.order, dog))

    def without_place(self, dog: str) -> ClassKey:
        """The key with the dog back in the line."""
        return self.reordered([other for other in self.order if other != dog])

    def reordered(self, order: Sequence[str]) -> ClassKey:
        """The key in another order: what was said of a pair comes back when the two are neighbours again.

        A cut belongs to a pair one way round, "either order" to it both ways; neighbours of whom
        nothing was said have no cut and are not level.
        """
        known = dict(self.apart)
        for gap, (upper, lower) in enumerate(self.neighbours):
            level = gap in self.level
            known[upper, lower] = (self.cuts[gap], level)
            known[lower, upper] = (known.get((lower, upper), (None, False))[0], level)
        pairs = tuple(pairwise(order))
        said = [known.get(pair, (None, False)) for pair in pairs]
        return replace(
            self,
            order=tuple(order),
            cuts=tuple(cut for cut, _level in said),
            level=frozenset(gap for gap, (_cut, level) in enumerate(said) if level),
            apart={
                pair: about
                for pair, about in known.items()
                if pair not in pairs and any(about) and not _is_told(pair, pairs, about)
            },
        )

    def unruled(self, dog: str) -> ClassKey:
        """The key with no ruling on the dog."""
        rest = {other: entry for other, entry in self.rulings.items() if other != dog}
        return replace(self, rulings=rest)

    def without(self, dog: str) -> ClassKey:
        """The key of the class without that dog."""
        key = self.without_place(dog).unruled(dog)
        kept = {pair: text for pair, text in key.reasons.items() if dog not in pair}
        apart = {pair: about for pair, about in key.apart.items() if dog not in pair}
        return replace(key, reasons=kept, apart=apart)

    def for_grading(self, content: ClassContent) -> grading.Key:
        """The key as grading takes it. Raises grading.KeyProblem when it can't be used."""
        cuts = self.group_cuts
        given = [cut for cut in cuts if cut]
        if given and len(given) < len(cuts):
            raise grading.KeyProblem(
                "Give a cut between all neighbours that are not level, or none at all."
            )
        rulings = {dog: entry["ruling"] for dog, entry in self.rulings.items()}
        return grading.Key(
            order=self.groups,
            cuts=cuts if given else None,
            rulings=rulings,
            unplaced=tuple(
                dog.id
                for dog in content
                if dog.id not in self.order and dog.id not in rulings
            ),
        )


def _is_told(pair, pairs, about) -> bool:
    """Whether the pair stands the other way round and there was no cut to keep: its tie is said there."""
    return pair[::-1] in pairs and about[0] is None


def with_numbers(text: str, armbands: Mapping[str, int | None]) -> str:
    """The text with "{dog id}" replaced by the armband that dog wears for this reader."""
    return REFERENCE.sub(lambda found: str(armbands.get(found[1], found[0])), text)


def with_references(text: str, armbands: Mapping[str, int | None]) -> str:
    """The text as a mentor writes it, with each number that is one of these dogs' armbands
    turned into "{dog id}", so that it follows the dog when numbers are drawn anew."""
    ids = {str(armband): dog for dog, armband in armbands.items()}
    return NUMBER.sub(
        lambda found: f"{{{ids[found[1]]}}}" if found[1] in ids else found[0], text
    )
