"""The same class again in another coat, to see whether a person judges it alike."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from copy import deepcopy

from quizzes.generator.classes import ARMBANDS, coat_seeds, dog_ids
from quizzes.generator.streams import Stream
from quizzes.generator.texts import REMARKS
from quizzes.generator.wishes import Document, Priority
from quizzes.generator.words import another_remark, swapped, wordings

_REFERENCE = re.compile(r"\{(\w+)\}")


def twin(
    content: Mapping, key: Mapping, seed: int | str, priorities: Sequence[Priority] = ()
) -> tuple[Document, Document]:
    """The class with other ids, numbers, coats and order, every dog facing the other way.

    Levels, faults and build are the same. Texts are worded differently where the phrases of
    the priorities allow it; the key is the same but for the names of its dogs.

    Returns
    -------
    (content, key), both new
    """
    dogs = content["dogs"]
    old = [dog["id"] for dog in dogs]
    fresh = [mark for mark in dog_ids((seed, *old), 2 * len(dogs)) if mark not in old]
    ids = dict(zip(old, fresh, strict=False))
    worn = {dog["armband"] for dog in dogs}
    free = [number for number in ARMBANDS if number not in worn]
    armbands = Stream.of(seed, *old, "armbands").sample(free, len(dogs))
    coats = coat_seeds((seed, *old), len(dogs))
    changed = [
        {
            **deepcopy(dog),
            "id": ids[dog["id"]],
            "armband": armband,
            "coat_seed": coat,
            "mirror": not dog.get("mirror", False),
            **_reworded(dog, priorities, ids[dog["id"]]),
        }
        for dog, armband, coat in zip(dogs, armbands, coats, strict=True)
    ]
    line = Stream.of(seed, *old, "line").shuffled(changed)
    return {**content, "dogs": line}, _relabelled(key, ids)


def _reworded(
    dog: Mapping, priorities: Sequence[Priority], new_id: str
) -> dict[str, str]:
    texts = {}
    for name, remarks in REMARKS.items():
        text = another_remark(dog[name], remarks, new_id)
        for priority in priorities:
            told = wordings(priority, dog["levels"][priority.slug])
            said = [phrase for phrase in told if phrase in text.lower()]
            others = [phrase for phrase in told if phrase not in said]
            if said and others:
                new = Stream.of(new_id, "twin", priority.slug).choice(others)
                text = swapped(text, said, new)
        texts[name] = text
    return texts


def _relabelled(key: Mapping, ids: Mapping[str, str]) -> Document:
    """The key with every dog's id exchanged, in its texts as well."""

    def text(old: str) -> str:
        return _REFERENCE.sub(lambda m: f"{{{ids.get(m[1], m[1])}}}", old)

    return {
        **{name: said for name, said in key.items() if name != "apart"},
        "order": [ids[dog] for dog in key["order"]],
        "cuts": list(key["cuts"]),
        "level": list(key["level"]),
        "rulings": {
            ids[dog]: {**ruling, "reason": text(ruling.get("reason", ""))}
            for dog, ruling in key["rulings"].items()
        },
        "pairs": [
            {
                **pair,
                "upper": ids[pair["upper"]],
                "lower": ids[pair["lower"]],
                "reason": text(pair["reason"]),
                "grant": text(pair["grant"]),
            }
            for pair in key["pairs"]
            if pair["upper"] in ids and pair["lower"] in ids
        ],
        "note": text(key["note"]),
    }
