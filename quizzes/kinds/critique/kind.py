"""A critique, as a kind of exercise: ties the folder's parts to the rest of the site."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext, ngettext_lazy

from quizzes.kinds.base import Graded, Interaction, OwnPages, Words
from quizzes.kinds.critique.content import (
    LONGEST,
    Critique,
    CritiqueContent,
    CritiqueKey,
    count_words,
    usual_checklist,
)
from quizzes.kinds.critique.differences import critique_differences, critique_texts
from quizzes.kinds.critique.problems import critique_problems
from quizzes.kinds.placing.content import Dog
from quizzes.kinds.placing.kind import new_dog_id
from quizzes.words import halves

WORDS = Words(
    new=gettext_lazy("New critique"),
    begin=gettext_lazy("Write this critique"),
    again=gettext_lazy("Write it again"),
    go_on=gettext_lazy("Go on with your critique"),
    go_on_short=gettext_lazy("Go on writing"),
    as_left=gettext_lazy("You have begun it; your words are as you left them."),
    look=gettext_lazy("Look at the exercise"),
    suggested=gettext_lazy("%(breed)s. A critique to write."),
    whole=gettext_lazy("The critique"),
    trial=gettext_lazy("Write it yourself, as a trainee would"),
)


class CritiqueKind(OwnPages):
    """A critique in a given number of words, marked by a mentor and not by the site."""

    slug = "critique"
    folder = "critique"
    new_page = "quizzes:critique-new"
    label = gettext_lazy("Critique to write")
    words = WORDS
    counted = ngettext_lazy("%(n)s dog", "%(n)s dogs", "n")
    purpose = gettext_lazy(
        "One dog, of which trainees write the critique; you read and mark it."
    )
    is_marked = True

    def about(self, row):
        return _("A critique to write.")

    def done(self, n):
        if not n:
            return _("Not written yet.")
        words = ngettext(
            "You have written it once.", "You have written it %(n)s times.", n
        )
        return words % {"n": n}

    def outcome(self, grade):
        if grade is None or not grade.pairs_counted:
            return _("not marked yet")
        values = {"points": halves(grade.pairs_agreed), "most": grade.pairs_counted}
        return _("%(points)s of %(most)s points") % values

    def said(self, grade):
        if grade is None or not grade.pairs_counted:
            return _("Handed in; not marked yet.")
        return _("Marked: %(points)s.") % {"points": self.outcome(grade)}

    def parts(self, exercise_id, size):
        return [
            {
                "title": _("The dog and what is asked"),
                "url": reverse("quizzes:critique-task", args=[exercise_id]),
                "note": _("The dog, how many words, what a critique covers."),
            },
            {
                "title": _("Your own critique and the rubric"),
                "url": reverse("quizzes:critique-key", args=[exercise_id]),
                "note": _("Shown after handing in; what marks are given for."),
            },
            {
                "title": _("On paper"),
                "url": reverse("quizzes:critique-print", args=[exercise_id]),
                "note": _("The dog and lines to write on."),
            },
        ]

    def new_content(self, size, places):
        return CritiqueContent(
            dog=Dog(id=new_dog_id()), checklist=usual_checklist()
        ).document()

    def size(self, content):
        return len(content["dogs"])

    def items(self, content):
        return frozenset()

    def problems(self, content, key):
        return critique_problems(CritiqueContent.read(content), CritiqueKey.read(key))

    def differences(self, before, after):
        documents = (
            (CritiqueContent.read(content), CritiqueKey.read(key))
            for content, key in (before, after)
        )
        return critique_differences(*documents)

    def texts(self, content, key):
        return critique_texts(CritiqueContent.read(content), CritiqueKey.read(key))

    def forget_pictures(self, content, club):
        from quizzes.kinds.placing.photographs import erase_unused

        erase_unused(CritiqueContent.read(content).pictures, club.pk)

    def show(self, content, *, rng, again):
        """The one dog under its own number, as the pages of an attempt find it."""
        dog = CritiqueContent.read(content).dog
        return {"line": [[dog.id, dog.armband]]}

    def check(self, content, shown, answer):
        rows = len(content["checklist"])
        text, covered = _parts(answer)
        if len(text) > LONGEST:
            problem = _(
                "A critique has at most %(most)s characters; this one has %(n)s."
            )
            values = {"most": LONGEST, "n": len(text)}
            raise ValidationError(problem, code="long", params=values)
        if not all(type(at) is int and 0 <= at < rows for at in covered):
            raise ValidationError(_("This is not a critique."), code="form")
        return Critique(text, tuple(sorted(set(covered)))).document()

    def missing(self, content, shown, answer):
        content, n = CritiqueContent.read(content), count_words(answer.get("text", ""))
        values = {"n": n, "least": content.least, "most": content.most}
        if n < content.least:
            words = ngettext(
                "Your critique has %(n)s word; at least %(least)s are asked for.",
                "Your critique has %(n)s words; at least %(least)s are asked for.",
                n,
            )
            return [words % values]
        if n > content.most:
            text = _("Your critique has %(n)s words; at most %(most)s are asked for.")
            return [text % values]
        return []

    def grade(self, content, key, answer) -> Graded:
        """Nothing but the words: the points are a mentor's (quizzes/marking/), who is still to read it."""
        n = count_words(answer["text"])
        return Graded(share=None, agreed=0, counted=0, chance=None, result={"words": n})

    def grade_unfinished(self, content, key, shown, answer):
        """Too short or too long: a mentor reads it all the same."""
        return self.grade(content, key, answer) if answer["text"].strip() else None

    def marks(self, answer):
        for at in answer["covered"]:
            yield f"check-{at}", "ticked"

    def rubric(self, key):
        return CritiqueKey.read(key).rubric

    def explained(self, attempt):
        from quizzes.kinds.critique.result import explained

        return explained(attempt)

    def interaction(self, content, key, answer):
        """The words themselves. No list of right ones could be made, and nothing of them stays without the person."""
        return Interaction(type="long-fill-in", response=answer.get("text", ""))


def _parts(answer) -> tuple[str, list]:
    """Text and ticks of an answer as it was sent; ValidationError for anything else."""
    text = answer.get("text") if isinstance(answer, dict) else None
    covered = answer.get("covered") if isinstance(answer, dict) else None
    if not isinstance(text, str) or not isinstance(covered, list) or "\x00" in text:
        raise ValidationError(_("This is not a critique."), code="form")
    return text.replace("\r\n", "\n").strip(), covered


KIND = CritiqueKind()
