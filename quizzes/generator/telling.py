"""Dogs that a mentor gave levels, drawn and worded from them as those of a made class are."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from copy import deepcopy

from quizzes.generator.drawing import drawn_in, faults_of, traces_of
from quizzes.generator.findings import answer_in
from quizzes.generator.streams import Stream
from quizzes.generator.texts import describe
from quizzes.generator.wishes import Document, Priority

COATS = 10_000, 99_999
TEXTS = ("ringside", "hands_on")


def told_from_levels(
    priorities: Sequence[Priority],
    content: Mapping,
    *,
    draw: Collection[str] = (),
    word: Collection[str] = (),
) -> Document:
    """The class with these dogs drawn and these worded from their levels; the rest stays.

    content : a class whose dogs have a level on every priority
    draw : ids of the dogs whose drawing is made anew
    word : ids of the dogs whose texts are replaced; an empty ring-side text is filled in any dog,
        and with it an empty one under the hand
    """
    mine, new = tuple(priorities), deepcopy(dict(content))
    look = drawn_in(mine, new)
    texts = describe(new["dogs"], mine, look.felt)
    for dog in new["dogs"]:
        if dog["id"] in draw:
            shown = faults_of(look, dog["id"], dog["levels"])
            dog["faults"] = shown | traces_of(look, dog["id"])
            coat = Stream.of(dog["id"], "coat").between(*COATS)
            dog["coat_seed"] = dog["coat_seed"] or coat
        dog |= _worded(dog, texts[dog["id"]], dog["id"] in word)
    return new


def _worded(dog: Document, texts: Mapping[str, str], anew: bool) -> dict[str, str]:
    """The texts that take the place of the dog's own; an answer to the class's question stays."""
    if not anew and dog["ringside"].strip():
        return {}
    return {
        name: f"{texts[name]} {answer_in(dog[name])}".strip()
        for name in TEXTS
        if anew or not dog[name].strip()
    }
