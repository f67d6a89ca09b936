"""Forms of what comes after a seminar."""

from __future__ import annotations

import base64
from io import BytesIO

from django import forms
from django.utils.translation import gettext_lazy as _
from PIL import Image

from trainer.accounts.forms import OneLineField
from trainer.pictures.intake import ACCEPTED, take_in
from trainer.seminars.models import Feedback

EMBLEM_SIDE = 320
"""Pixels of the longer side: 27 mm on paper at 300 dots to the inch, and few bytes beside the seminar."""


class WhyForm(forms.Form):
    why = OneLineField(
        label=_("Why"),
        max_length=200,
        help_text=_("Whoever checks the certificate reads it. Leave names out."),
    )


class EmblemForm(forms.Form):
    """A picture file, which is never kept as it was sent; the field gives the text that is stored."""

    file = forms.FileField(
        label=_("The club's emblem"),
        required=False,
        widget=forms.ClearableFileInput(attrs={"accept": ACCEPTED}),
        help_text=_(
            "JPEG, PNG, WebP, AVIF or HEIC with at least 200 pixels either way. Without a file it is taken off. Only "
            "one that the club may use."
        ),
    )

    def clean_file(self) -> str:
        sent = self.cleaned_data["file"]
        return as_emblem(take_in(sent, sent.name).small) if sent else ""


def as_emblem(picture: bytes) -> str:
    """A picture of ours, small, as base64."""
    small, out = Image.open(BytesIO(picture)), BytesIO()
    small.thumbnail((EMBLEM_SIDE, EMBLEM_SIDE), Image.Resampling.LANCZOS)
    small.save(out, "JPEG", quality=85, optimize=True)
    return base64.b64encode(out.getvalue()).decode()


class FeedbackForm(forms.ModelForm):
    useful = forms.TypedChoiceField(
        label=_("How useful it was"),
        choices=[
            ("", _("No answer")),
            (5, _("5, very")),
            (4, "4"),
            (3, "3"),
            (2, "2"),
            (1, _("1, not at all")),
        ],
        coerce=int,
        empty_value=None,
        required=False,
        widget=forms.RadioSelect,
    )

    class Meta:
        model = Feedback
        fields = ["useful", "good", "better"]
        widgets = {
            "good": forms.Textarea(attrs={"rows": 4}),
            "better": forms.Textarea(attrs={"rows": 4}),
        }
