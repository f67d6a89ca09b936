"""The desk's forms. Of a row only its name is asked for at once: a draft may be unfinished."""

from __future__ import annotations

from functools import partial

from django import forms
from django.core.exceptions import ValidationError
from django.utils.choices import flatten_choices
from django.utils.translation import gettext_lazy as _

from quizzes.plates.parts import faults_by_part
from trainer.accounts.forms import OneLineField
from trainer.clubs.models import Club
from trainer.study.models import (
    LEVELS,
    Fault,
    Lesson,
    Module,
    ModuleRevision,
    Priority,
    Step,
    Term,
)
from trainer.study.reading import LEVEL_WORDS

NOTHING, COPY = "nothing", "copy"


class NewModuleForm(forms.Form):
    """Where a module begins: with nothing, or as a copy."""

    club = forms.ModelChoiceField(
        label=_("Club"), queryset=Club.objects.none(), empty_label=None
    )
    breed = OneLineField(label=_("Breed"), max_length=80)
    title = OneLineField(
        label=_("Title"),
        max_length=120,
        help_text=_("For example: Judging the breed, and its name."),
    )
    start = forms.ChoiceField(
        label=_("Begin with"),
        choices=[
            (NOTHING, _("nothing")),
            (COPY, _("a copy of another module")),
        ],
        initial=NOTHING,
        widget=forms.RadioSelect,
    )
    source = forms.ModelChoiceField(
        label=_("Module to copy"), queryset=Module.objects.none(), required=False
    )

    def __init__(self, *args, user, **kwargs):
        super().__init__(*args, **kwargs)
        taught = Club.objects.taught_by(user)
        self.fields["club"].queryset = taught
        mine = Module.objects.editable_by(user).select_related("breed", "club")
        self.fields["source"].queryset = mine
        if not mine.exists():
            self.fields["start"].choices = self.fields["start"].choices[:1]
            self.fields["start"].widget = forms.HiddenInput()
            del self.fields["source"]
        if len(taught) == 1:
            self.fields["club"].widget = forms.HiddenInput()
            self.initial["club"] = taught[0].pk

    def clean(self):
        start = self.cleaned_data.get("start")
        if start == COPY and not self.cleaned_data.get("source"):
            self.add_error("source", _("Choose the module to copy."))


class DeskForm(forms.ModelForm):
    """A row, or the head, of a draft; everything but its name may stay empty for now."""

    needed = ("name",)
    wanted: tuple[str, ...] = ()
    version = forms.IntegerField(widget=forms.HiddenInput)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items():
            # What publishing asks for is not called optional.
            field.needed = field.required or name in self.wanted
            field.required = name in (*self.needed, "version")
        # What stands in the page is the version it was made from, not what is stored by now.
        if not self.is_bound:
            self.initial["version"] = self.instance.version
        # A draft's row has a choice from the start: there is none to be left empty.
        for field in self.fields.values():
            if isinstance(field.widget, forms.RadioSelect):
                field.choices = [(v, label) for v, label in field.choices if v]
        if "priority" in self.fields:
            mine = Priority.objects.filter(revision=self.instance.revision_id)
            self.fields["priority"].queryset = mine
            self.fields["priority"].empty_label = _("none in particular")

    def changes(self) -> dict:
        """What is to be stored, by column."""
        return {name: self.cleaned_data[name] for name in self.Meta.fields}

    def told(self, row) -> list[tuple[str, str]]:
        """What another's save of the row says differently: label and text of each field."""
        theirs = type(self)(instance=row)
        return [
            (self.fields[name].label, _as_text(self.fields[name], theirs[name].value()))
            for name in self.fields
            if name != "version"
            and _as_text(self.fields[name], theirs[name].value())
            != _as_text(self.fields[name], self[name].value())
        ]


def _as_text(field, value) -> str:
    """A field's value as a person reads it."""
    if isinstance(field, forms.ModelChoiceField):
        return str(field.queryset.filter(pk=value or None).first() or "")
    if isinstance(field, forms.MultipleChoiceField):
        names = dict(flatten_choices(field.choices))
        return ", ".join(str(names.get(one, one)) for one in value or [])
    if isinstance(field, forms.ChoiceField | forms.TypedChoiceField):
        return str(dict(field.choices).get(value, value))
    return str(value or "").replace("\r\n", "\n")


