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


class DeleteForm(forms.Form):
    """The password once more; from whoever has none, their address in full."""

    password = forms.CharField(
        label=_("Your password"),
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )
    email = forms.EmailField(
        label=_("Your e-mail address"),
        help_text=_("As your account has it, so that nobody does this by a slip."),
    )

    def __init__(self, *args, user: User, **kwargs):
        super().__init__(*args, **kwargs)
        self.user = user
        del self.fields["email" if user.has_usable_password() else "password"]

    def clean_password(self):
        password = self.cleaned_data["password"]
        if not self.user.check_password(password):
            raise forms.ValidationError(_("This is not your password."), code="wrong")
        return password

    def clean_email(self):
        email = self.cleaned_data["email"]
        if email.casefold() != self.user.email.casefold():
            raise forms.ValidationError(_("This is not your address."), code="wrong")
        return email
