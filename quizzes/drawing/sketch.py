"""A dog on the workbench: read from an address, written as one, drawn in every view.

Everything stands in the address, so a drawing can be bookmarked and shared. Nonsense in an address
is left out, and what is out of range is taken to its end.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from django.utils.http import urlencode

from quizzes import plates
from quizzes.drawing import builds
from quizzes.drawing.builds import number
from quizzes.drawing.dogs import breed_of, conformation_of
from quizzes.plates import Breed, Conformation

SEXES = ("dog", "bitch")
HIGHEST_SEED = 99_999
BUILD = "b-"
"""Before the name of a proportion in an address."""


@dataclass(frozen=True)
class Sketch:
    """A drawn dog with what is laid over it.

    faults : code -> strength, 0 to 1; only those above 0
    own : the build of a breed that a club draws from `breed`; empty for the breed itself
    build : what departs from `breed` in this dog, with what its own breed has (quizzes/drawing/builds.py)
    measures : names of the measurements laid over the plates
    """

    breed: str = "unnamed-dog"
    sex: str = "dog"
    coat_seed: int = 1
    mirror: bool = False
    faults: Mapping[str, float] = field(default_factory=dict)
    build: Mapping[str, float | str] = field(default_factory=dict)
    measures: tuple[str, ...] = ()
    landmarks: bool = False
    ideal: bool = False
    own: Mapping[str, float | str] = field(default_factory=dict)

    @classmethod
    def read(cls, query) -> Sketch:
        """The dog of an address; `query` is its QueryDict.

        Its "was" names the breed whose build the page showed: with another breed that is left behind.
        """
        breed, own = builds.read(query.get("breed"))
        stays = builds.read(query.get("was", query.get("breed"))) == (breed, own)
        build = builds.settled(breed, _asked(query) if stays else {}, own)
        return cls(
            breed=breed,
            sex=_one_of(query.get("sex"), SEXES),
            coat_seed=int(number(query.get("seed"), 0, HIGHEST_SEED, 1)),
            mirror=bool(query.get("mirror")),
            faults=_faults(query),
            build=build,
            measures=tuple(name for name in query.getlist("m") if name in MEASURES),
            landmarks=bool(query.get("landmarks")),
            ideal=bool(query.get("ideal")),
            own=own,
        )

    @classmethod
    def of_dog(cls, breed: str, dog, own: Mapping | None = None) -> Sketch:
        """A dog of a class, as drawn there; `own` is the build of the module's breed."""
        return cls(
            breed=breed,
            sex=dog.sex,
            coat_seed=dog.coat_seed,
            mirror=dog.mirror,
            faults=dict(dog.faults),
            build=dict(dog.build),
            own=dict(own or {}),
        )

    @classmethod
    def of_document(cls, document: Mapping) -> Sketch:
        return cls(**{**document, "measures": tuple(document.get("measures", ()))})

    def document(self) -> dict:
        return {
            "breed": self.breed,
            "sex": self.sex,
            "coat_seed": self.coat_seed,
            "mirror": self.mirror,
            "faults": dict(self.faults),
            "build": dict(self.build),
            "measures": list(self.measures),
            "landmarks": self.landmarks,
            "ideal": self.ideal,
            "own": dict(self.own),
        }

    @cached_property
    def query(self) -> str:
        """The shortest address that gives this dog."""
        pairs: list[tuple[str, object]] = [("breed", self.named), ("sex", self.sex)]
        pairs.append(("seed", self.coat_seed))
        pairs += [(code, round(100 * part)) for code, part in self.faults.items()]
        pairs += [
            (name if name in builds.WORDS else f"{BUILD}{name}", value)
            for name, value in self.departures.items()
        ]
        pairs += [("m", name) for name in self.measures]
        ticks = ("mirror", "landmarks", "ideal")
        pairs += [(name, 1) for name in ticks if getattr(self, name)]
        return urlencode(pairs)

    @property
    def named(self) -> str:
        """The breed with the club's own build, as one word."""
        return builds.spelled(self.breed, self.own)

    @property
    def departures(self) -> Mapping[str, float | str]:
        """What is built otherwise in this dog than in its own breed."""
        return builds.departures(self.breed, self.build, self.own)

    @property
    def dog(self) -> Conformation:
        return conformation_of(self.breed, self)

    @property
    def file_name(self) -> str:
        """What its drawings are called as files."""
        return "own-breed" if self.own else self.breed

    @property
    def built(self) -> Breed:
        """The breed with the ear, coat and pattern that were chosen."""
        return breed_of(self.breed, self.build)

    @property
    def ideal_dog(self) -> Conformation:
        """The breed's own dog of this sex, without a fault and as it is built."""
        return conformation_of(self.breed, replace(self, faults={}, build=self.own))

    def svg(self, view: str, theme: str, size: str = "large", caption="") -> str:
        """The plate of a view, with the measurements of that view over it."""
        dog, found = self.dog, plates.measure(self.dog)
        shown = [name for name in self.measures if found[name].view == view]
        marks = LANDMARKS if self.landmarks and view == "side" else ()
        x, y, wide, high = plates.view_box([dog], view)
        room = ROOM_FOR_NAMES if marks else 0.0
        return plates.draw(
            dog,
            view,
            theme,
            size,
            box=(x - room, y, wide + 2 * room, high),
            measures=shown,
            landmarks=marks,
            caption=caption or None,
        )

    def overlay_svg(self, theme: str) -> str:
        """The dog's outline over that of the breed's own."""
        return plates.overlay(self.dog, self.ideal_dog, theme=theme)


# Those that a hand can find; all of them would cover the dog.
LANDMARKS = (
    *("occiput", "stop_low", "nose", "withers", "back_mid", "croup_top", "tail_set"),
    *("point_of_shoulder", "prosternum", "point_of_elbow", "carpus"),
    *("brisket", "tuck", "point_of_buttock", "stifle", "point_of_hock"),
)

ROOM_FOR_NAMES = 26.0
"""Left and right of a plate whose landmarks are named."""

MEASURES = plates.measure(plates.conformation("unnamed-dog"))
"""Every measurement there is, by name; the values are those of the unnamed dog."""


def _one_of(value, known) -> str:
    return value if value in known else next(iter(known))


def _faults(query) -> dict[str, float]:
    given = {code: number(query.get(code), 0, 100, 0) for code in plates.FAULTS}
    return {code: round(part) / 100 for code, part in given.items() if round(part)}


def _asked(query) -> dict[str, str]:
    """What an address says of the build, by name."""
    words = {name: query.get(name) for name in builds.WORDS}
    return words | {name: query.get(BUILD + name) for name in plates.CONTROLS}
