"""What a trainee may wish for in another class."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from quizzes.generator.wishes import LARGEST, SMALLEST
from quizzes.practice.services import SUITS
from trainer.study.models import Module
from trainer.study.reading import readable_by

DIFFICULTIES = [
    ("plain", _("Plain")),
    ("middling", _("Middling")),
    ("close", _("Close")),
]
SEXES = [("dog", _("Dogs")), ("bitch", _("Bitches")), ("mixed", _("Both"))]


class AnotherClassForm(forms.Form):
    """Size, difficulty and sex of a class that is made for the person."""

    module = forms.ModelChoiceField(
        label=_("Study module"), queryset=Module.objects.none()
    )
    size = forms.IntegerField(
        label=_("How many dogs"), initial=5, min_value=SMALLEST, max_value=LARGEST
    )
    sex = forms.ChoiceField(label=_("Sex"), choices=SEXES, initial="dog")
    difficulty = forms.ChoiceField(
        label=_("How close it is"),
        choices=[(SUITS, _("As it suits me")), *DIFFICULTIES],
        initial=SUITS,
        widget=forms.RadioSelect,
        help_text=_(
            "“As it suits me” looks at your latest placings and aims at about three pairs in four right."
        ),
    )

    def __init__(self, *args, user, **kwargs):
        super().__init__(*args, **kwargs)
        in_force = readable_by(user).values("module")
        modules = Module.objects.filter(pk__in=in_force)
        self.fields["module"].queryset = modules.select_related("breed", "club")
        self.modules = list(self.fields["module"].queryset)
        if len(self.modules) == 1:
            self.fields["module"].widget = forms.HiddenInput()
            self.initial["module"] = self.modules[0].pk
