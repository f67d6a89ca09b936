"""Forms about clubs and who belongs to them."""

from django import forms
from django.utils.translation import gettext_lazy as _

from trainer.accounts.forms import OneLineField
from trainer.clubs.models import Club, Invitation, Role


class ClubForm(forms.ModelForm):
    class Meta:
        model = Club
        fields = ["name", "about", "second_mentor"]
        field_classes = {"name": OneLineField}
        labels = {"name": _("Name of the club"), "about": _("About the club")}
        help_texts = {
            "about": _("Which breeds, where you meet, whom to ask. Members read it.")
        }
        error_messages = {
            "name": {"unique": _("There is a club of this name already.")}
        }
        widgets = {
            "name": forms.TextInput(attrs={"autocomplete": "organization"}),
            "about": forms.Textarea(attrs={"rows": 4}),
        }


class ClubSettingsForm(ClubForm):
    """What an organiser changes of a club that is founded."""

    class Meta(ClubForm.Meta):
        fields = [*ClubForm.Meta.fields, "months_kept"]


ROLES_EXPLAINED = _(
    "Trainees read and place classes. Mentors teach, make classes and see "
    "everybody's placings. Organisers invite people and give roles."
)


class InvitationForm(forms.ModelForm):
    class Meta:
        model = Invitation
        fields = ["role", "places", "note"]
        field_classes = {"note": OneLineField}
        labels = {
            "role": _("Invite as"),
            "places": _("For how many people"),
            "note": _("For whom"),
        }
        help_texts = {
            "role": ROLES_EXPLAINED,
            "places": _(
                "One link can admit a whole group of trainees. Mentors and organisers "
                "each need a link of their own."
            ),
            "note": _("A word for yourself; the invited don't see it."),
        }
        widgets = {"role": forms.RadioSelect}


class RolesForm(forms.Form):
    roles = forms.MultipleChoiceField(
        label=_("Roles"),
        choices=Role.choices,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=ROLES_EXPLAINED,
    )
