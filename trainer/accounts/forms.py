"""Forms about the person."""

from django import forms
from django.utils.translation import gettext_lazy as _

from trainer.accounts.models import User


class SignupDetails(forms.Form):
    """What sign-up asks beside e-mail and password."""

    name = forms.CharField(
        label=_("Your name"),
        max_length=120,
        help_text=_(
            "As your club knows you. Mentors of your club see it beside your placings."
        ),
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
    )
    field_order = ["name", "email", "password1"]

    def signup(self, request, user):
        """Called by the library once the person is stored."""
        user.name = self.cleaned_data["name"]
        user.save(update_fields=["name"])


class ProfileForm(forms.ModelForm):
    class Meta:
        model = User
        fields = ["name", "theme"]
        widgets = {
            "name": forms.TextInput(attrs={"autocomplete": "name"}),
            "theme": forms.RadioSelect,
        }


class ThemeForm(forms.Form):
    theme = forms.ChoiceField(choices=User.Theme.choices, required=False)
