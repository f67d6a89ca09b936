"""The library's forms, in the site's words."""

from allauth.account import forms
from django.utils.translation import gettext_lazy as _

LABELS = {
    "login": _("E-mail address"),
    "email": _("E-mail address"),
    "oldpassword": _("Current password"),
    "password2": _("The same again"),
}
PASSWORD_HINT = _(
    "At least eight characters; not a common password, and nothing like your name or address."
)
NO_ADDRESS = _("Give an e-mail address, such as name@example.org.")


class OwnWords:
    """Labels, hints and refusals of the fields; the label says what a field is for, so no placeholder."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items():
            field.widget.attrs.pop("placeholder", None)
            field.label = LABELS.get(name, field.label)
            if name in ("login", "email"):
                field.error_messages["invalid"] = NO_ADDRESS
        if "password1" in self.fields:
            self.fields["password1"].help_text = PASSWORD_HINT


class Login(OwnWords, forms.LoginForm):
    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        # The library's hint is a link, which would stand between the label and the field.
        self.fields["password"].help_text = ""


class SignUp(OwnWords, forms.SignupForm):
    pass


class AddAddress(OwnWords, forms.AddEmailForm):
    pass


class ChangeAddress(OwnWords, forms.ChangeEmailForm):
    pass


class ChangePassword(OwnWords, forms.ChangePasswordForm):
    pass


class SetPassword(OwnWords, forms.SetPasswordForm):
    pass


class ResetPassword(OwnWords, forms.ResetPasswordForm):
    pass


class ResetPasswordFromKey(OwnWords, forms.ResetPasswordKeyForm):
    pass
