"""Any study module with any exercises and photographs, as the document of a bundle."""

import itertools
import json
import uuid
from io import BytesIO

from hypothesis import strategies as st
from PIL import Image

from quizzes.bundles import bag, documents
from quizzes.bundles.kinds import KINDS
from quizzes.drawing.sketch import Sketch
from quizzes.plates import FAULTS
from tests.photographs import jpeg
from trainer.pictures.models import Made

TEXT = st.text(
    st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=30
)
SAID = TEXT.filter(bool)
SHARE = st.floats(0, 1)
FAULTY = st.dictionaries(st.sampled_from(sorted(FAULTS)), SHARE, max_size=3)
PHOTOGRAPHS = [str(uuid.UUID(int=n)) for n in (1, 2)]
FILES = {one: jpeg(300 + n, 220) for n, one in enumerate(PHOTOGRAPHS)}
PLATES = st.builds(
    lambda faults, sex, seed: Sketch(
        "marlefell-drover", sex=sex, coat_seed=seed, faults=faults
    ).document(),
    FAULTY,
    st.sampled_from(["dog", "bitch"]),
    st.integers(0, 99_999),
)
IMAGES = st.one_of(
    st.just({}),
    st.sampled_from(PHOTOGRAPHS).map(lambda one: {"photo": one}),
    st.fixed_dictionaries(
        {"plate": PLATES, "view": st.sampled_from(["side", "front", "head"])}
    ),
)
HOLDER = {"image": IMAGES, "alt": TEXT, "caption": TEXT}
POINT = st.fixed_dictionaries(
    {"x": st.floats(0, 100), "y": st.floats(0, 100), "text": TEXT}
)
OPTION = st.fixed_dictionaries({"text": TEXT, "right": st.booleans(), "said": TEXT})
SECTIONS = st.one_of(
    st.fixed_dictionaries({"kind": st.just("text"), "text": TEXT}),
    st.fixed_dictionaries(
        {"kind": st.just("picture"), **HOLDER, "points": st.lists(POINT, max_size=2)}
    ),
    st.fixed_dictionaries(
        {
            "kind": st.just("compare"),
            "text": TEXT,
            "sides": st.lists(st.fixed_dictionaries(HOLDER), min_size=2, max_size=2),
            "overlay": st.booleans(),
        }
    ),
    st.fixed_dictionaries(
        {
            "kind": st.just("question"),
            "text": TEXT,
            "options": st.lists(OPTION, max_size=3),
        }
    ),
)  # fmt: skip


@st.composite
def lessons(draw):
    found = []
    for n in range(draw(st.integers(0, 2))):
        sections = [
            {**one, "id": f"s{at}", "version": draw(st.integers(0, 9))}
            for at, one in enumerate(draw(st.lists(SECTIONS, max_size=3)))
        ]
        found.append({"slug": f"lesson-{n}", "name": draw(SAID), "sections": sections})
    return found


@st.composite
def priorities(draw):
    count = draw(st.integers(1, 4))
    weights = draw(st.lists(st.integers(1, 100), min_size=count, max_size=count))
    return [
        {
            "slug": f"p{n}",
            "name": draw(SAID),
            "weight": weight,
            "look_for": draw(TEXT),
            "feel_for": draw(TEXT),
            "why_it_matters": draw(TEXT),
            "phrases": [draw(TEXT) for _level in range(5)],
            "plate": draw(st.lists(st.sampled_from(sorted(FAULTS)), max_size=2)),
        }
        for n, weight in enumerate(weights)
    ]


@st.composite
def modules(draw):
    ranked = draw(priorities())
    tied = st.sampled_from([None, *(one["slug"] for one in ranked)])
    step = st.fixed_dictionaries(
        {
            "name": SAID,
            "where": TEXT,
            "sense": st.sampled_from(["eye", "hand", "both"]),
            "instruction": TEXT,
            "find": TEXT,
            "caution": TEXT,
            "priority": tied,
        }
    )
    fault = st.fixed_dictionaries(
        {
            "name": SAID,
            "description": TEXT,
            "severity": st.sampled_from(["minor", "serious", "disqualifying"]),
            "ruling": st.sampled_from(
                ["place_lower", "withhold", "excuse", "disqualify"]
            ),
            "priority": tied,
        }
    )
    term = st.fixed_dictionaries({"name": SAID, "forms": TEXT, "meaning": TEXT})
    drawing = st.fixed_dictionaries(
        {
            "name": SAID,
            "priority": tied.map(lambda one: one or ""),
            "view": st.sampled_from(["side", "rear"]),
            "drawn": PLATES,
        }
    )
    return {
        "id": str(draw(st.uuids())),
        "slug": "tarn-collie",
        "version": 1,
        "language": "und",
        "authors": [],
        "licence": "NOASSERTION",
        "breed": {"slug": "tarn-collie", "name": "Tarn Collie", "summary": draw(TEXT), "made_for": draw(TEXT)},
        "title": draw(SAID),
        "introduction": draw(TEXT),
        "standard": {
            "title": draw(TEXT),
            "date": draw(TEXT),
            "note": draw(TEXT),
            "link": draw(st.sampled_from(["", "https://example.org/standard"])),
        },
        "priorities": ranked,
        "examination": {
            "where": draw(st.sampled_from(["ground", "table", "ramp"])),
            "introduction": draw(TEXT),
            "steps": draw(st.lists(step, max_size=2)),
        },
        "faults": draw(st.lists(fault, max_size=2)),
        "lessons": draw(lessons()),
        "terms": draw(st.lists(term, max_size=2)),
        "drawings": draw(st.lists(drawing, max_size=2, unique_by=json.dumps)),
        "club_breed": draw(
            st.sampled_from(
                [None, {"name": "Tarn Collie", "base": "marlefell-drover", "values": {"ear": "prick", "length": 114.5}}]
            )
        ),
    }  # fmt: skip


