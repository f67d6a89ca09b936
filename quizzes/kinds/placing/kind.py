"""Placing a class, as a kind of exercise: ties the folder's parts to the rest of the site."""

from __future__ import annotations

import secrets
from dataclasses import replace

from django.urls import reverse
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext, ngettext_lazy

from quizzes import grading
from quizzes.kinds.base import Graded, OwnPages, Problem, Words
from quizzes.kinds.placing import taking
from quizzes.kinds.placing.board import Board
from quizzes.kinds.placing.content import ClassContent, ClassKey, Dog
from quizzes.kinds.placing.differences import class_differences, class_texts
from quizzes.kinds.placing.places import count_word, ordinal
from quizzes.kinds.placing.problems import class_problems
from quizzes.models import Revision
from quizzes.words import one_in, pairs_agreed

ARMBANDS = range(2, 100)
WORDS = Words(
    new=gettext_lazy("New class"),
    begin=gettext_lazy("Place this class"),
    again=gettext_lazy("Place it again, mixed anew"),
    go_on=gettext_lazy("Go on with your placing"),
    go_on_short=gettext_lazy("Go on placing"),
    as_left=gettext_lazy("You have begun it; your placing is as you left it."),
    look=gettext_lazy("Look at the class"),
    suggested=gettext_lazy("%(breed)s. A class to place: %(dogs)s, %(difficulty)s."),
    whole=gettext_lazy("The class"),
    trial=gettext_lazy("Place it yourself, as a trainee would"),
)


