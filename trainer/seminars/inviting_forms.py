"""Forms of invitations by link."""

from __future__ import annotations

from datetime import date

from django import forms
from django.utils.translation import gettext_lazy as _

from trainer.accounts.forms import OneLineField
from trainer.seminars.models import Seminar
from trainer.seminars.models.invitations import MOST_PLACES


class InvitationForm(forms.Form):
    """A new link; it may be used until the seminar begins unless another day is given."""

    note = OneLineField(
        label=_("For whom"),
        max_length=80,
        required=False,
        help_text=_("A word for yourself; the invited don't see it."),
    )
    places = forms.IntegerField(
        label=_("For how many people"),
        min_value=1,
        max_value=MOST_PLACES,
        required=False,
        help_text=_(
            "Empty: as many as have the link. When the seminar is full they come onto the waiting list."
        ),
    )
    until = forms.DateField(
        label=_("Valid until"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text=_("To the end of that day, by the clock of the place."),
    )

    def __init__(self, *args, seminar: Seminar, now, **kwargs):
        self.first = now.astimezone(seminar.zone).date()
        self.last = seminar.ends_at.astimezone(seminar.zone).date()
        begins = seminar.starts_at.astimezone(seminar.zone).date()
        until = min(max(begins, self.first), self.last)
        super().__init__(*args, initial={"until": until}, **kwargs)

    def clean_until(self) -> date:
        until = self.cleaned_data["until"]
        if until < self.first:
            raise forms.ValidationError(_("That day is past."), code="past")
        if until > self.last:
            text = _(
                "The seminar is over by then. Give its last day or an earlier one."
            )
            raise forms.ValidationError(text, code="over")
        return until


class PlaceForm(forms.Form):
    """Who enrols without an account."""

    name = OneLineField(
        label=_("Your name"),
        max_length=120,
        help_text=_("As it is to stand on your record of attendance."),
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
    )
    email = forms.EmailField(
        label=_("Your e-mail address"),
        required=False,
        help_text=_(
            "Your own link, a reminder, and whether a place became free go there; only the organisers see it."
        ),
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
    )

    def clean_email(self) -> str:
        return self.cleaned_data["email"].lower()
