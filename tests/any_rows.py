"""Any exercise of any kind, drawn from what the published schema says of its content and key."""

from hypothesis import strategies as st

from quizzes.bundles import schema
from quizzes.bundles.kinds import KINDS
from quizzes.kinds import kind_named, shapes
from quizzes.kinds.examination.content import NoId
from quizzes.kinds.eye.asked import MARKS
from quizzes.kinds.grade.rows import REASON
from quizzes.kinds.sheets.kind import SheetKind
from tests.any_module import (
    FAULTY,
    IMAGES,
    PHOTOGRAPHS,
    PLATES,
    SAID,
    TEXT,
    classes,
    critiques,
)

SHEETS = [one for one in KINDS if isinstance(kind_named(one), SheetKind)]
POINTS = st.dictionaries(
    st.sampled_from(sorted(MARKS)),
    st.lists(st.floats(0, 100), min_size=2, max_size=2),
    max_size=4,
)
GIVEN = {
    "image": IMAGES,
    "drawn": PLATES,
    "strengths": FAULTY,
    "build": st.sampled_from([{}, {"ear": "drop", "length": 112.0}]),
    "uuid": st.sampled_from(PHOTOGRAPHS),
    "landmarks": st.fixed_dictionaries(
        {"facing": st.sampled_from(["left", "right"]), "points": POINTS}
    ),
    "text": TEXT,
}
"""Definitions of which not everything can be drawn, or not by chance."""
OF_PATTERN = {
    shapes.PHOTO["pattern"]: st.sampled_from(["", *PHOTOGRAPHS]),
    shapes.BREED["pattern"]: st.sampled_from(["", "marlefell-drover", "tarn-collie"]),
    shapes.SLUG["pattern"]: st.sampled_from(["p0", "p1", "gone"]),
    REASON["pattern"]: st.sampled_from(["for:p0", "against:p1", "against:gone"]),
    shapes.ID["pattern"]: st.sampled_from(["a1", "b2", "c3"]),
    NoId.__metadata__[0]["pattern"]: st.just(""),
    "^\\w{1,40}$": st.just("dog"),
}


def of_shape(shape):
    """Any value of that shape."""
    if "$ref" in shape:
        name = shape["$ref"].rpartition("/")[2]
        if name in GIVEN:
            return GIVEN[name]
        return of_shape(schema.published()["$defs"][name])
    if "enum" in shape:
        return st.sampled_from(shape["enum"])
    if "allOf" in shape:
        return of_shape(shape["allOf"][0])
    if "anyOf" in shape:
        return st.one_of(*map(of_shape, shape["anyOf"]))
    if shape.get("maxProperties") == 0:
        return st.just({})
    if isinstance(shape["type"], list):
        return st.one_of(*(of_shape({**shape, "type": one}) for one in shape["type"]))
    return OF_TYPE[shape["type"]](shape)


def _text(shape):
    if "pattern" in shape:
        return OF_PATTERN[shape["pattern"]]
    return TEXT.map(lambda text: text[: shape.get("maxLength", 30)])


def _list(shape):
    most = min(shape["maxItems"], 3)
    return st.lists(of_shape(shape["items"]), max_size=most)


def _object(shape):
    if "properties" in shape:
        named = shape["properties"].items()
        return st.fixed_dictionaries({name: of_shape(one) for name, one in named})
    names = of_shape({"type": "string", **shape["propertyNames"]})
    return st.dictionaries(names, of_shape(shape["additionalProperties"]), max_size=3)


OF_TYPE = {
    "string": _text,
    "boolean": lambda _shape: st.booleans(),
    "null": lambda _shape: st.none(),
    "integer": lambda shape: st.integers(shape["minimum"], shape["maximum"]),
    "number": lambda shape: st.floats(shape["minimum"], shape["maximum"]),
    "array": _list,
    "object": _object,
}


@st.composite
def sheets(draw, slug):
    """Content and key of a sheet of that kind, with ids that fit together."""
    content_shape, key_shape = KINDS[slug].shapes
    content = draw(of_shape(content_shape))
    known = of_shape(key_shape["properties"]["items"]["additionalProperties"])
    items = {}
    for n, row in enumerate(content["items"]):
        row["id"] = f"r{n}"
        if "armband" in row:
            row["armband"] = 10 + n
        key = draw(known)
        options = [f"r{n}o{m}" for m, _one in enumerate(row.get("options", ()))]
        for one, pk in zip(row.get("options", ()), options, strict=True):
            one["id"] = pk
        if "right" in key:
            key |= {
                "right": options[:1],
                "said": {pk: draw(TEXT) for pk in options[1:]},
            }
        items[row["id"]] = key
    return content, {"items": items}


@st.composite
def examinations(draw):
    ids = [f"s{n}" for n in range(draw(st.integers(0, 6)))]
    finds = {f"f{n}": draw(TEXT) for n in range(draw(st.integers(0, 3)))}
    some = st.lists(st.sampled_from(ids), unique=True) if ids else st.just([])
    found = st.sampled_from(["", *finds])
    content = {
        "steps": [{"id": pk, "name": draw(TEXT)} for pk in ids],
        "finds": finds,
        "asked": draw(st.lists(st.sampled_from(["order", "sense", "find", "gap"]))),
        "to_find": [{"step": pk, "options": list(finds)} for pk in draw(some)],
        "gap": {"shown": draw(some), "options": draw(some)},
    }
    known = of_shape(
        KINDS["examination"].shapes[1]["properties"]["steps"]["additionalProperties"]
    )
    key = {
        "order": draw(st.permutations(ids)),
        "level": draw(st.sets(st.integers(0, 4)).map(sorted)),
        "steps": {pk: {**draw(known), "find": draw(found)} for pk in ids},
        "gap": draw(st.sampled_from(["", *ids])),
    }
    return content, key


@st.composite
def pairs(draw):
    single = draw(st.booleans())
    part = {"slug": "p0", "name": draw(SAID), "code": "F1", "weight": 100.0}
    other = {**part, "slug": "p1", "code": "F13", "weight": 50}
    content = {
        "parts": [part] if single else [{**part, "weight": 50}, other],
        "breed": "marlefell-drover",
        "build": draw(GIVEN["build"]),
        "view": "side",
        "measure": "layback" if single else "",
        "unit": "degrees" if single else "points",
        "largest": draw(st.floats(10, 16)),
        "smallest": draw(st.floats(2, 4)),
        "down": draw(st.integers(1, 4)),
        "pairs": draw(st.integers(20, 40)),
        "least": draw(st.integers(1, 20)),
    }
    return draw(st.sampled_from([{}, content])), {}


OWN = {"examination": examinations, "two": pairs}


@st.composite
def exercises_of(draw, slug):
    """An exercise of that kind, as it stands in a bundle."""
    if slug in ("placing", "critique"):
        return draw({"placing": classes, "critique": critiques}[slug]())
    content, key = draw(OWN[slug]() if slug in OWN else sheets(slug))
    kind = KINDS[slug]
    content, key = kind.settled(*kind.stored(content, key))
    return {
        "id": str(draw(st.uuids())),
        "type": slug,
        "title": draw(SAID),
        "note": draw(TEXT),
        "pace_seconds": draw(st.none() | st.integers(20, 900)),
        "difficulty": draw(st.sampled_from(["plain", "middling", "close"])),
        "content": content,
        "key": key,
    }
