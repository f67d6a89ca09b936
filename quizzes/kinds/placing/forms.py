"""The trainee's forms: another ruling, and no award for the rest."""

from django import forms
from django.utils.translation import gettext_lazy as _

from quizzes.kinds.placing.board import LONGEST_REASON, Ruling, written


class ReasonField(forms.CharField):
    """A reason as it goes in the judge's book."""

    def __init__(self, **kwargs):
        defaults = {
            "label": _("Reason, as it goes in the book"),
            "max_length": LONGEST_REASON,
            "widget": forms.TextInput(attrs={"autocomplete": "off"}),
        }
        super().__init__(**{**defaults, **kwargs})

    def to_python(self, value):
        return written(super().to_python(value))


class RulingForm(forms.Form):
    ruling = forms.ChoiceField(
        label=_("Ruling"),
        choices=Ruling.choices,
        widget=forms.RadioSelect,
        error_messages={"required": _("Choose one of the rulings.")},
    )
    reason = ReasonField(
        required=False, help_text=_("For example: lame, right fore. Absent needs none.")
    )

    def clean(self):
        cleaned = super().clean()
        ruling = cleaned.get("ruling")
        if ruling and Ruling(ruling).needs_reason and not cleaned.get("reason"):
            message = _("Give the reason, as it goes in the judge's book.")
            self.add_error("reason", forms.ValidationError(message, code="no-reason"))
        return cleaned


class WithholdForm(forms.Form):
    reason = ReasonField(
        error_messages={
            "required": _("Give the reason, as it goes in the judge's book.")
        }
    )
