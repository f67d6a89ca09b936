"""Faults to sort into minor, serious and disqualifying."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext_lazy

from quizzes.grading.items import FULL, NONE, guessing
from quizzes.kinds import shapes
from quizzes.kinds.base import Words
from quizzes.kinds.sheets.forms import RowForm
from quizzes.kinds.sheets.kind import SheetKind
from quizzes.kinds.sheets.leaning import leaning
from quizzes.kinds.sheets.rows import Asked, Known, Sheet
from trainer.study.models import Fault

MILDER = ngettext_lazy(
    "You were milder than the module on one fault.",
    "You were milder than the module on %(n)s faults.",
    "n",
)
STRICTER = ngettext_lazy(
    "You were stricter than the module on one fault.",
    "You were stricter than the module on %(n)s faults.",
    "n",
)
SEVERITIES = tuple(Fault.Severity.values)
"""From the mildest to the gravest."""


@dataclass(frozen=True)
class NamedFault(Asked):
    """A fault as the trainee reads it."""

    name: Annotated[str, shapes.NAME] = ""
    description: str = ""


@dataclass(frozen=True)
class KnownSeverity(Known):
    """How grave the module has it."""

    severity: Annotated[str, shapes.one_of(SEVERITIES)] = ""


class FaultForm(RowForm):
    key_fields = ("why", "severity")

    name = forms.CharField(label=gettext_lazy("The fault"), max_length=80)
    description = forms.CharField(
        label=gettext_lazy("What it is"),
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    severity = forms.ChoiceField(
        label=gettext_lazy("How grave it is"),
        choices=[("", gettext_lazy("not said")), *Fault.Severity.choices],
    )
    field_order = ["name", "description", "severity", "why"]


class SeverityKind(SheetKind):
    """Each fault is right or not; how far off stands beside it, and whether on the mild side."""

    slug = "severity"
    label = gettext_lazy("Faults by severity")
    counted = ngettext_lazy("%(n)s fault", "%(n)s faults", "n")
    purpose = gettext_lazy(
        "Faults of the breed, sorted by trainees into minor, serious and disqualifying."
    )
    to_read = ("study:fault-list", gettext_lazy("Read about the faults"))
    words = Words(
        new=gettext_lazy("New sheet of faults to sort"),
        begin=gettext_lazy("Sort the faults"),
        again=gettext_lazy("Sort them again"),
        go_on=gettext_lazy("Go on sorting"),
        go_on_short=gettext_lazy("Go on sorting"),
        as_left=gettext_lazy("You have begun it; what you sorted is as you left it."),
        look=gettext_lazy("Look at the exercise"),
        suggested=gettext_lazy("%(breed)s. Faults to sort by how grave they are."),
        whole=gettext_lazy("The faults"),
        trial=gettext_lazy("Sort them yourself, as a trainee would"),
    )
    asked = NamedFault
    known = KnownSeverity
    form = FaultForm

    def begin_with(self, module):
        """All faults of the module, with the severity and the ruling that it gives them."""
        rows, key = [], {}
        for fault in module.faults.all():
            row = NamedFault(name=fault.name, description=fault.description)
            why = _("The module's ruling: %(ruling)s.") % {
                "ruling": fault.get_ruling_display()
            }
            rows.append(row)
            key[row.id] = KnownSeverity(severity=fault.severity, why=why)
        return (Sheet(tuple(rows)), key) if rows else super().begin_with(module)

    def answer_of(self, row, sent):
        return next(iter(sent("")), None) or None

    def check_one(self, row, value):
        if value not in SEVERITIES:
            raise ValidationError(_("This is no answer to this sheet."), code="form")
        return value

    def points(self, row, known, value) -> Fraction:
        return FULL if value == known.severity else NONE

    def at_random(self, row, known):
        return guessing(Fraction(1, len(SEVERITIES)))

    def said_of(self, row, value):
        return str(Fault.Severity(value).label)

    def key_said(self, row, known):
        return self.said_of(row, known.severity) if known.severity else _("not said")

    def named(self, row):
        return row.name or _("a fault without a name")

    def lacks(self, row, known):
        lacking = []
        if not row.name.strip():
            lacking.append(_("Name the fault."))
        if not known.severity:
            lacking.append(_("Say how grave it is."))
        return lacking

    def right(self, row, known):
        return known.severity

    def guess(self, row, rng):
        return rng.choice(SEVERITIES)

    def ask(self, sheet, row, shown, value):
        return {"choices": Fault.Severity.choices}

    def explain(self, sheet, row, known, value):
        if value == known.severity or value is None:
            return {"off": ""}
        mild = SEVERITIES.index(value) < SEVERITIES.index(known.severity)
        return {"off": _("You were milder.") if mild else _("You were stricter.")}

    def also_said(self, sheet, key, answer):
        given = answer["items"]
        steps = [
            SEVERITIES.index(given[row.id])
            - SEVERITIES.index(self.known_of(key, row).severity)
            for row in sheet
            if row.id in given
        ]
        return leaning(steps, MILDER, STRICTER)


KIND = SeverityKind()
