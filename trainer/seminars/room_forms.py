"""Forms of the room: signing in, and what the rostrum asks for."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from quizzes.kinds import kind_of
from quizzes.models import Revision
from trainer.accounts.forms import OneLineField
from trainer.seminars.live import read_numbers
from trainer.seminars.models import Seminar

LONGEST_MINUTES = 180


class CodeForm(forms.Form):
    code = forms.CharField(
        label=_("The code on the screen"),
        max_length=20,
        widget=forms.TextInput(
            attrs={
                "autocomplete": "off",
                "autocapitalize": "characters",
                "spellcheck": "false",
            }
        ),
        help_text=_("Six letters and figures."),
    )


class GuestForm(forms.Form):
    name = OneLineField(
        label=_("Your name"),
        max_length=120,
        help_text=_("As it is to stand on your record of attendance."),
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
    )


class MinutesField(forms.DecimalField):
    """Minutes, halves too, as seconds; empty for no clock."""

    def __init__(self):
        super().__init__(
            label=_("Minutes"),
            required=False,
            min_value=0.5,
            max_value=LONGEST_MINUTES,
            help_text=_("Empty for no clock."),
            widget=forms.NumberInput(attrs={"step": "0.5", "inputmode": "decimal"}),
        )

    def clean(self, value):
        minutes = super().clean(value)
        return None if minutes is None else int(minutes * 60)


class ExerciseField(forms.ModelChoiceField):
    """An exercise by its title and its kind."""

    def label_from_instance(self, revision):
        return f"{revision.title} ({kind_of(revision).label})"


class AddForm(forms.Form):
    """One of the club's exercises."""

    revision = ExerciseField(label=_("Exercise"), queryset=Revision.objects.none())
    seconds = MinutesField()

    def __init__(self, *args, seminar: Seminar, **kwargs):
        super().__init__(*args, **kwargs)
        offered = Revision.objects.in_force().shared().select_related("exercise")
        self.fields["revision"].queryset = (
            offered.filter(
                exercise__club=seminar.club,
                exercise__kept_back=False,
            )
            .defer("key")
            .order_by("title", "pk")
        )


class LiveForm(forms.Form):
    """Dogs in the ring, by their numbers alone."""

    title = OneLineField(label=_("Class"), max_length=100)
    numbers = OneLineField(
        label=_("Armband numbers"),
        max_length=200,
        help_text=_("Like 4 7 12 31."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    seconds = MinutesField()

    def clean_numbers(self):
        return read_numbers(self.cleaned_data["numbers"])


class KeyForm(forms.Form):
    """A key as judges write a placing."""

    placing = OneLineField(
        label=_("Your placing"),
        max_length=200,
        help_text=_("Best first, like 4-2-3-1."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    rulings = OneLineField(
        label=_("Rulings"),
        max_length=300,
        required=False,
        help_text=_("Like 31 excused; 8 withheld."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    note = forms.CharField(
        label=_("Reasons in your words"),
        required=False,
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )


class LineForm(forms.Form):
    line = forms.CharField(
        label=_("What you say on it"),
        required=False,
        max_length=1000,
        help_text=_("Stands under the result, on the stage and on the phones."),
        widget=forms.Textarea(attrs={"rows": 2}),
    )
