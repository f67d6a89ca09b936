"""Forms that take photographs in and say whose they are; tools have theirs in tool_forms."""

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from trainer.accounts.forms import OneLineField
from trainer.clubs.models import Club
from trainer.pictures.intake import ACCEPTED, MOST_BYTES, take_in
from trainer.pictures.models import CONSENT, Picture


class PhotographField(forms.FileField):
    """Gives an intake.Photograph, or None where no file was chosen."""

    widget = forms.FileInput(attrs={"accept": ACCEPTED})
    default_error_messages = {"empty": _("The file is empty. Choose another.")}

    def to_python(self, data):
        file = super().to_python(data)
        return file and take_in(file, file.name)


def photograph_help():
    """What may be chosen, in words. A page that sends several may be too large."""
    text = _(
        "JPEG, PNG, WebP, AVIF or HEIC of up to %(most)s MB. Save after each photograph."
    )
    return text % {"most": MOST_BYTES // 1024**2}


class SeveralFiles(forms.FileInput):
    allow_multiple_selected = True

    def value_from_datadict(self, data, files, name):
        return files.getlist(name) if hasattr(files, "getlist") else files.get(name)


class SeveralFilesField(forms.FileField):
    """Gives the files as they were sent; each is taken in by itself, so that one may fail."""

    widget = SeveralFiles(attrs={"accept": ACCEPTED})

    def clean(self, data, initial=None):
        if not data:
            raise forms.ValidationError(self.error_messages["required"], "required")
        return list(data)


class UploadForm(forms.Form):
    club = forms.ModelChoiceField(
        label=_("Club"), queryset=Club.objects.none(), empty_label=None
    )
    photographs = SeveralFilesField(
        label=_("Photographs"),
        error_messages={"required": _("Choose one photograph or more.")},
    )

    def __init__(self, *args, user, **kwargs):
        super().__init__(*args, **kwargs)
        clubs = Club.objects.taught_by(user)
        self.fields["club"].queryset = clubs
        self.fields["photographs"].help_text = _(
            "JPEG, PNG, WebP, AVIF or HEIC, up to %(most)s MB each."
        ) % {"most": MOST_BYTES // 1024**2}
        if len(clubs) == 1:
            self.fields["club"].widget = forms.HiddenInput()
            self.initial["club"] = clubs[0].pk


class DetailsForm(forms.ModelForm):
    """What a photograph shows and whose it is; the tick puts consent on record."""

    agreed = forms.BooleanField(label=CONSENT, required=False)

    class Meta:
        model = Picture
        fields = [
            "title",
            "alt",
            "credit",
            "rights_holder",
            "licence",
            "made",
            "consent_until",
        ]
        field_classes = dict.fromkeys(
            ["title", "alt", "credit", "rights_holder"], OneLineField
        )
        labels = {
            "title": _("Title"),
            "alt": _("What it shows, in words"),
            "credit": _("Credit, as it is printed beside the photograph"),
            "rights_holder": _("Whose photograph it is"),
            "licence": _("How it may be used"),
            "made": _("How it came about"),
            "consent_until": _("Agreed until"),
        }
        widgets = {
            "consent_until": forms.DateInput({"type": "date"}, format="%Y-%m-%d")
        }
        help_texts = {
            "title": _("Mentors of your club find it by this."),
            "alt": _("For those who can't see it, and for when it does not load."),
            "made": _("Only a photograph as it was taken shows how a dog is built."),
            "consent_until": _("After that day only you see it. Empty: no end."),
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name in ("licence", "made"):
            field = self.fields[name]
            field.choices = [("", _("not said yet")), *field.choices[1:]]
        self.lapsed = self.instance.consent_is_over
        if self.instance.consent_at is not None:
            # With consent on record, taking the licence away would hide it from the club.
            self.fields["licence"].required = True
            if not self.lapsed:
                del self.fields["agreed"]

    def clean(self):
        given = super().clean()
        for name in ("licence", "rights_holder"):
            if given.get("agreed") and not given.get(name) and name not in self.errors:
                self.add_error(name, NEEDED[name])
        self._check_until(given)
        return given

    def _check_until(self, given):
        """An end lies ahead; what is over is prolonged only by agreeing anew."""
        until, was = given.get("consent_until"), self.instance.consent_until
        if (
            until
            and until < timezone.localdate()
            and (until != was or given.get("agreed"))
        ):
            self.add_error("consent_until", _("That day is over."))
        elif self.lapsed and until != was and not given.get("agreed"):
            self.add_error("agreed", _("What was agreed is over. Set the tick anew."))

    def details(self) -> dict:
        """The values to store, without the tick."""
        return {name: self.cleaned_data[name] for name in self.Meta.fields}


NEEDED = {
    "licence": _("Say how it may be used; without that only you see it."),
    "rights_holder": _("Name the person or club that has the right to it."),
}