def _lines(rows: int) -> forms.Textarea:
    return forms.Textarea(attrs={"rows": rows})


class AboutForm(DeskForm):
    """What a module says before its parts. The breed's own text only where no other club uses the breed."""

    needed = ("title", "examined")
    wanted = ("introduction", "standard_title", "standard_note")
    summary = forms.CharField(
        label=_("The breed in a few words"), widget=_lines(2), required=False
    )
    made_for = forms.CharField(
        label=_("The work it was made for"), widget=_lines(2), required=False
    )

    class Meta:
        model = ModuleRevision
        fields = [
            "title",
            "introduction",
            "standard_title",
            "standard_date",
            "standard_link",
            "standard_note",
            "examined",
            "examination_note",
        ]
        field_classes = {
            "title": OneLineField,
            "standard_title": OneLineField,
            "standard_date": OneLineField,
            "standard_link": partial(forms.URLField, assume_scheme="https"),
        }
        labels = {
            "introduction": _("Introduction"),
            "standard_title": _("The standard you teach from"),
            "standard_date": _("Its edition or date"),
            "standard_link": _("Where it can be read"),
            "standard_note": _("What is the standard's, and what is your opinion"),
            "examined": _("Where the dog is examined"),
            "examination_note": _("Before the examination"),
        }
        help_texts = {
            "introduction": _("What the breed is for, and how you look at it."),
            "standard_title": _("Its name and who keeps it. Cite it; do not paste it."),
            "standard_link": _("The address of the page."),
            "examination_note": _(
                "How you approach, what the handler is asked, when you stop."
            ),
        }
        widgets = {
            "introduction": _lines(8),
            "standard_note": _lines(4),
            "examination_note": _lines(4),
            # Of type "url" the browser would refuse an address without https://, which is added here.
            "standard_link": forms.TextInput(
                attrs={"inputmode": "url", "autocapitalize": "none"}
            ),
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        breed = self.instance.module.breed
        if owns_breed(self.instance):
            self.initial["summary"] = breed.summary
            self.initial["made_for"] = breed.made_for
        else:
            del self.fields["summary"], self.fields["made_for"]

    def breed_changes(self) -> dict:
        names = [name for name in ("summary", "made_for") if name in self.fields]
        return {name: self.cleaned_data[name] for name in names}


def owns_breed(revision: ModuleRevision) -> bool:
    """Whether no other club teaches the breed, so that its text is this club's to write."""
    others = Module.objects.filter(breed=revision.module.breed_id)
    return not others.exclude(club=revision.module.club_id).exists()


def _drawn_faults() -> list:
    """The faults that can be drawn, under the parts of the dog where they are."""
    return [
        (_(part), [(fault.code, fault.name.capitalize()) for fault in faults])
        for part, faults in faults_by_part()
    ]


class PriorityForm(DeskForm):
    """A priority with a phrase for each level and the drawn faults that show it."""

    plate_faults = forms.MultipleChoiceField(
        label=_("Faults of a drawn dog that show it"),
        choices=_drawn_faults(),
        widget=forms.CheckboxSelectMultiple,
        help_text=_("Made classes draw a dog's level on this priority with them."),
    )

    class Meta:
        model = Priority
        fields = ["name", "look_for", "feel_for", "why_it_matters", "plate_faults"]
        field_classes = {"name": OneLineField}
        widgets = {
            "look_for": _lines(4),
            "feel_for": _lines(3),
            "why_it_matters": _lines(3),
        }
        help_texts = {
            "look_for": _("What the eye finds, standing and moving."),
            "feel_for": _("What the hand finds. Empty if it is for the eye alone."),
            "why_it_matters": _("The work the breed was made for asks for it: why?"),
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        texts = {}
        if self.instance.pk:
            texts = {one.level: one.text for one in self.instance.phrases.all()}
        for level in reversed(range(LEVELS)):
            self.fields[f"phrase_{level}"] = OneLineField(
                label=LEVEL_WORDS[level], max_length=160, required=False
            )
            self.fields[f"phrase_{level}"].needed = True
            self.initial[f"phrase_{level}"] = texts.get(level, "")

    @property
    def phrase_fields(self):
        return [self[f"phrase_{level}"] for level in reversed(range(LEVELS))]

    @property
    def fault_groups(self) -> list[dict]:
        """The faults by part of the dog, a part with a ticked one unfolded."""
        choices = {one.data["value"]: one for one in self["plate_faults"].subwidgets}
        groups = [
            {"part": part, "choices": [choices[code] for code, _name in faults]}
            for part, faults in self.fields["plate_faults"].choices
        ]
        for group in groups:
            ticked = [one for one in group["choices"] if one.data["selected"]]
            group["ticked"] = [one.data["label"] for one in ticked]
        return groups

    def phrases(self) -> dict[int, str]:
        return {level: self.cleaned_data[f"phrase_{level}"] for level in range(LEVELS)}


class StepForm(DeskForm):
    needed = ("name", "sense")

    class Meta:
        model = Step
        fields = [
            "name",
            "where",
            "sense",
            "instruction",
            "find",
            "caution",
            "priority",
        ]
        field_classes = {"name": OneLineField, "where": OneLineField}
        labels = {"priority": _("The priority it serves")}
        widgets = {
            "sense": forms.RadioSelect,
            "instruction": _lines(3),
            "find": _lines(3),
            "caution": _lines(2),
        }
        help_texts = {
            "where": _("For example: both hands along the ribs."),
            "caution": _("When to be careful, when to stop, what to ask first."),
        }


class FaultForm(DeskForm):
    needed = ("name", "severity", "ruling")

    class Meta:
        model = Fault
        fields = ["name", "description", "severity", "ruling", "priority"]
        field_classes = {"name": OneLineField}
        labels = {
            "ruling": _("What the judge does"),
            "priority": _("The priority it belongs to"),
        }
        widgets = {
            "description": _lines(3),
            "severity": forms.RadioSelect,
            "ruling": forms.RadioSelect,
        }


class LessonForm(DeskForm):
    class Meta:
        model = Lesson
        fields = ["name"]
        field_classes = {"name": OneLineField}


class TermForm(DeskForm):
    class Meta:
        model = Term
        fields = ["name", "forms", "meaning"]
        field_classes = {"name": OneLineField, "forms": OneLineField}
        widgets = {"meaning": _lines(3)}


FORMS = {
    "priorities": PriorityForm,
    "steps": StepForm,
    "faults": FaultForm,
    "lessons": LessonForm,
    "terms": TermForm,
}


class NewRowForm(forms.Form):
    name = OneLineField(label=_("Name"), max_length=60)


class WeightsForm(forms.Form):
    """A weight for each priority of a draft, in per cent.

    was : the weights as the page showed them, so that nobody's are written over unseen
    """

    was = forms.CharField(widget=forms.HiddenInput)

    def __init__(self, *args, priorities, **kwargs):
        super().__init__(*args, **kwargs)
        self.now = ",".join(f"{row.pk}:{row.weight}" for row in priorities)
        self.initial["was"] = self.now
        for row in priorities:
            self.fields[str(row.pk)] = forms.IntegerField(
                label=row.name, min_value=1, max_value=100, initial=row.weight
            )

    def clean_was(self):
        if self.cleaned_data["was"] != self.now:
            # Sent again, it counts: by then the others' weights have been shown.
            self.data = {**self.data.dict(), "was": self.now}
            raise ValidationError(
                _(
                    "Somebody changed the weights while you were weighing. Yours are in the fields, "
                    "theirs beside them. Save again to keep yours."
                ),
                code="edited-elsewhere",
            )
        return self.cleaned_data["was"]

    def weights(self) -> dict[int, int]:
        given = self.cleaned_data.items()
        return {int(pk): weight for pk, weight in given if pk != "was"}
