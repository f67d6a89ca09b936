"""From a mentor's phrases to what is read about a dog.

Phrases come in three kinds and are built in differently: those that name their part
("feet close, pasterns firm"), those that say how the dog goes, and those that say how
the dog is ("steady, a little aloof"). Which kind a priority has is read from its name
and phrases, because mentors write them for people and not for a program.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import lru_cache
from itertools import product

from quizzes.generator.streams import Stream
from quizzes.generator.wishes import Priority

DEGREES = ("a little", "a trifle", "a shade")
_DEGREE = re.compile(rf"\b({'|'.join(DEGREES)})\b")
_FIRST = ("outline", "balance", "type", "proportion", "appearance", "substance")
_GOING = ("movement", "gait", "action")
MANNER = ("temper", "temperament", "character")
_LAST = (*MANNER, "expression")
_BARE = (*MANNER, *_FIRST)
_GOES = ("moves", "goes", "trots", "walks", "on the move", *_GOING)


def tidy(phrase: str) -> str:
    """The phrase as it stands in the middle of a sentence."""
    text = " ".join(phrase.split()).rstrip(".;, ")
    return text[0].lower() + text[1:] if text[1:2].islower() else text


def called(priority: Priority) -> str:
    """The priority's name in the middle of a sentence."""
    return tidy(priority.name)


@lru_cache(maxsize=1024)
def _words(text: str) -> frozenset[str]:
    found = re.findall(r"\w+", text.lower())
    return frozenset(word.rstrip("s") for word in found) - {"and"}


@lru_cache(maxsize=256)
def names_its_part(priority: Priority) -> bool:
    """Whether the phrases say themselves which part they are about."""
    phrases = [tidy(phrase) for phrase in priority.phrases]
    if phrases[0].split()[0] == phrases[-1].split()[0]:
        return True
    return all(_words(priority.name) & _words(phrase) for phrase in phrases)


def wordings(priority: Priority, level: int) -> list[str]:
    """All wordings of a level's phrase, the mentor's own first.

    Words of the same degree take each other's place where a class has to look new, unless
    another level's phrase would come of it.
    """
    plain = tidy(priority.phrases[level])
    others = {tidy(phrase) for phrase in priority.phrases} - {plain}
    variants = [plain]
    for degree in DEGREES:
        text = _DEGREE.sub(degree, plain, count=1)
        if text not in others and text not in variants:
            variants.append(text)
    return variants


def wording(priority: Priority, level: int) -> str:
    """The phrase of a level as the mentor has it, in the middle of a sentence."""
    return tidy(priority.phrases[level])


def sentence(text: str) -> str:
    """The text with a capital and a full stop."""
    return f"{_capital(text)}." if text else ""


def _mentions(priority: Priority, words: Sequence[str]) -> bool:
    return any(word.rstrip("s") in _words(priority.name) for word in words)


def is_manner(priority: Priority) -> bool:
    """Whether the priority is about the dog's temperament."""
    return _mentions(priority, MANNER)


def _alone(priority: Priority, phrase: str) -> str:
    """A sentence of its own for a phrase that doesn't name its part."""
    if _mentions(priority, _GOING):
        return sentence(phrase if phrase.startswith(_GOES) else f"on the move {phrase}")
    if _mentions(priority, _BARE):
        return sentence(phrase)
    return sentence(f"{called(priority)}: {phrase}")


def _rank(priority: Priority) -> int:
    """Where in the text it stands: the whole dog, its parts, its going, its manner."""
    if _mentions(priority, _LAST):
        return 3
    if _mentions(priority, _GOING):
        return 2
    return 0 if _mentions(priority, _FIRST) else 1