class Placing(OwnPages):
    """The dogs of a class in order, graded by the pairs that stand as in the mentor's key."""

    slug = "placing"
    folder = "placing"
    new_page = "quizzes:placing-new"
    label = gettext_lazy("Class to place")
    words = WORDS
    counted = ngettext_lazy("%(n)s to judge", "%(n)s to judge", "n")
    purpose = gettext_lazy(
        "Dogs from photographs, drawings or words, placed by trainees and compared with your key, pair by pair."
    )
    is_marked = False

    def about(self, row):
        level = capfirst(Revision.Difficulty(row["difficulty"]).label)
        clock = _("With a clock.") if row["pace_seconds"] else ""
        return f"{level}. {clock}".strip()

    def done(self, n):
        if not n:
            return _("Not placed yet.")
        words = ngettext(
            "You have placed it once.", "You have placed it %(n)s times.", n
        )
        return words % {"n": n}

    def outcome(self, grade):
        return pairs_agreed(grade)

    def said(self, grade):
        if grade is None or not grade.pairs_counted:
            return _("No pair here that the key and your placing can be compared on.")
        pairs = _("%(pairs)s pairs as the key has them.")
        said = [pairs % {"pairs": pairs_agreed(grade)}]
        if grade.chance:
            random = _("Random orders that do as well: %(one_in)s.")
            said.append(random % {"one_in": one_in(grade.chance)})
        return " ".join(said)

    def parts(self, exercise_id, size):
        dogs = ngettext(
            "One dog: number, sex, age, ring-side, under the hand.",
            "%(n)s dogs: numbers, sex, age, ring-side, under the hand.",
            size,
        )
        return [
            {
                "title": _("The dogs"),
                "url": reverse("quizzes:placing-dogs", args=[exercise_id]),
                "note": dogs % {"n": size},
            },
            {
                "title": _("Your key"),
                "url": reverse("quizzes:placing-key", args=[exercise_id]),
                "note": _("Order, cuts, reasons, rulings."),
            },
            {
                "title": _("A key by a panel"),
                "url": reverse("quizzes:panel", args=[exercise_id]),
                "note": _("Ask other mentors for their keys, and see where you agree."),
            },
            {
                "title": _("On paper"),
                "url": reverse("quizzes:placing-print", args=[exercise_id]),
                "note": _("The dogs, answer cards to cut, the key on its own page."),
            },
        ]

    def new_content(self, size, places):
        dogs = tuple(
            Dog(id=new_dog_id(), armband=armband)
            for armband in sorted(secrets.SystemRandom().sample(ARMBANDS, size))
        )
        return ClassContent(dogs=dogs, places=places).document()

    def with_new_dog(self, content: ClassContent) -> ClassContent:
        """The class with one dog more, under a number nobody wears."""
        worn = {dog.armband for dog in content}
        free = [armband for armband in ARMBANDS if armband not in worn]
        dog = Dog(id=new_dog_id(), armband=secrets.choice(free))
        return content.with_dogs([dog])

    def numbered_anew(self, content: ClassContent, rng) -> ClassContent:
        """The class with a number drawn for every dog, no two alike."""
        numbers = rng.sample(ARMBANDS, len(content))
        dogs = (
            replace(dog, armband=armband)
            for dog, armband in zip(content, numbers, strict=True)
        )
        return replace(content, dogs=tuple(dogs))

    def without_dog(self, content: ClassContent, dog: str) -> ClassContent:
        return replace(
            content, dogs=tuple(other for other in content if other.id != dog)
        )

    def size(self, content):
        return len(content.get("dogs", ()))

    def items(self, content):
        return frozenset(dog["id"] for dog in content["dogs"])

    def problems(self, content, key) -> list[Problem]:
        return class_problems(ClassContent.read(content), ClassKey.read(key))

    def differences(self, before, after):
        documents = (
            (ClassContent.read(content), ClassKey.read(key))
            for content, key in (before, after)
        )
        return class_differences(*documents)

    def texts(self, content, key):
        return class_texts(ClassContent.read(content), ClassKey.read(key))

    def forget_pictures(self, content, club):
        from quizzes.kinds.placing.photographs import erase_unused

        erase_unused(ClassContent.read(content).pictures, club.pk)

    def show(self, content, *, rng, again):
        """The dogs in a ring order of their own. Doing the class again gives new numbers too."""
        dogs = list(ClassContent.read(content))
        rng.shuffle(dogs)
        armbands = [dog.armband for dog in dogs]
        if again:
            armbands = rng.sample(sorted(set(ARMBANDS) - set(armbands)), len(dogs))
        line = zip((dog.id for dog in dogs), armbands, strict=True)
        return {"line": [list(entry) for entry in line]}

    def board(self, content, shown, answer) -> Board:
        dogs = tuple(dog for dog, _armband in shown["line"])
        return Board.read(answer, dogs, content.get("places"))

    def check(self, content, shown, answer):
        return self.board(content, shown, answer).answer()

    def missing(self, content, shown, answer):
        """The first place that is free, and which dogs could take it or how many are still to come."""
        board = self.board(content, shown, answer)
        if board.is_complete:
            return self._reasons_missing(content, shown, board)
        armbands, free = dict(shown["line"]), board.rows - len(board.order)
        values = {
            "place": ordinal(len(board.order) + 1),
            "dogs": ", ".join(str(armbands[dog]) for dog in board.in_line),
            "count": count_word(free),
        }
        if len(board.in_line) > free:
            some = _(
                "%(place)s is free. Place %(count)s more of those still in the line."
            )
            return [some % values]
        return [
            _("%(place)s is free. Place %(dogs)s, or give it a ruling below.") % values
        ]

    def _reasons_missing(self, content, shown, board) -> list[str]:
        if not content.get("ask_reasons"):
            return []
        armbands = dict(shown["line"])
        text = _("Say what puts %(upper)s over %(lower)s.")
        return [
            text % {"upper": armbands[upper], "lower": armbands[lower]}
            for upper, lower in board.without_reasons
        ]

    def grade(self, content, key, answer) -> Graded:
        grade = self._compared(content, key, answer)
        chance = grade.random_as_good
        return Graded(
            share=grade.share,
            agreed=grade.pairs_agreed,
            counted=grade.pairs_counted,
            chance=None if chance is None else float(chance),
            result=grade.to_dict(),
        )

    def grade_unfinished(self, content, key, shown, answer):
        """Of all pairs of the key: those that neither dog has a place in are not as the mentor has them."""
        board = self.board(content, shown, answer)
        if not board.order and not answer["rulings"]:
            return None
        if board.is_complete:  # only reasons are missing
            return self.grade(content, key, answer)
        graded = self.grade(content, key, answer)
        known = ClassKey.read(key).for_grading(ClassContent.read(content))
        counted = known.separated
        return replace(
            graded,
            share=graded.agreed / counted if counted else None,
            counted=counted,
            chance=None,
        )

    def _compared(self, content, key, answer) -> grading.Grade:
        content = ClassContent.read(content)
        rulings = {dog: entry["ruling"] for dog, entry in answer["rulings"].items()}
        return grading.grade(
            ClassKey.read(key).for_grading(content),
            grading.Answer(
                order=tuple((dog,) for dog in answer["order"]), rulings=rulings
            ),
        )

    def marks(self, answer):
        for place, dog in enumerate(answer["order"], start=1):
            yield dog, str(place)
        for dog, entry in answer["rulings"].items():
            yield dog, entry["ruling"]

    def interaction(self, content, key, answer):
        return taking.interaction(
            ClassContent.read(content), ClassKey.read(key), answer
        )

    def anonymous(self, answer):
        return taking.anonymous(answer)


def new_dog_id() -> str:
    """An id that says nothing about the dog."""
    return secrets.token_hex(4)


KIND = Placing()
