"""What is asked when a module goes out or comes in as a bundle."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from quizzes.bundles.documents import AUTHORING, READING
from quizzes.bundles.entries import MB, MOST_BYTES
from trainer.clubs.models import Club
from trainer.pictures.models import CONSENT
from trainer.study.models import ModuleRevision


class BundleForm(forms.Form):
    """A file to take in, and the club it is for."""

    club = forms.ModelChoiceField(
        label=_("Club"), queryset=Club.objects.none(), empty_label=None
    )
    file = forms.FileField(
        label=_("Bundle"),
        widget=forms.FileInput(attrs={"accept": ".zip,.json"}),
        error_messages={"empty": _("The file is empty. Choose another.")},
    )

    def __init__(self, *args, user, **kwargs):
        super().__init__(*args, **kwargs)
        taught = Club.objects.taught_by(user)
        self.fields["club"].queryset = taught
        help_text = _("A ZIP file of at most %(most)s MB, or a module document (JSON).")
        self.fields["file"].help_text = help_text % {"most": MOST_BYTES // MB}
        if len(taught) == 1:
            self.fields["club"].widget = forms.HiddenInput()
            self.initial["club"] = taught[0].pk


class ConsentForm(forms.Form):
    """Whether right and consent for the photographs are there."""

    agreed = forms.BooleanField(
        label=CONSENT,
        required=False,
        help_text=_(
            "Without this only you see the photographs until you put it on record for each."
        ),
    )


class ExportForm(forms.Form):
    """Which state of a module goes out, and for whom."""

    revision = forms.ModelChoiceField(
        label=_("Revision"), queryset=ModuleRevision.objects.none(), empty_label=None
    )
    profile = forms.ChoiceField(
        label=_("For whom"),
        choices=[
            (AUTHORING, _("a mentor: everything, with keys and levels")),
            (READING, _("a reader: no keys, no levels, not how close a class is")),
        ],
        widget=forms.RadioSelect,
    )

    def __init__(self, *args, module, **kwargs):
        super().__init__(*args, **kwargs)
        field = self.fields["revision"]
        field.queryset = module.revisions.all()
        field.label_from_instance = lambda one: (
            _("%(n)s, %(state)s: %(title)s")
            % {
                "n": one.number,
                "state": one.get_state_display(),
                "title": one.title,
            }
        )
