"""Opening a panel, and choosing whose reasons its key takes."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from quizzes.panels.findings import Pair
from trainer.accounts.models import User
from trainer.clubs.models import Membership, Role


class MoreForm(forms.Form):
    """Mentors of the club whom an open panel has not asked yet."""

    mentors = forms.ModelMultipleChoiceField(
        label=_("Who keys the class as well"),
        queryset=User.objects.none(),
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": _("Tick the mentors you ask.")},
    )

    def __init__(self, *args, club, asked=(), **kwargs):
        super().__init__(*args, **kwargs)
        mentors = Membership.objects.filter(club=club, role=Role.MENTOR).values("user")
        found = User.objects.filter(pk__in=mentors, is_active=True).exclude(
            pk__in=asked
        )
        self.fields["mentors"].queryset = found.order_by("name", "pk")


class OpenForm(MoreForm):
    message = forms.CharField(
        label=_("Message"),
        required=False,
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_(
            "For example by when you need the keys. Say nothing about the order."
        ),
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        mentors = self.fields["mentors"]
        mentors.label, mentors.initial = _("Who keys the class"), mentors.queryset
        mentors.help_text = _(
            "All mentors of the club. Untick yourself if you only want to read the keys."
        )


class AdoptForm(forms.Form):
    """One choice for each pair of neighbours that some mentor gave a reason for."""

    def __init__(self, *args, pairs: list[Pair], said, **kwargs):
        """said : writes a reason as it is read, with the armbands of its dogs"""
        super().__init__(*args, **kwargs)
        for gap, pair in enumerate(pairs):
            if pair.reasons:
                self.fields[f"reason-{gap}"] = forms.TypedChoiceField(
                    label=_("Whose reason"),
                    coerce=int,
                    empty_value=None,
                    required=False,
                    initial=0,
                    widget=forms.RadioSelect,
                    choices=[
                        *((at, said(*one)) for at, one in enumerate(pair.reasons)),
                        ("", _("None of these; I write one")),
                    ],
                )

    @property
    def chosen(self) -> dict[int, int]:
        """Which reason, by the number of the pair; pairs without one are left out."""
        return {
            int(name.removeprefix("reason-")): at
            for name, at in self.cleaned_data.items()
            if at is not None
        }
