"""Forms about the person."""

from django import forms
from django.utils.translation import gettext_lazy as _

from trainer.accounts.models import User


class OneLineField(forms.CharField):
    """Text on one line: line breaks and runs of blanks become one blank.

    Names stand in mails and lists, where a line break could begin a header or a row.
    """

    def to_python(self, value):
        return " ".join(super().to_python(value).split())


class SignupDetails(forms.Form):
    """What sign-up asks beside e-mail and password."""

    name = OneLineField(
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
        field_classes = {"name": OneLineField}
        labels = {"name": _("Your name"), "theme": _("Look")}
        widgets = {
            "name": forms.TextInput(attrs={"autocomplete": "name"}),
            "theme": forms.RadioSelect,
        }


class ThemeForm(forms.Form):
    theme = forms.ChoiceField(choices=User.Theme.choices, required=False)
