"""The mentor's row of a situation: what happens, the ruling, and what else is half right or unsafe."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy

from quizzes.kinds.ruling.rulings import Ruling
from quizzes.kinds.sheets.forms import RowForm


class Rulings(forms.MultipleChoiceField):
    """Several rulings, stored as a tuple in the order of the list."""

    widget = forms.CheckboxSelectMultiple

    def __init__(self, **kwargs):
        super().__init__(choices=Ruling.choices, **kwargs)

    def clean(self, value):
        return tuple(super().clean(value))

    def prepare_value(self, value):
        return list(value or ())


class SituationForm(RowForm):
    template = "quizzes/ruling/_row.html"
    key_fields = ("why", "ruling", "half", "unsafe", "rule", "written")

    name = forms.CharField(label=gettext_lazy("In a few words"), max_length=80)
    situation = forms.CharField(
        label=gettext_lazy("What happens"),
        max_length=1500,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    ruling = forms.ChoiceField(
        label=gettext_lazy("What the judge does"),
        choices=[("", gettext_lazy("not said")), *Ruling.choices],
    )
    written = forms.CharField(
        label=gettext_lazy("Written in the book, if anything"), max_length=200
    )
    rule = forms.CharField(
        label=gettext_lazy("The rule that decides"),
        max_length=300,
        help_text=gettext_lazy(
            "Which rule of which book, with its number and year. Cite it; do not paste it."
        ),
    )
    half = Rulings(label=gettext_lazy("Half right as well"))
    unsafe = Rulings(
        label=gettext_lazy("Unsafe"),
        help_text=gettext_lazy("Named first in the result of whoever chooses it."),
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name in ("half", "unsafe"):
            self.fields[name].needed = False
