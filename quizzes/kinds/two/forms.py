"""The mentor's form of pairs: what they differ in, how sure somebody has to be, how many there are."""

from __future__ import annotations

from dataclasses import replace

from django import forms
from django.utils.translation import gettext_lazy as _

from quizzes.kinds.two.content import PAIRS, PairsContent
from quizzes.kinds.two.drawable import Offers
from quizzes.models import Revision

HOW_MANY = (24, 30, PAIRS, 40)


class TaskForm(forms.ModelForm):
    """A draft may be unfinished, so nothing but the title is required."""

    asks = forms.ChoiceField(
        label=_("What the pairs differ in"), required=False, widget=forms.RadioSelect
    )
    down = forms.TypedChoiceField(
        label=_("The difference is sought that somebody sees"),
        coerce=int,
        choices=[
            (2, _("about 7 times in 10 (two right in a row make it smaller)")),
            (3, _("about 8 times in 10 (three right in a row make it smaller)")),
        ],
        widget=forms.RadioSelect,
    )
    pairs = forms.TypedChoiceField(
        label=_("How many pairs"),
        coerce=int,
        choices=[(n, n) for n in HOW_MANY],
        help_text=_("Trainees may stop after 20. More pairs tell more closely."),
    )

    class Meta:
        model = Revision
        fields = ["title", "note"]
        widgets = {"note": forms.Textarea(attrs={"rows": 3})}
        help_texts = {"note": _("Shown before it is begun.")}

    def __init__(self, *args, content: PairsContent, offers: Offers, **kwargs):
        self.content, self.offers = content, offers
        initial = {
            "asks": offers.value_of(content),
            "down": content.down,
            "pairs": content.pairs,
        }
        super().__init__(*args, initial=initial, **kwargs)
        self.fields["asks"].choices = [(one.value, one.label) for one in offers.found]

    def revision_fields(self) -> dict:
        return {name: self.cleaned_data[name] for name in self.Meta.fields}

    def sent(self) -> PairsContent:
        """The content as it was sent; what was chosen is drawn as the module has it now."""
        given = self.cleaned_data
        chosen = self.offers.named(given["asks"]) or self.content
        return replace(chosen, down=given["down"], pairs=given["pairs"])
