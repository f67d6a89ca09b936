"""A form field that takes a photograph."""

from django import forms
from django.utils.translation import gettext_lazy as _

from trainer.pictures.intake import ACCEPTED, MOST_BYTES, take_in


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
