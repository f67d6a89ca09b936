"""The same class in another coat."""

import re

import pytest

from quizzes.generator import twin
from tests.generator.material import MODULE_FAULTS, PRIORITIES, made

ONES = [
    made(3 + seed % 8, "close", seed, odd_one=(None, "excused")[seed % 2])
    for seed in range(16)
]
CHANGED = {"id", "armband", "coat_seed", "mirror", "ringside", "hands_on"}


def pairs(one, content):
    """Each dog with its twin, found by what must be the same."""
    fresh = list(content["dogs"])
    for dog in one.content["dogs"]:
        same = [
            other
            for other in fresh
            if all(other[name] == dog[name] for name in dog.keys() - CHANGED)
        ]
        assert len(same) == 1
        yield dog, same[0]


def test_levels_faults_sex_and_age_are_the_same():
    for one in ONES:
        content, _key = twin(one.content, one.key, 7, PRIORITIES)
        twins = list(pairs(one, content))
        assert len(twins) == len(one.content["dogs"])
        for dog, other in twins:
            assert other["mirror"] is not dog["mirror"]
            for name in ("id", "armband", "coat_seed"):
                assert other[name] != dog[name]


def test_nobody_wears_a_number_of_the_first_showing():
    for one in ONES:
        content, _key = twin(one.content, one.key, 7)
        worn = [{dog["armband"] for dog in c["dogs"]} for c in (one.content, content)]
        assert not worn[0] & worn[1]
        assert len(worn[1]) == len(content["dogs"])


def test_the_key_is_the_same_but_for_the_names():
    for one in ONES:
        content, key = twin(one.content, one.key, 7, PRIORITIES)
        ids = {dog["id"]: other["id"] for dog, other in pairs(one, content)}

        def renamed(text, ids=ids):
            return re.sub(r"\w{6}", lambda m: ids.get(m[0], m[0]), text)

        assert str(key) == renamed(str(one.key))


def test_the_line_is_mixed():
    moved = 0
    for one in ONES:
        content, _key = twin(one.content, one.key, 7)
        ids = [other["id"] for _dog, other in pairs(one, content)]
        moved += ids != [dog["id"] for dog in content["dogs"]]
    assert moved >= 12


def test_texts_say_the_same_in_other_words():
    for one in ONES:
        content, _key = twin(one.content, one.key, 7, PRIORITIES)
        for dog, other in pairs(one, content):
            assert dog["ringside"] != other["ringside"]
            assert _plain(dog["ringside"]) == _plain(other["ringside"])
            assert _plain(dog["hands_on"]) == _plain(other["hands_on"])


def _plain(text):
    """The text without its remark, all words of one degree the same."""
    bare = re.sub(r"(Led in|Set up|Shown on|Gone over).*$", "", text)
    return re.sub(r"\b([Aa]) (little|trifle|shade)\b", r"\1 little", bare)


def test_texts_written_by_hand_are_kept():
    one = ONES[2]
    dogs = [{**dog, "ringside": "A short dog."} for dog in one.content["dogs"]]
    content, _key = twin({**one.content, "dogs": dogs}, one.key, 7, PRIORITIES)
    assert {dog["ringside"] for dog in content["dogs"]} == {"A short dog."}


def test_the_first_showing_is_left_as_it_was():
    one = made(5, "plain", 3, faults=MODULE_FAULTS)
    again = made(5, "plain", 3, faults=MODULE_FAULTS)
    content, key = twin(one.content, one.key, 1, PRIORITIES)
    content["dogs"][0]["levels"].clear()
    content["dogs"][0]["faults"].clear()
    key["pairs"][0]["reason"] = ""
    assert one == again


def test_a_twin_of_a_twin_faces_as_the_first():
    one = ONES[0]
    second = twin(*twin(one.content, one.key, 1), 2)
    assert not any(dog["mirror"] for dog in second[0]["dogs"])


@pytest.mark.parametrize("seed", [3, "spring"])
def test_the_same_seed_makes_the_same_twin(seed):
    one = ONES[5]
    assert twin(one.content, one.key, seed) == twin(one.content, one.key, seed)
    assert twin(one.content, one.key, seed) != twin(one.content, one.key, 4)
