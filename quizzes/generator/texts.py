"""What is read of each dog of a class: one recipe, one length, for all of them."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from quizzes.generator.findings import Question
from quizzes.generator.wishes import Document, Priority
from quizzes.generator.words import HAND_REMARKS, RING_REMARKS, evened, recipe, told

NOT_TOUCHED = "Not gone over."
REMARKS = {"ringside": RING_REMARKS, "hands_on": HAND_REMARKS}


def describe(
    dogs: Sequence[Document],
    priorities: Sequence[Priority],
    felt: Collection[str],
    asked: Question | None = None,
    odd: str | None = None,
) -> dict[str, dict[str, str]]:
    """By dog id, what the eye finds ("ringside") and what the hand ("hands_on").

    felt : slugs of the priorities that only the hand can tell
    asked : the question every dog has to answer
    odd : id of the dog that fails it
    """
    by_hand = [one for one in priorities if one.slug in felt]
    by_eye = [one for one in priorities if one.slug not in felt]
    ring = _texts("ringside", dogs, by_eye, asked, odd)
    hand = _texts("hands_on", dogs, by_hand, asked, odd)
    if odd and asked and asked.finding.stops and hand[odd]:
        hand[odd] = asked.answer if asked.finding.text == "hands_on" else NOT_TOUCHED
    return {
        dog["id"]: {"ringside": ring[dog["id"]], "hands_on": hand[dog["id"]]}
        for dog in dogs
    }


def _texts(
    name: str,
    dogs: Sequence[Document],
    priorities: Sequence[Priority],
    asked: Question | None,
    odd: str | None,
) -> dict[str, str]:
    sentences = recipe(priorities, sorted(dog["id"] for dog in dogs))
    texts = {dog["id"]: told(sentences, dog["levels"]) for dog in dogs}
    if asked and asked.finding.text == name:
        for dog in dogs:
            answer = asked.sentence(dog, dog["id"] == odd)
            texts[dog["id"]] = f"{texts[dog['id']]} {answer}".strip()
    return _even(name, texts)


def _even(name: str, texts: Mapping[str, str]) -> dict[str, str]:
    """The texts at one length; without anything to tell by hand there is no text."""
    if name == "hands_on" and not any(texts.values()):
        return dict(texts)
    return evened(texts, REMARKS[name])