def recipe(priorities: Sequence[Priority], class_key: object) -> list[list[Priority]]:
    """Which priorities stand together in a sentence; the same for all dogs of a class.

    The parts come in another order in another class.
    """
    sentences: list[list[Priority]] = []
    for rank in range(4):
        mine = [priority for priority in priorities if _rank(priority) == rank]
        parts = [priority for priority in mine if names_its_part(priority)]
        parts = Stream.of(class_key, "recipe", rank).shuffled(parts)
        sentences += [[other] for other in mine if other not in parts]
        count = -(-len(parts) // 3)
        size = -(-len(parts) // count) if count else 0
        sentences += [parts[at : at + size] for at in range(0, len(parts), size or 1)]
    return sentences


def told(sentences: Sequence[Sequence[Priority]], levels: Mapping[str, int]) -> str:
    """The dog's levels in words, by a recipe."""
    texts = []
    for group in sentences:
        phrases = [wording(one, levels[one.slug]) for one in group]
        if len(group) == 1 and not names_its_part(group[0]):
            texts.append(_alone(group[0], phrases[0]))
        else:
            texts.append(sentence("; ".join(phrases)))
    return " ".join(texts)


# Openings, what may follow, and how the sentence may close: in all, any length from
# about twenty letters to a hundred.
_RING = (
    ("Led in", "Led in at a walk", "Set up by hand", "Shown on a loose lead"),
    (
        "",
        " and let alone",
        " and left to itself",
        " by a quiet handler",
        " on short, even grass",
        " and then given more lead",
        ", the handler saying nothing",
        ", its handler well to one side",
        ", the lead over the handler's arm",
        ", the handler looking at the judge",
        ", the lead neither tight nor trailing",
        ", in the same place as all the others",
        ", in the same place and on the same ground",
        ", the lead gathered loosely in the left hand",
        " by a handler who takes a step back and waits",
        ", the handler standing back as far as the lead lets",
        ", its handler beside it with the lead held in one hand",
        ", where the ground is even and the light behind the judge",
        ", its handler standing quite still with the lead in one hand",
        ", the handler stepping back to the end of the lead and waiting",
        ", its handler a step behind it with both hands folded over the lead",
        ", where the ground is even, with the light behind the judge and nobody passing",
    ),
    (
        "",
        ", as asked",
        ", like the rest",
        ", as the judge asked",
        ", as the steward asked",
    ),
)
_HAND = (
    ("Gone over", "Gone over once", "Gone over in full", "Gone over from head to tail"),
    (
        "",
        " quietly",
        " without hurry",
        ", the handler quiet",
        ", no part left out",
        ", the handler looking on",
        ", one hand on it throughout",
        ", the coat laid back after",
        ", its handler holding the head",
        ", with the same time as the rest",
        ", each part in turn and none twice",
        ", and then looked at from three paces",
        ", its handler at the head, saying nothing",
        ", no quicker and no slower than the others",
        ", one hand on it throughout, the other at work",
        ", each part in the order in which it always comes",
        ", the coat laid back afterwards as it was found at first",
        ", its handler told beforehand of everything that was to come",
        ", one hand kept on it from the first touch to the end of the tail",
    ),
    ("", ", in its turn", ", as is the rule", ", at the handler's nod"),
)


def _remarks(*parts: Sequence[str]) -> dict[int, list[str]]:
    """Remarks that say nothing of merit, by length."""
    by_length: dict[int, list[str]] = {}
    for words in product(*parts):
        remark = "".join(words) + "."
        by_length.setdefault(len(remark), []).append(remark)
    return by_length


RING_REMARKS, HAND_REMARKS = _remarks(*_RING), _remarks(*_HAND)


MARGIN = (22, 36)
"""Letters in the remark of the longest text; above this nearly any length is at hand."""


def evened(
    texts: Mapping[str, str], remarks: Mapping[int, Sequence[str]]
) -> dict[str, str]:
    """The texts of all dogs with a remark each, so that all are about equally long.

    Otherwise length would tell: faults take more words than virtues.
    """
    # A margin of a class's own, or the longest text always had the shortest remark.
    margin = Stream.of(*sorted(texts), "remarks").between(*MARGIN)
    longest = max(map(len, texts.values())) + 1 + margin
    whole = {}
    for dog, text in texts.items():
        room = longest - len(text) - 1
        stream = Stream.of(dog, "remark")
        side = 1 - 2 * stream.below(2)
        length = min(remarks, key=lambda have: (abs(have - room), side * have))
        remark = stream.choice(remarks[length])
        whole[dog] = f"{text} {remark}".strip()
    return whole


def swapped(text: str, old: Sequence[str], new: str) -> str:
    """The text with the first of the old wordings that it has replaced by the new one."""
    for phrase in old:
        for before, after in ((phrase, new), (_capital(phrase), _capital(new))):
            if before in text:
                return text.replace(before, after, 1)
    return text


def _capital(text: str) -> str:
    return text[0].upper() + text[1:]


def another_remark(text: str, remarks: Mapping[int, Sequence[str]], dog: str) -> str:
    """The text with another remark of about that length at its end, if it has one."""
    for same in remarks.values():
        for remark in same:
            if text.endswith(remark):
                rest = [
                    one for all_ in remarks.values() for one in all_ if one != remark
                ]
                near = sorted(rest, key=lambda one: abs(len(one) - len(remark)))[:4]
                return text.removesuffix(remark) + Stream.of(dog, "twin").choice(near)
    return text
