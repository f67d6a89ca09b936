"""The mentor's forms: a new class, what it is called, and its dogs."""

from __future__ import annotations

import re
import uuid
from dataclasses import replace

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from quizzes.drawing.dogs import VIEW_LABELS
from quizzes.kinds.placing.content import LARGEST, SMALLEST, ClassContent, Dog
from quizzes.kinds.placing.description import (
    DESCRIBED,
    DescriptionForm,
    saved_values,
)
from quizzes.models import Revision
from trainer.pictures.forms import PhotographField, photograph_help
from trainer.pictures.models import CONSENT
from trainer.pictures.services import Sent
from trainer.study.models import Module

SENT_DOG = re.compile(r"(\w{1,20})-armband")


class ClassForm(forms.ModelForm):
    """What trainees are told before they begin, and how the class is run."""

    places = forms.IntegerField(
        label=_("Places given"),
        required=False,
        min_value=1,
        max_value=LARGEST,
        help_text=_("For example 4 for the first four. Empty: every dog is placed."),
    )

    hand_later = forms.BooleanField(
        label=_("What the hand finds is told only when the trainee goes over the dog"),
        required=False,
        help_text=_("Without this tick everything is told from the start."),
    )
    picture_goes = forms.BooleanField(
        label=_("Pictures only at the ring-side"),
        required=False,
        help_text=_(
            "The picture of a dog goes when the trainee goes over it: what the eye saw has "
            "to be remembered. Without this tick pictures are shown from the start to the end."
        ),
    )

    ask_reasons = forms.BooleanField(
        label=_("Ask for the reasons of each pair before the placing is handed in"),
        required=False,
        help_text=_(
            "Trainees name what decides between two neighbours, and what they grant the lower one. "
            "It is compared with your reasons and the dogs' levels."
        ),
    )

    class Meta:
        model = Revision
        fields = ["title", "note", "difficulty", "pace_seconds"]
        widgets = {"note": forms.Textarea(attrs={"rows": 3})}
        help_texts = {
            "title": _("For example: Open bitches, five."),
            "note": _("Shown before the class is begun. Say nothing about the order."),
            "pace_seconds": _(
                "Shows a clock that warns and takes nothing away. Two to three minutes a dog "
                "is usual in the ring. Empty: no clock."
            ),
        }

    OF_CONTENT = ("places", "hand_later", "picture_goes", "ask_reasons")

    def __init__(self, *args, content=None, **kwargs):
        super().__init__(*args, **kwargs)
        self.dogs = None if content is None else len(content)
        if content is not None:
            for name in self.OF_CONTENT:
                self.fields[name].initial = getattr(content, name)

    def clean(self):
        """No more places than dogs, said at once and not only before publishing."""
        sent = super().clean()
        dogs = sent.get("size", self.dogs)
        places = sent.get("places")
        if places and dogs and places > dogs + self.adds_a_dog:
            text = _(
                "The class has %(dogs)s dogs: give %(dogs)s places or fewer, or leave this empty."
            )
            error = forms.ValidationError(text, code="places", params={"dogs": dogs})
            self.add_error("places", error)
        if sent.get("picture_goes") and not sent.get("hand_later"):
            text = _(
                "This needs the tick above: only then are dogs gone over one by one."
            )
            self.add_error("picture_goes", forms.ValidationError(text, code="alone"))
        return sent

    @property
    def adds_a_dog(self) -> bool:
        return self.data.get("do") == "add"

    @property
    def saved_values(self) -> list[dict]:
        return saved_values(self)

    def revision_fields(self) -> dict:
        return {name: self.cleaned_data[name] for name in self.Meta.fields}

    def content_fields(self) -> dict:
        """What the class's content says beside its dogs."""
        return {name: self.cleaned_data[name] for name in self.OF_CONTENT}


class NewClassForm(ClassForm):
    module = forms.ModelChoiceField(
        label=_("Study module"), queryset=Module.objects.none()
    )
    size = forms.IntegerField(
        label=_("How many dogs"), initial=4, min_value=SMALLEST, max_value=LARGEST
    )
    field_order = [
        "module",
        "title",
        "size",
        "places",
        "note",
        "difficulty",
        "pace_seconds",
    ]

    def __init__(self, *args, user, **kwargs):
        super().__init__(*args, **kwargs)
        mine = (
            Module.objects.editable_by(user).in_force().select_related("breed", "club")
        )
        self.fields["module"].queryset = mine
        self.fields["module"].initial = mine.first()
        # Chosen where the dogs are described.
        for name in ("hand_later", "picture_goes"):
            del self.fields[name]


