"""What the study record asks for before it is made."""

from __future__ import annotations

from datetime import datetime

from django import forms
from django.utils.translation import gettext_lazy as _

from quizzes.record.filters import DAYS, Parts, of_period
from trainer.accounts.forms import OneLineField


class StudyRecordForm(forms.Form):
    """The name that stands on it, and which part of the record it is about."""

    name = OneLineField(
        label=_("Name on it"),
        max_length=120,
        help_text=_("As it should stand on the paper; your account keeps its own."),
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
    )
    module = forms.ChoiceField(label=_("Breed"), required=False)
    period = forms.ChoiceField(label=_("When"), required=False)

    def offer(self, parts: Parts, now: datetime) -> None:
        """The breeds and years that there are to choose from."""
        self.now = now
        modules = [(str(pk), name) for pk, name in parts.modules.items()]
        years = [(year, year) for year in parts.years(now)]
        self.fields["module"].choices = [("", _("all breeds")), *modules]
        self.fields["period"].choices = [("", _("at any time")), *DAYS, *years]
        for name in ("module", "period"):
            self.fields[name].needed = True

    def wanted(self, mine) -> dict:
        """The name, the attempts (of those given) and the module that it is about."""
        asked = self.cleaned_data
        if asked["module"]:
            mine = mine.filter(revision__exercise__module=asked["module"])
        period = str(dict(self.fields["period"].choices)[asked["period"]])
        return {
            "name": asked["name"],
            "module": asked["module"] or None,
            "period": period if asked["period"] else "",
            "mine": of_period(mine, asked["period"], self.now),
        }
