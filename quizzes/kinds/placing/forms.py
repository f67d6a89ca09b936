"""The trainee's forms: a ruling, and no award for the rest."""

from django import forms
from django.utils.translation import gettext_lazy as _

from quizzes.kinds.placing.board import LONGEST_REASON, Ruling, written
from trainer.study.models import Fault


class ReasonField(forms.CharField):
    """A reason as it goes in the judge's book."""

    def __init__(self, **kwargs):
        defaults = {
            "label": _("Reason, as it goes in the book"),
            "max_length": LONGEST_REASON,
            "widget": forms.TextInput(attrs={"autocomplete": "off", "list": FAULTS_ID}),
            "error_messages": {
                "required": _("Give the reason, as it goes in the judge's book.")
            },
        }
        super().__init__(**{**defaults, **kwargs})

    def to_python(self, value):
        return written(super().to_python(value))


FAULTS_ID = "module-faults"


def faults_named(module_revision_id: int) -> list[str]:
    """The module's faults, to be offered as reasons: those that call for a ruling first."""
    faults = Fault.objects.filter(revision=module_revision_id)
    rows = faults.values_list("name", "ruling")
    return [name for name, _ruling in sorted(rows, key=_weighed_last)]


def _weighed_last(row) -> bool:
    return row[1] == Fault.Ruling.PLACE_LOWER


class RulingForm(forms.Form):
    use_required_attribute = False

    ruling = forms.ChoiceField(
        label=_("Ruling"),
        choices=Ruling.choices,
        widget=forms.RadioSelect,
        error_messages={"required": _("Choose one of the rulings.")},
    )
    reason = ReasonField(
        help_text=_("Every ruling but Absent needs one. For example: lame, right fore.")
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        chosen = self["ruling"].value() if self.is_bound else None
        if chosen in Ruling.values:
            self.fields["reason"].required = Ruling(chosen).needs_reason


class WithholdForm(forms.Form):
    reason = ReasonField()
