"""The forms of the library: a new dog, a dog, its photographs, and a drawn dog from the workbench."""

from __future__ import annotations

import uuid

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from quizzes.dogs.searching import modules_taught
from quizzes.kinds.placing.description import DESCRIBED, DescriptionForm
from quizzes.models import LibraryDog
from trainer.pictures.forms import PhotographField, photograph_help
from trainer.pictures.models import CONSENT
from trainer.pictures.services import Sent
from trainer.study.models import Module

NAME, NOTE = (LibraryDog._meta.get_field(name) for name in ("name", "note"))
CREDIT_HELP = _("Who took it. Trainees read this, so leave out the dog's name.")
LATEST_SHOWN = 24


class NewDogForm(forms.ModelForm):
    """The dog's name and the module on whose priorities it is placed."""

    class Meta:
        model = LibraryDog
        fields = ["module", "name"]
        help_texts = {
            "module": _("Its levels are levels on the priorities of this module.")
        }

    def __init__(self, *args, user, **kwargs):
        super().__init__(*args, **kwargs)
        mine = modules_taught(user)
        self.fields["module"].queryset = mine
        self.fields["module"].initial = mine.first()

    @property
    def can_begin(self) -> bool:
        return self.fields["module"].queryset.exists()


class DogForm(DescriptionForm):
    """Everything that is said of a dog of the library."""

    name = forms.CharField(
        label=_("Name"), max_length=NAME.max_length, help_text=NAME.help_text
    )
    note = forms.CharField(
        label=_("Note"),
        required=False,
        max_length=NOTE.max_length,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text=NOTE.help_text,
    )
    credit = forms.CharField(
        label=_("Credit of the photographs"),
        required=False,
        max_length=120,
        help_text=CREDIT_HELP,
    )
    version = forms.IntegerField(widget=forms.HiddenInput)
    field_order = ["name", "note", *DESCRIBED]
    OWN = ("name", "note", "credit")

    def __init__(self, *args, dog: LibraryDog, priorities, **kwargs):
        names = (*self.OWN, *DESCRIBED, "version")
        kwargs["initial"] = {name: getattr(dog, name) for name in names}
        super().__init__(*args, **kwargs)
        self.ask_for_levels(priorities, dog.levels)

    @property
    def saved_values(self) -> list[dict]:
        label = self.fields["version"].label
        return [one for one in super().saved_values if one["label"] != label]

    def changes(self) -> dict:
        """What is stored, by field."""
        own = {name: self.cleaned_data[name] for name in self.OWN}
        return {**own, **self.described()}

    def asks_for_version(self, version: int) -> None:
        """Sent once more, the form replaces what was saved as that version."""
        self.data = {**self.data.dict(), "version": version}


class PhotographForm(forms.Form):
    """A photograph from one's own machine, for one view of the dog."""

    photograph = PhotographField(label=_("Photograph"))
    credit = forms.CharField(
        label=_("Credit"), required=False, max_length=120, help_text=CREDIT_HELP
    )
    agreed = forms.BooleanField(
        label=CONSENT,
        error_messages={"required": _("Tick this, or leave the photograph out.")},
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["photograph"].help_text = photograph_help()

    @property
    def sent(self) -> Sent:
        photograph = self.cleaned_data["photograph"]
        credit = self.cleaned_data["credit"] or photograph.rights.credit
        return Sent(uuid.uuid4(), photograph, credit, agreed=True)


NEW = "new"


class DrawnForm(forms.Form):
    """Where a dog of the workbench goes in the library: a new one of a module, or one that is there."""

    place = forms.ChoiceField(label=_("Dog of the library"))
    name = forms.CharField(
        label=_("Name"),
        required=False,
        max_length=NAME.max_length,
        help_text=_("For a new dog; for your own use, never shown to trainees."),
    )

    def __init__(self, *args, user, **kwargs):
        super().__init__(*args, auto_id="library_%s", **kwargs)
        self.modules: dict[str, Module] = {
            f"{NEW}:{module.pk}": module for module in modules_taught(user)
        }
        mine = LibraryDog.objects.editable_by(user).in_use()
        latest = list(mine.order_by("-edited_at", "-pk")[:LATEST_SHOWN])
        asked = self.initial.get("place") or self.data.get("place", "")
        self.dogs = {f"library:{dog.pk}": dog for dog in latest}
        if asked.startswith("library:") and asked not in self.dogs:
            pk = asked.removeprefix("library:")
            found = mine.filter(pk=pk).first() if pk.isdecimal() else None
            self.dogs |= {asked: found} if found else {}
        self.fields["place"].choices = [
            *((value, self._new(module)) for value, module in self.modules.items()),
            *((value, dog.name) for value, dog in self.dogs.items()),
        ]

    @staticmethod
    def _new(module: Module) -> str:
        return gettext("a new dog, %(module)s") % {"module": module}

    def clean(self):
        sent = super().clean()
        name = " ".join(sent.get("name", "").split())
        if sent.get("place") in self.modules and not name:
            message = _("Give the new dog a name.")
            self.add_error("name", forms.ValidationError(message, code="required"))
        return {**sent, "name": name}

    @property
    def chosen(self) -> LibraryDog | Module:
        place = self.cleaned_data["place"]
        return self.dogs.get(place) or self.modules[place]
