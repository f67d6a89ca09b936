"""The mentor's forms: a new critique, what is asked for, the mentor's own part and the rubric."""

from __future__ import annotations

from dataclasses import replace

from django import forms
from django.utils.functional import cached_property
from django.utils.text import Truncator
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from quizzes.kinds.critique.content import (
    FEWEST,
    LONGEST,
    MOST,
    CritiqueContent,
    CritiqueKey,
)
from quizzes.kinds.placing.content import LARGEST, ClassContent, ClassKey, Dog
from quizzes.kinds.placing.places import ordinal
from quizzes.kinds.placing.workshop_forms import saved_values
from quizzes.marking.rubric import MOST_POINTS, MOST_ROWS, Rubric, RubricRow
from quizzes.models import PanelKey, Revision
from trainer.study.models import Module

MOST_LINES = 20
CLASSES_OFFERED = 60


def lines_of(text: str) -> tuple[str, ...]:
    """The lines of a text that say something."""
    return tuple(line.strip() for line in text.splitlines() if line.strip())


class LinesField(forms.CharField):
    """A list, a line each."""

    def __init__(self, **kwargs):
        rows = forms.Textarea(attrs={"rows": 6})
        super().__init__(widget=rows, required=False, max_length=3000, **kwargs)

    def prepare_value(self, value):
        return value if isinstance(value, str) else "\n".join(value or ())

    def clean(self, value):
        found = lines_of(super().clean(value))
        if len(found) > MOST_LINES or any(len(line) > 200 for line in found):
            text = _("At most %(most)s lines, of at most 200 characters each.")
            raise forms.ValidationError(text, code="lines", params={"most": MOST_LINES})
        return found


class CritiqueForm(forms.ModelForm):
    """What trainees are told before they begin."""

    class Meta:
        model = Revision
        fields = ["title", "note"]
        widgets = {"note": forms.Textarea(attrs={"rows": 3})}
        help_texts = {
            "title": _("For example: Open bitches, the winner."),
            "note": _("Shown before it is begun. Say nothing of what to write."),
        }

    @property
    def saved_values(self) -> list[dict]:
        return saved_values(self)

    def revision_fields(self) -> dict:
        return {name: self.cleaned_data[name] for name in self.Meta.fields}


class NewCritiqueForm(CritiqueForm):
    """Title and module, and a dog of one of the module's classes if one is taken over."""

    module = forms.ModelChoiceField(
        label=_("Study module"), queryset=Module.objects.none()
    )
    dog = forms.ChoiceField(
        label=_("The dog"),
        required=False,
        help_text=_("It is copied, with its drawing or photograph."),
    )
    field_order = ["module", "title", "dog", "note"]

    def __init__(self, *args, user, **kwargs):
        super().__init__(*args, **kwargs)
        self.user = user
        mine = (
            Module.objects.editable_by(user).in_force().select_related("breed", "club")
        )
        self.fields["module"].queryset = mine
        self.fields["module"].initial = mine.first()
        groups = [(title, rows) for title, _module, rows in self.classes]
        self.fields["dog"].choices = [("", _("another one, described next")), *groups]

    @cached_property
    def classes(self) -> list[tuple]:
        """Classes in force whose dogs can be taken over: title, module and choices.

        The choices say where the key places each dog, so a class for which a panel asks the
        person for a key of their own is left out.
        """
        asked = PanelKey.objects.asked_of(self.user).exclude(panel__opened_by=self.user)
        revisions = (
            Revision.objects.editable_by(self.user)
            .in_force()
            .filter(exercise__kind="placing")
            .exclude(exercise__in=asked.values("panel__exercise"))
            .select_related("exercise")
            .order_by("-pk")[:CLASSES_OFFERED]
        )
        return [(one.title, one.exercise.module_id, _dogs_of(one)) for one in revisions]

    def clean(self):
        """A dog belongs to the breed of the module."""
        sent = super().clean()
        chosen, module = sent.get("dog"), sent.get("module")
        modules = {
            value: pk for _title, pk, rows in self.classes for value, _label in rows
        }
        if chosen and module and modules[chosen] != module.pk:
            text = _("This dog stands in a class of another module. Choose again.")
            self.add_error("dog", forms.ValidationError(text, code="module"))
        return sent

    def content(self, empty: CritiqueContent) -> CritiqueContent:
        """The empty content with the dog that was chosen, and where the key places it."""
        chosen = self.cleaned_data["dog"]
        if not chosen:
            return empty
        pk, _colon, dog = chosen.partition(":")
        revision = Revision.objects.editable_by(self.user).get(pk=pk)
        klass = ClassContent.read(revision.content)
        place = ClassKey.read(revision.key).places().get(dog)
        return replace(empty, dog=klass.by_id[dog], breed=klass.breed, place=place)