@st.composite
def classes(draw):
    ids = [f"dog{n}" for n in range(draw(st.integers(2, 5)))]
    dogs = []
    for n, one in enumerate(ids):
        picture = draw(st.sampled_from(["", *PHOTOGRAPHS]))
        dogs.append(
            {
                "id": one,
                "armband": draw(st.none() | st.just(10 + n)),
                "sex": draw(st.sampled_from(["dog", "bitch"])),
                "age_months": draw(st.none() | st.integers(3, 240)),
                "ringside": draw(TEXT),
                "hands_on": draw(TEXT),
                "levels": draw(st.dictionaries(st.sampled_from(["p0", "p1"]), st.integers(0, 4))),
                "faults": draw(FAULTY),
                "coat_seed": draw(st.integers(0, 99_999)),
                "mirror": draw(st.booleans()),
                "build": draw(st.sampled_from([{}, {"ear": "drop", "length": 112.0}])),
                "drawn": draw(st.booleans()),
                "picture": picture,
                "credit": draw(TEXT) if picture else "",
            }
        )  # fmt: skip
    ruled = draw(st.sets(st.sampled_from(ids), max_size=1))
    order = [one for one in draw(st.permutations(ids)) if one not in ruled]
    gaps = max(len(order) - 1, 0)
    pairs = itertools.pairwise(order)
    key = {
        "order": order,
        "cuts": [draw(st.none() | st.integers(0, 30)) for _gap in range(gaps)],
        "level": sorted(draw(st.sets(st.integers(0, gaps - 1)))) if gaps else [],
        "rulings": {one: {"ruling": "excused", "reason": draw(TEXT)} for one in ruled},
        "pairs": [
            {
                "upper": upper,
                "lower": lower,
                "reason": draw(TEXT),
                "grant": draw(TEXT),
                "priority": draw(st.sampled_from(["", "p0"])),
            }
            for upper, lower in pairs
        ],
        "note": draw(TEXT),
    }
    content = {
        "dogs": dogs,
        "places": draw(st.none() | st.integers(1, len(ids))),
        "breed": draw(st.sampled_from(["", "marlefell-drover", "tarn-collie"])),
    }
    content, key = KINDS["placing"].settled(content, key)
    return {
        "id": str(draw(st.uuids())),
        "type": "placing",
        "title": draw(SAID),
        "note": draw(TEXT),
        "pace_seconds": draw(st.none() | st.integers(20, 900)),
        "difficulty": draw(st.sampled_from(["plain", "middling", "close"])),
        **draw(st.sampled_from([{}, {"kept_back": True}])),
        "content": content,
        "key": key,
    }


@st.composite
def critiques(draw):
    found = draw(classes())
    content, _key = found["content"], found["key"]
    row = st.fixed_dictionaries({"name": SAID, "most": st.integers(1, 50)})
    key = {
        "critique": draw(TEXT),
        "points": draw(st.lists(SAID, max_size=2)),
        "rubric": draw(st.lists(row, max_size=3)),
    }
    content = {
        "dogs": content["dogs"][:1],
        "breed": content["breed"],
        "place": draw(st.none() | st.integers(1, 5)),
        "least": draw(st.integers(20, 100)),
        "most": draw(st.integers(100, 600)),
        "checklist": draw(st.lists(SAID, max_size=3)),
    }
    return {**found, "type": "critique", "content": content, "key": key}


EXERCISES = st.lists(
    st.one_of(classes(), critiques()), max_size=3, unique_by=lambda one: one["id"]
)


def with_media(module, exercises_):
    """The document of a module, with entries for the photographs it shows."""
    shown = json.dumps([module, exercises_])
    media = []
    for one in PHOTOGRAPHS:
        if one in shown:
            name = bag._sha256(FILES[one])
            with Image.open(BytesIO(FILES[one])) as image:
                width, height = image.size
            media.append(
                {
                    "id": one,
                    "path": f"media/{name}.jpg",
                    "sha256": name,
                    "bytes": len(FILES[one]),
                    "width": width,
                    "height": height,
                    "title": "",
                    "altFull": "",
                    "creditLine": "Wren Holloway",
                    "copyright": "",
                    "licence": "CC-BY-4.0",
                    "digitalSourceType": documents.SOURCE_TYPES[Made.CAMERA],
                    "landmarks": {},
                }
            )
    return {
        "$schema": documents.SCHEMA,
        "formatVersion": documents.FORMAT,
        "profile": "authoring",
        "generator": {"name": "tests", "version": "1"},
        "exportedAt": "2026-03-10T14:30:00+00:00",
        "module": module,
        "exercises": exercises_,
        "media": media,
    }


ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**6), 10**6) | st.floats(-9, 9) | TEXT,
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(TEXT, inner, max_size=3)
    ),
    max_leaves=6,
)
