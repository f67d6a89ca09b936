"""What the judge does about a situation in the ring, and what is written: one ruling of a list that is always the same."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext_lazy

from quizzes.grading.items import FULL, HALF, NONE, guessing
from quizzes.kinds import shapes
from quizzes.kinds.base import Words
from quizzes.kinds.ruling.forms import SituationForm
from quizzes.kinds.ruling.rulings import Ruling
from quizzes.kinds.sheets.kind import SheetKind
from quizzes.kinds.sheets.pictures import PicturedRow, PicturesMixin
from quizzes.kinds.sheets.rows import Known

Ruled = Annotated[str, shapes.one_of(Ruling.values)]


@dataclass(frozen=True)
class Situation(PicturedRow):
    """What happens: in a few words, and as it is told."""

    name: Annotated[str, shapes.NAME] = ""
    situation: Annotated[str, shapes.SAID] = ""


@dataclass(frozen=True)
class KnownRuling(Known):
    """What the mentor reads the rules to say.

    half : other rulings that are half right
    unsafe : rulings that put somebody at risk
    rule : which rule of which book decides
    written : what is written in the book; empty for nothing
    """

    ruling: Ruled = ""
    half: tuple[Ruled, ...] = ()
    unsafe: tuple[Ruled, ...] = ()
    rule: Annotated[str, shapes.LINE] = ""
    written: Annotated[str, shapes.LINE] = ""

    def texts(self):
        yield from ((name, text) for name, text in super().texts() if name != "ruling")


class RulingKind(PicturesMixin, SheetKind):
    """A ruling is as the key has it, half right, or otherwise. Guessing takes each of the list as likely as another."""

    slug = "ruling"
    label = gettext_lazy("Rulings in the ring")
    counted = ngettext_lazy("%(n)s situation", "%(n)s situations", "n")
    purpose = gettext_lazy(
        "Situations in the ring: trainees say what the judge does and records, and learn which rule decides."
    )
    to_read = ("study:fault-list", gettext_lazy("Read about the faults"))
    words = Words(
        new=gettext_lazy("New sheet of situations in the ring"),
        begin=gettext_lazy("Give your rulings"),
        again=gettext_lazy("Give them again"),
        go_on=gettext_lazy("Go on ruling"),
        go_on_short=gettext_lazy("Go on ruling"),
        as_left=gettext_lazy("You have begun it; your rulings are as you left them."),
        look=gettext_lazy("Look at the exercise"),
        suggested=gettext_lazy("%(breed)s. Situations in the ring to rule on."),
        whole=gettext_lazy("The situations"),
        trial=gettext_lazy("Rule on them yourself, as a trainee would"),
    )
    bounds = gettext_lazy(
        "In the ring your licensing body's book and the rules of the show decide. What the key says is this "
        "mentor's reading of them."
    )
    care = gettext_lazy(
        "Where a bite, hands on a dog, its health or an altered tail or ear is touched: the safety of people and "
        "dogs comes first, then the law of the place and the show's vet. Nothing here is veterinary advice."
    )
    above = "quizzes/ruling/_above.html"
    asked = Situation
    known = KnownRuling
    form = SituationForm

    def answer_of(self, row, sent):
        return next(iter(sent("")), None) or None

    def check_one(self, row, value):
        if value not in Ruling.values:
            raise ValidationError(_("This is no answer to this sheet."), code="form")
        return value

    def points(self, row, known, value) -> Fraction:
        if value == known.ruling:
            return FULL
        return HALF if value in known.half else NONE

    def at_random(self, row, known):
        of = len(Ruling)
        half = set(known.half) - {known.ruling}
        return guessing(Fraction(1, of), Fraction(len(half), of))

    def said_of(self, row, value):
        return str(Ruling(value).label)

    def key_said(self, row, known):
        if not known.ruling:
            return _("not said")
        said = self.said_of(row, known.ruling)
        parts = {"ruling": said, "written": known.written, "rule": known.rule}
        if known.written:
            return _("%(ruling)s. Written: %(written)s. %(rule)s") % parts
        return _("%(ruling)s. %(rule)s") % parts

    def key_in_short(self, row, known):
        return self.said_of(row, known.ruling) if known.ruling else _("not said")

    def named(self, row):
        return row.name or _("a situation without a name")

    def right(self, row, known):
        return known.ruling

    def guess(self, row, rng):
        return rng.choice(Ruling.values)

    def ask(self, sheet, row, shown, value):
        return {"rulings": list(Ruling)}

    def explain(self, sheet, row, known, value):
        return {
            "ruled": str(Ruling(known.ruling).label) if known.ruling else "",
            "half": [str(Ruling(one).label) for one in known.half],
            "unsafe": value in known.unsafe,
        }

    def warned(self, sheet, key, answer):
        given = answer["items"]
        text = _("%(what)s: you would %(ruling)s. The mentor calls that unsafe.")
        return [
            text % {"what": self.named(row), "ruling": _in_sentence(given[row.id])}
            for row in sheet
            if given.get(row.id) in self.known_of(key, row).unsafe
        ]

    def place_named(self, row: Situation, place: str) -> str:
        """The place of a picture, in words."""
        return _("With the situation")

    def lacks(self, row, known):
        lacking = [] if row.name.strip() else [_("Name it in a few words.")]
        if not row.situation.strip():
            lacking.append(_("Tell what happens."))
        lacking += row.picture_lacks()
        if not known.ruling:
            lacking.append(_("Say what the judge does."))
        if not known.rule.strip():
            lacking.append(_("Name the rule that decides."))
        if known.ruling in known.half:
            lacking.append(_("The ruling itself is not half right as well."))
        if known.ruling in known.unsafe or set(known.half) & set(known.unsafe):
            lacking.append(_("What is right, or half right, is not unsafe."))
        return lacking


def _in_sentence(ruling: str) -> str:
    label = str(Ruling(ruling).label)
    return label[:1].lower() + label[1:]


KIND = RulingKind()
