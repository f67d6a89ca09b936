"""A dog as a mentor describes it in a form: sex, age, by eye, by hand, and how it stands on each priority."""

from __future__ import annotations

from collections.abc import Iterable

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

DESCRIBED = ("sex", "age_months", "ringside", "hands_on")
SEXES = [("dog", _("Dog")), ("bitch", _("Bitch"))]


def saved_values(form) -> list[dict]:
    """What is saved of the fields that were sent otherwise, in words."""
    found = []
    for name in form.changed_data:
        field = form[name]
        if field.widget_type in ("file", "clearablefile", "checkbox"):
            continue
        words = dict(getattr(field.field, "choices", ()))
        value = words.get(field.initial, field.initial)
        if value in (None, ""):
            value = gettext("nothing")
        found.append({"label": field.label, "value": value})
    return found


class DescriptionForm(forms.Form):
    """The fields that every description of a dog has, and a choice for each priority."""

    sex = forms.ChoiceField(label=_("Sex"), choices=SEXES)
    age_months = forms.IntegerField(
        label=_("Age in months"), required=False, min_value=3, max_value=240
    )
    ringside = forms.CharField(
        label=_("From the ring-side"),
        required=False,
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("What the eye sees. Describe; don't compare."),
    )
    hands_on = forms.CharField(
        label=_("Under the hand"),
        required=False,
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("What only the hand can tell."),
    )

    def ask_for_levels(self, priorities: Iterable, levels) -> None:
        """A field for each priority, with its phrases; `levels` are those the dog has."""
        self.level_names = []
        for priority in priorities:
            name = f"level-{priority.slug}"
            choices = [(phrase.level, phrase.text) for phrase in priority.phrases.all()]
            self.fields[name] = forms.TypedChoiceField(
                label=priority.name,
                required=False,
                coerce=int,
                empty_value=None,
                choices=[("", _("not said")), *choices],
                initial=levels.get(priority.slug),
            )
            self.level_names.append(name)

    @property
    def saved_values(self) -> list[dict]:
        return saved_values(self)

    @property
    def level_fields(self):
        return [self[name] for name in self.level_names]

    def levels(self) -> dict[str, int]:
        """The levels that were chosen, by the priority's slug."""
        sent = self.cleaned_data
        return {
            name.removeprefix("level-"): sent[name]
            for name in self.level_names
            if sent[name] is not None
        }

    def described(self) -> dict:
        """Everything the description says, by the name it is stored under."""
        fields = {name: self.cleaned_data[name] for name in DESCRIBED}
        return {**fields, "levels": self.levels()}
