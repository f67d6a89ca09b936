"""The odd one out: what keeps a dog from a place, and how it shows.

A class asks of every dog the question that one of the module's faults raises. All dogs
get the same sentence in answer but the odd one, if there is one, so a class does not
give away by what it mentions that somebody has to leave it. Of a fault that raises no
question known here only the odd dog is told, among its other words.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from quizzes.generator.streams import Stream
from quizzes.generator.wishes import (
    Document,
    ModuleFault,
    Wish,
    WishProblem,
    gettext_noop,
)
from quizzes.generator.words import sentence, tidy

RULED = {"disqualify": "disqualified", "excuse": "excused"}


@dataclass(frozen=True)
class Finding:
    """A question and its answers; causes for excusing are common practice.

    words : a fault of the module whose name has one of them is of this kind
    sound : what stands with all other dogs
    odd : pairs of what stands with the odd one, and the reason for the ruling
    stops : the dog is not gone over, or not any further
    manner : a matter of temperament, so the odd dog is at its worst there
    """

    words: tuple[str, ...]
    text: str
    sound: str
    odd: tuple[tuple[str, str], ...]
    males: bool = False
    stops: bool = False
    manner: bool = False


UNDER_THE_HAND = ("teeth", "tooth", "dentition", "hernia", "swelling", "lump", "scar")
_LEGS = ("right fore", "left fore", "right hind", "left hind")
FINDINGS = (
    Finding(
        ("attack", "biting", "aggress", "menac"),
        "hands_on",
        "Quiet under the hand and beside other dogs.",
        (
            (
                "Goes for the judge's hand with its teeth and is taken back; not gone over.",
                "Went for the judge's hand.",
            ),
        ),
        stops=True,
        manner=True,
    ),
    Finding(
        ("shy", "shier", "timid", "nervous", "fear", "fright", "temper"),
        "ringside",
        "Stands for the judge to come up.",
        (
            (
                "Backs away from the judge to the end of the lead, again and again, and can't be"
                " got to stand.",
                "Could not be got to stand for the judge: backed away again and again.",
            ),
            (
                "Throws itself about at the end of the lead as the judge comes up, and can't be"
                " quietened.",
                "Unmanageable: threw itself about whenever the judge came up.",
            ),
        ),
        stops=True,
        manner=True,
    ),
    Finding(
        ("testicle",),
        "hands_on",
        "Two testicles in the scrotum.",
        (
            (
                "One testicle in the scrotum, the other not found.",
                "Only one testicle in the scrotum.",
            ),
            ("No testicle in the scrotum.", "No testicle in the scrotum."),
        ),
        males=True,
    ),
    Finding(
        ("jaw", "bite", "mouth", "undershot", "overshot"),
        "hands_on",
        "Front teeth meeting as they should.",
        (
            (
                "Lower front teeth well ahead of the upper.",
                "Undershot, the front teeth not meeting.",
            ),
            (
                "Upper front teeth well ahead of the lower.",
                "Overshot, the front teeth not meeting.",
            ),
        ),
    ),
    Finding(
        ("examined", "handled", "touched"),
        "hands_on",
        "Accepts the hand throughout.",
        (
            (
                "Shrinks from the hand at the chest, and again at a quiet second approach;"
                " not gone over.",
                "Could not be examined: shrank from the hand twice.",
            ),
        ),
        stops=True,
        manner=True,
    ),
    Finding(
        ("in the coat", "substance", "chalk"),
        "hands_on",
        "Nothing comes off the coat on the fingers.",
        (
            (
                "White powder comes off the coat on the fingers.",
                "A white powder in the coat.",
            ),
            (
                "Something sticky comes off the coat on the fingers.",
                "Something sticky in the coat.",
            ),
        ),
    ),
    Finding(
        ("lame", "unsound"),
        "ringside",
        "Goes sound.",
        tuple((f"Goes lame on the {leg}.", f"Lame, {leg}.") for leg in _LEGS),
    ),
)


def answer_in(text: str) -> str:
    """The answer to a class's question that stands in a dog's text; empty without one."""
    known = [
        said
        for finding in FINDINGS
        for said in (finding.sound, *(answer for answer, _reason in finding.odd))
    ]
    return next((said for said in known if said and said in text), "")


def finding_for(fault: ModuleFault) -> Finding:
    """How the fault shows; one that is not known is told by its own name, to the eye or the hand."""
    for finding in FINDINGS:
        if any(word in fault.name.lower() for word in finding.words):
            return finding
    name = sentence(tidy(fault.name))
    by_hand = any(word in fault.name.lower() for word in UNDER_THE_HAND)
    text = "hands_on" if by_hand else "ringside"
    return Finding((), text, "", ((name, name),))


@dataclass(frozen=True)
class Question:
    """The question one class asks, and the ruling on the dog that fails it."""

    finding: Finding
    ruling: str
    answer: str
    reason: str

    def sentence(self, dog: Document, odd: bool) -> str:
        """What is said of the dog; nothing if the question isn't asked of its sex."""
        if odd:
            return self.answer
        asked = dog["sex"] == "dog" or not self.finding.males
        return self.finding.sound if asked else ""


def question(wish: Wish, faults: Sequence[ModuleFault]) -> Question | None:
    """The question of a class; None if the module's faults raise none.

    Raises
    ------
    WishProblem if an odd one is wished for and no fault of the module makes one.
    """
    stream = Stream.of(wish.seed, "question")
    able = [
        fault
        for fault in faults
        if fault.ruling in RULED
        and wish.odd_one in (None, RULED[fault.ruling])
        and not (wish.sex == "bitch" and finding_for(fault).males)
    ]
    if not able and wish.odd_one:
        text = gettext_noop("No fault of the module has a dog %(ruling)s.")
        raise WishProblem(text, ruling=wish.odd_one)
    if not able:
        return None
    chosen = stream.choice(able)
    finding = finding_for(chosen)
    answer, reason = stream.choice(finding.odd)
    return Question(finding, RULED[chosen.ruling], answer, reason)
