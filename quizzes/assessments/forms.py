"""What mentors fill in: the assessment, its items, and what one person gets beyond the others."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from quizzes.assessments.drafting import SETTINGS
from quizzes.generator.wishes import LARGEST, SMALLEST
from quizzes.models import Allowance, Assessment
from quizzes.models.assessed import MOST_COUNT
from quizzes.practice.forms import DIFFICULTIES, SEXES
from trainer.accounts.models import User
from trainer.clubs.models import Membership, Role
from trainer.study.models import Module


def moment():
    return forms.DateTimeInput(
        format="%Y-%m-%dT%H:%M", attrs={"type": "datetime-local"}
    )


class SettingsForm(forms.ModelForm):
    class Meta:
        model = Assessment
        fields = list(SETTINGS)
        widgets = {
            "note": forms.Textarea(attrs={"rows": 3}),
            "release": forms.RadioSelect,
            "opens_at": moment(),
            "closes_at": moment(),
        }
        help_texts = {
            "note": _("What it is for, and what may lie beside the screen."),
            "minutes": _(
                "For all items together, counted by the server from the moment a person begins. "
                "Empty: no limit. You can give a person more."
            ),
            "pass_per_cent": _(
                "The site says whether a try reaches the mark that you set, and nothing about who may judge. "
                "Empty: no mark."
            ),
            "opens_at": _("Empty: as soon as you open it."),
            "closes_at": _(
                "Who has begun by then has their whole time. Empty: until you close it."
            ),
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["release"].choices = Assessment.Release.choices


class NewForm(SettingsForm):
    module = forms.ModelChoiceField(
        label=_("Study module"), queryset=Module.objects.none()
    )
    field_order = ["module", *SETTINGS]

    class Meta(SettingsForm.Meta):
        fields = ["module", *SETTINGS]

    def __init__(self, *args, user, **kwargs):
        super().__init__(*args, **kwargs)
        mine = Module.objects.editable_by(user).in_force()
        self.fields["module"].queryset = mine.select_related("breed", "club")
        self.initial.setdefault("module", mine.order_by("pk").first())


class CountsForm(forms.Form):
    counts = forms.IntegerField(
        label=_("Counts"), min_value=1, max_value=MOST_COUNT, initial=1
    )


class WishForm(CountsForm):
    """A class that is made anew for each person."""

    size = forms.IntegerField(
        label=_("How many dogs"), initial=5, min_value=SMALLEST, max_value=LARGEST
    )
    sex = forms.ChoiceField(label=_("Sex"), choices=SEXES)
    difficulty = forms.ChoiceField(
        label=_("How close it is"), choices=DIFFICULTIES, initial="middling"
    )
    field_order = ["size", "sex", "difficulty", "counts"]

    def wish(self) -> dict:
        return {name: self.cleaned_data[name] for name in ("size", "sex", "difficulty")}


class AllowanceForm(forms.ModelForm):
    """More time or tries for one person of the club."""

    person = forms.ModelChoiceField(label=_("Person"), queryset=User.objects.none())
    field_order = ["person", "minutes", "tries"]

    class Meta:
        model = Allowance
        fields = ["minutes", "tries"]

    def __init__(self, *args, club, **kwargs):
        super().__init__(*args, **kwargs)
        trains = Membership.objects.filter(club=club).exclude(role=Role.MENTOR)
        people = User.objects.filter(pk__in=trains.values("user"), is_active=True)
        self.fields["person"].queryset = people.order_by("name", "pk")