class DogForm(DescriptionForm):
    """One dog of the class. Everything may be saved half done; publishing asks for the rest."""

    armband = forms.IntegerField(label=_("Armband"), min_value=1, max_value=999)
    photograph = PhotographField(label=_("Photograph"), required=False)
    credit = forms.CharField(
        label=_("Credit"),
        required=False,
        max_length=120,
        help_text=_("Who took it. Trainees read this, so leave out the dog's name."),
    )
    agreed = forms.BooleanField(label=CONSENT, required=False)
    field_order = ["armband", *DESCRIBED]

    def __init__(self, *args, dog: Dog, priorities, photographs=(), **kwargs):
        self.dog = dog
        self.shows_photograph = dog.picture in photographs
        self.sent: Sent | None = None
        self.is_gone = False
        self.photographs = photographs
        fields = ("armband", *DESCRIBED, "credit")
        kwargs["initial"] = {name: getattr(dog, name) for name in fields}
        super().__init__(*args, prefix=dog.id, **kwargs)
        self.fields["photograph"].help_text = photograph_help()
        self.ask_for_levels(priorities, dog.levels)

    @property
    def more_photographs(self) -> list[tuple[str, str]]:
        """View and id of the photographs beside the first."""
        return [
            (VIEW_LABELS[view], picture)
            for view, picture in self.dog.pictures.items()
            if picture in self.photographs
        ]

    @property
    def lost_photograph(self) -> bool:
        """True if the dog had a photograph that was withdrawn."""
        return bool(self.dog.picture) and not self.shows_photograph

    def clean(self):
        """A photograph needs the tick; without a file the tick means nothing."""
        sent = self.cleaned_data
        photograph = sent.get("photograph")
        if photograph and not sent.get("agreed"):
            message = _("Tick this, or leave the photograph out.")
            self.add_error("agreed", forms.ValidationError(message, code="consent"))
        elif photograph:
            credit = sent.get("credit") or photograph.rights.credit
            self.sent = Sent(uuid.uuid4(), photograph, credit, agreed=True)
        return sent

    def ask_for_file_again(self):
        """A browser does not send a file twice, so say so where the page is shown again."""
        name = "photograph"
        if self.add_prefix(name) in self.files and name not in self.errors:
            message = _("Choose the photograph again. Nothing was saved yet.")
            self.add_error(name, forms.ValidationError(message, code="again"))

    def changed_dog(self) -> Dog:
        if not self.is_bound:
            return self.dog
        sent = self.cleaned_data
        picture = self.dog.picture if self.shows_photograph else ""
        credit = sent["credit"]
        if self.sent:
            picture, credit = str(self.sent.public_id), self.sent.credit
        return replace(
            self.dog,
            armband=sent["armband"],
            picture=picture,
            credit=credit,
            **self.described(),
        )


class DogForms:
    """The dogs of one class, a form each, and that no two wear the same number."""

    def __init__(
        self,
        posted,
        files,
        *,
        content: ClassContent,
        priorities,
        photographs=(),
        out: Dog | None = None,
        again: str = "",
    ):
        """
        out : the dog that was taken out last, if that can be put back
        again : a dog that another window took out, and that is put in again as it was sent
        """
        self.class_content = content
        shared = {"priorities": priorities, "photographs": photographs}
        self.forms = []
        self.gone = []
        for dog in content:
            # A dog that another window added is not among what was sent, and stays as it is.
            sent = posted is not None and f"{dog.id}-armband" in posted
            data = (posted, files) if sent else (None, None)
            self.forms.append(DogForm(*data, dog=dog, **shared))
        for dog in _sent_dogs(posted):
            if dog not in content.by_id:
                form = DogForm(posted, None, dog=self._gone(dog, out), **shared)
                form.is_gone = True
                (self.forms if dog == again else self.gone).append(form)

    def __iter__(self):
        return iter(self.forms)

    def _gone(self, dog: str, out: Dog | None) -> Dog:
        """A dog that was sent and is not in the class any more, as far as it is known."""
        if out and out.id == dog:
            return out
        return Dog(id=dog, drawn=not self.class_content.breed)

    @property
    def have_errors(self) -> bool:
        return any(form.is_bound and form.errors for form in self.forms)

    @property
    def are_fewest(self) -> bool:
        return len(self.forms) <= SMALLEST

    @property
    def are_most(self) -> bool:
        return len(self.forms) >= LARGEST

    def are_valid(self) -> bool:
        if self.have_errors:
            return False
        worn: dict[int, DogForm] = {}
        for form in self.forms:
            armband = form.changed_dog().armband
            if armband in worn and form.is_bound:
                message = _(
                    "Another dog of the class wears this number. Give this one another."
                )
                form.add_error("armband", forms.ValidationError(message, code="worn"))
            worn[armband] = form
        return all(not form.errors for form in self.forms)

    def ask_for_files_again(self):
        for form in self.forms:
            form.ask_for_file_again()

    @property
    def sent(self) -> list[Sent]:
        return [form.sent for form in self.forms if form.sent]

    @property
    def credits_read(self) -> list[str]:
        """What to check: credits that were read from the photographs themselves."""
        text = gettext(
            "Credit read from the photograph of %(n)s: %(credit)s. Check it."
        )
        return [
            text % {"n": form.cleaned_data["armband"], "credit": form.sent.credit}
            for form in self.forms
            if form.sent and form.sent.credit and not form.cleaned_data["credit"]
        ]

    def content(self, **fields) -> ClassContent:
        dogs = tuple(form.changed_dog() for form in self.forms)
        return replace(self.class_content, dogs=dogs, **fields)


def _sent_dogs(posted) -> list[str]:
    """The ids of the dogs that were sent."""
    found = (SENT_DOG.fullmatch(name) for name in posted or ())
    return [match[1] for match in found if match]
