"""Which of two, as a kind of exercise: ties the folder's parts to the rest of the site."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext, ngettext_lazy

from quizzes.drawing.amounts import amount
from quizzes.grading.staircase import threshold
from quizzes.kinds.base import Graded, OwnPages, Problem, Words
from quizzes.kinds.two.answering import Run
from quizzes.kinds.two.content import PairsContent

WORDS = Words(
    new=gettext_lazy("New pairs to choose from"),
    begin=gettext_lazy("Begin with the first pair"),
    again=gettext_lazy("Do it again, with other pairs"),
    go_on=gettext_lazy("Go on with your pairs"),
    go_on_short=gettext_lazy("Go on choosing"),
    as_left=gettext_lazy("You have begun it; the next pair waits where you left."),
    look=gettext_lazy("Look at the exercise"),
    suggested=gettext_lazy("%(breed)s. Which of two is better, pair after pair."),
    whole=gettext_lazy("The pairs"),
    trial=gettext_lazy("Choose yourself, as a trainee would"),
)

ABOUT, OVER, UNDER, NONE = "about", "over", "under", "none"
"""How far the figure is known: as it stands, only that it is more or less, or not at all."""


class TwoKind(OwnPages):
    """No key: the better dog is the one that is drawn with less of the fault. The result is a difference."""

    slug = "two"
    folder = "two"
    new_page = "quizzes:two-new"
    label = gettext_lazy("Which of two")
    words = WORDS
    counted = ngettext_lazy("%(n)s pair", "%(n)s pairs", "n")
    purpose = gettext_lazy(
        "Two drawn dogs, again and again: trainees find out how small a difference they see."
    )
    is_marked = False
    gives_points = False

    def about(self, row):
        return _("How small a difference you see.")

    def done(self, n):
        if not n:
            return _("Not done yet.")
        words = ngettext("You have done it once.", "You have done it %(n)s times.", n)
        return words % {"n": n}

    def outcome(self, grade):
        short = _short(grade)
        if not short:
            return _("no telling")
        return _outcome(short, grade.pairs_agreed)

    def said(self, grade):
        short = _short(grade)
        if not short or short["how"] == NONE:
            return _("These answers tell nothing of how small a difference you see.")
        return _("The smallest difference you see: %(what)s.") % {
            "what": self.outcome(grade)
        }

    def parts(self, exercise_id, size):
        return [
            {
                "title": _("What the pairs differ in"),
                "url": reverse("quizzes:two-task", args=[exercise_id]),
                "note": _("A priority or all of them, and how many pairs."),
            },
            {
                "title": _("On paper"),
                "url": reverse("quizzes:two-print", args=[exercise_id]),
                "note": _("Eight pairs to tick, the key on its own page."),
            },
        ]

    def new_content(self, size, places):
        return PairsContent().document()

    def size(self, content):
        return content.get("pairs", 0)

    def items(self, content):
        return frozenset()

    def problems(self, content, key):
        if content.get("parts"):
            return []
        text = _("Choose what the pairs differ in.")
        return [Problem("quizzes:two-task", "id_asks", text)]

    def differences(self, before, after):
        from quizzes.kinds.two.differences import pairs_differences

        return pairs_differences(
            *(PairsContent.read(one) for one, _key in (before, after))
        )

    def texts(self, content, key):
        return {}

    def forget_pictures(self, content, club):
        """Its dogs are drawn."""

    def show(self, content, *, rng, again):
        return {"seed": f"{rng.getrandbits(64):016x}"}

    def run(self, content, shown, answer) -> Run:
        """Raises ValidationError for what is no answer."""
        try:
            return Run.of(PairsContent.read(content), shown, answer)
        except ValueError:
            text = _("This is no answer to these pairs.")
            raise ValidationError(text, code="form") from None

    def check(self, content, shown, answer):
        run = self.run(content, shown, answer)
        if len(run.chosen) > run.content.pairs:
            raise ValidationError(_("There are no more pairs."), code="form")
        return run.document()

    def missing(self, content, shown, answer):
        run = self.run(content, shown, answer)
        if run.may_stop:
            return []
        text = ngettext(
            "You have chosen in %(n)s pair; it takes %(least)s to tell anything.",
            "You have chosen in %(n)s pairs; it takes %(least)s to tell anything.",
            len(run.chosen),
        )
        return [text % {"n": len(run.chosen), "least": run.content.least}]

    def grade(self, content, key, answer) -> Graded:
        """The difference that is seen as often as the staircase's rule says; no share of anything."""
        content = PairsContent.read(content)
        trials = answer["trials"]
        right = [one["side"] == one["chosen"] for one in trials]
        found = threshold([one["difference"] for one in trials], right, content.plan)
        told, value = _told(found, content)
        result = {**told, "right": sum(right), "measure": content.measure}
        return Graded(share=None, agreed=value, counted=0, chance=None, result=result)

    def marks(self, answer):
        """Nothing that a tally could count: every attempt has pairs of its own."""
        return ()

    def anonymous(self, answer):
        """Choices between two drawn dogs say nothing of who made them."""
        return answer


def threshold_told(found, content: PairsContent) -> tuple[dict, str]:
    """A threshold as grades keep it, and in a few words."""
    told, value = _told(found, content)
    return told, _outcome(told["short"], value)


def _told(found, content: PairsContent) -> tuple[dict, float]:
    how, value = _known(found, content)
    told = {
        "short": {"how": how, "unit": content.unit},
        "difference": found.difference,
        # What no plate shows bounds nothing.
        "low": _within(found.low, content),
        "high": _within(found.high, content),
    }
    return told, value


def _outcome(short, value: float) -> str:
    if short["how"] == NONE:
        return _("no telling")
    forms = {
        ABOUT: _("about %(amount)s"),
        OVER: _("more than %(amount)s"),
        UNDER: _("less than %(amount)s"),
    }
    return forms[short["how"]] % {"amount": amount(value, short["unit"])}


def _within(end: float | None, content: PairsContent) -> float | None:
    if end is None or not content.smallest <= end <= content.largest:
        return None
    return end


def _known(found, content: PairsContent) -> tuple[str, float]:
    """How far the figure is known, and the figure that lists show."""
    if found.low is None and found.high is None:
        return NONE, 0.0
    if found.difference > content.largest:
        return OVER, content.largest
    if found.difference < content.smallest:
        return UNDER, content.smallest
    return ABOUT, found.difference


def _short(grade) -> dict | None:
    """What lists need of a grade: a row that fetched no more than that, or the whole."""
    if grade is None:
        return None
    for name in ("result__short", "short"):
        if hasattr(grade, name):
            return getattr(grade, name)
    return grade.result.get("short")


KIND = TwoKind()