def _dogs_of(revision) -> list[tuple[str, str]]:
    places = ClassKey.read(revision.key).places()
    return [
        (f"{revision.pk}:{dog.id}", _said(dog, places.get(dog.id)))
        for dog in ClassContent.read(revision.content)
    ]


def _said(dog: Dog, place: int | None) -> str:
    where = ordinal(place) if place else gettext("not placed")
    return f"{dog.armband}, {where}: {Truncator(dog.ringside).chars(50)}"


class TaskForm(CritiqueForm):
    """What is asked for."""

    place = forms.IntegerField(
        label=_("Where it was placed"),
        required=False,
        min_value=1,
        max_value=LARGEST,
        help_text=_(
            "Told to trainees: 1 for the first. Empty: not said. Whoever reads it knows it "
            "when placing the class."
        ),
    )
    least = forms.IntegerField(
        label=_("Fewest words"), min_value=FEWEST, max_value=MOST
    )
    most = forms.IntegerField(label=_("Most words"), min_value=FEWEST, max_value=MOST)
    checklist = LinesField(
        label=_("What a critique covers"),
        help_text=_("A line each. Trainees see it while they write, and tick it off."),
    )

    def __init__(self, *args, content: CritiqueContent, **kwargs):
        names = ("place", "least", "most")
        initial = {name: getattr(content, name) for name in names}
        # As the field gives it back, so that what is unchanged is known to be so.
        initial["checklist"] = "\n".join(content.checklist)
        super().__init__(*args, initial=initial, **kwargs)
        self.fields["checklist"].needed = True

    def clean(self):
        sent = super().clean()
        least, most = sent.get("least"), sent.get("most")
        if least and most and least > most:
            text = _("The most words can't be fewer than the fewest.")
            self.add_error("most", forms.ValidationError(text, code="words"))
        return sent

    def changed(self, content: CritiqueContent, dog: Dog) -> CritiqueContent:
        names = ("place", "least", "most", "checklist")
        sent = {name: self.cleaned_data[name] for name in names}
        # The page does not ask for levels, so those of a dog that was copied stay.
        dog = replace(dog, levels=content.dog.levels)
        return replace(content, dog=dog, **sent)


class KeyForm(forms.Form):
    """The mentor's own critique, the points it should make, and the rubric as rows."""

    critique = forms.CharField(
        label=_("Your own critique"),
        required=False,
        max_length=LONGEST,
        widget=forms.Textarea(attrs={"rows": 10}),
        help_text=_("Shown after handing in, never before."),
    )
    points = LinesField(
        label=_("Points it should make"),
        help_text=_(
            "A line each; shown after handing in, and beside you when marking."
        ),
    )

    def __init__(self, *args, key: CritiqueKey, **kwargs):
        initial = {"critique": key.critique, "points": "\n".join(key.points)}
        rows = dict(enumerate(key.rubric))
        for at in range(MOST_ROWS):
            row = rows.get(at)
            initial[f"name-{at}"] = row.name if row else ""
            initial[f"most-{at}"] = row.most if row else None
        super().__init__(*args, initial=initial, **kwargs)
        for at in range(MOST_ROWS):
            values = {"n": at + 1}
            self.fields[f"name-{at}"] = forms.CharField(
                label=gettext("Row %(n)s") % values,
                required=False,
                max_length=120,
            )
            self.fields[f"most-{at}"] = forms.IntegerField(
                label=gettext("Row %(n)s, most points") % values,
                required=False,
                min_value=1,
                max_value=MOST_POINTS,
            )

        for name, field in self.fields.items():
            # What publishing asks for, and the two halves of a row, are not called optional.
            field.needed = name != "points"

    @property
    def saved_values(self) -> list[dict]:
        return saved_values(self)

    @property
    def texts(self):
        return [self["critique"], self["points"]]

    @property
    def rows(self):
        return [(self[f"name-{at}"], self[f"most-{at}"]) for at in range(MOST_ROWS)]

    def clean(self):
        """A row has a name and points, or neither."""
        sent = super().clean()
        for at in range(MOST_ROWS):
            name, most = sent.get(f"name-{at}"), sent.get(f"most-{at}")
            if name and not most and f"most-{at}" not in self.errors:
                text = _("Give the most points, or clear the row.")
                self.add_error(f"most-{at}", forms.ValidationError(text, code="row"))
            if most and not name:
                text = _("Say what they are given for, or clear the points.")
                self.add_error(f"name-{at}", forms.ValidationError(text, code="row"))
        return sent

    def key(self) -> CritiqueKey:
        sent = self.cleaned_data
        pairs = [(sent[f"name-{at}"], sent[f"most-{at}"]) for at in range(MOST_ROWS)]
        rows = tuple(RubricRow(name, most) for name, most in pairs if name)
        return CritiqueKey(sent["critique"], sent["points"], Rubric(rows))
