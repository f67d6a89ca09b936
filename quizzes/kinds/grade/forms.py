"""The mentor's form of a dog with its grade, and the trainee's fields for reasons."""

from __future__ import annotations

from dataclasses import replace

from django import forms
from django.utils.translation import gettext_lazy as _

from quizzes.kinds.grade.grades import Grade
from quizzes.kinds.grade.rows import MOST_REASONS, options
from quizzes.kinds.placing.description import DESCRIBED, SEXES
from quizzes.kinds.sheets.forms import RowForm

REASONS = tuple(f"reason_{n}" for n in range(1, MOST_REASONS + 1))


class GradedDogForm(RowForm):
    """What the eye sees, what the hand finds, the grade, and what decides it."""

    template = "quizzes/grade/_row.html"
    key_fields = ("grade", "why")

    sex = forms.ChoiceField(label=_("Sex"), choices=SEXES)
    age_months = forms.IntegerField(
        label=_("Age in months"), min_value=3, max_value=240
    )
    ringside = forms.CharField(
        label=_("From the ring-side"),
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    hands_on = forms.CharField(
        label=_("Under the hand"),
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    grade = forms.ChoiceField(
        label=_("The grade"), choices=[("", _("not said")), *Grade.choices]
    )
    reason_1 = forms.ChoiceField(label=_("It is decided by"))
    reason_2 = forms.ChoiceField(label=_("and by"))
    reason_3 = forms.ChoiceField(label=_("and by"))

    def __init__(self, *args, module=None, **kwargs):
        super().__init__(*args, module=module, **kwargs)
        self.fields["age_months"].needed = False
        priorities = () if module is None else module.priorities.values("slug", "name")
        offered = options(list(priorities))
        values = {value for _side, rows in offered for value, _name in rows}
        # A priority that the module has no more stays until another is chosen.
        gone = [(one, one) for one in self.known.reasons if one not in values]
        for name in REASONS:
            self.fields[name].needed = name == REASONS[0]
            self.fields[name].choices = [("", _("nothing more")), *gone, *offered]

    def initial_of(self, part):
        found = super().initial_of(part)
        reasons = found.pop("reasons", ())
        return {**found, **dict(zip(REASONS, reasons, strict=False))}

    def sent_row(self):
        sent = {name: self.cleaned_data[name] for name in DESCRIBED}
        return replace(self.row, **{**sent, "sex": sent["sex"] or "dog"})

    def sent_known(self):
        chosen = (self.cleaned_data[name] for name in REASONS)
        reasons = tuple(dict.fromkeys(filter(None, chosen)))
        return replace(super().sent_known(), reasons=reasons)
