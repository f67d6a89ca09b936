"""The mentor's forms of a sheet: a new one, what it is called, and a row with its key."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from django import forms
from django.utils.translation import gettext_lazy as _

from quizzes.kinds.sheets.rows import Asked, Known
from quizzes.models import Revision
from trainer.study.models import Module


class SheetForm(forms.ModelForm):
    """What trainees are told before they begin, and whether each attempt mixes the rows."""

    mixed = forms.BooleanField(
        label=_("Mix the order for every attempt"), required=False
    )

    class Meta:
        model = Revision
        fields = ["title", "note"]
        widgets = {"note": forms.Textarea(attrs={"rows": 3})}
        help_texts = {
            "note": _("Shown before it is begun. Say nothing of the answers."),
        }

    def revision_fields(self) -> dict:
        return {name: self.cleaned_data[name] for name in self.Meta.fields}


class NewSheetForm(SheetForm):
    """Title and module of a new sheet."""

    module = forms.ModelChoiceField(
        label=_("Study module"), queryset=Module.objects.none()
    )
    mixed = None
    field_order = ["module", "title", "note"]

    def __init__(self, *args, user, **kwargs):
        super().__init__(*args, **kwargs)
        mine = (
            Module.objects.editable_by(user).in_force().select_related("breed", "club")
        )
        self.fields["module"].queryset = mine
        self.fields["module"].initial = mine.first()


class RowForm(forms.Form):
    """One row and what the key says of it. A draft may be unfinished, so nothing is required.

    Kinds add fields; those named in `key_fields` belong to the key, the others to the row.
    """

    key_fields: tuple[str, ...] = ("why",)

    why = forms.CharField(
        label=_("Why, shown afterwards"),
        required=False,
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def __init__(self, *args, row: Asked, known: Known, module=None, **kwargs):
        """module : the study module's revision that the sheet belongs to"""
        self.row, self.known, self.module = row, known, module
        initial = {**self.initial_of(row), **self.initial_of(known)}
        super().__init__(*args, initial=initial, prefix=f"row-{row.id}", **kwargs)
        for name, field in self.fields.items():
            # What publishing asks for is not called optional.
            field.needed = name != "why"
            field.required = False

    @property
    def summary_errors(self):
        return [(field, error) for field in self for error in field.errors]

    def initial_of(self, part) -> dict:
        """What the form shows of a row or its key."""
        return part.document()

    def sent_row(self) -> Asked:
        """The row as it was sent."""
        return replace(self.row, **self._values(of_key=False))

    def sent_known(self) -> Known:
        """What was sent of the key."""
        return replace(self.known, **self._values(of_key=True))

    def _values(self, *, of_key: bool) -> Mapping:
        names = [name for name in self.fields if (name in self.key_fields) is of_key]
        return {name: self.cleaned_data[name] for name in names}
