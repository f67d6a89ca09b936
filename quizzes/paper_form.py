"""The form of the paper cards: a room's key and its cards, from a class or from tables in files."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from quizzes import grading
from quizzes.grading.sheet import read_answers, read_key
from quizzes.grading.table import decoded
from quizzes.kinds.placing.content import ClassContent, ClassKey
from quizzes.kinds.placing.kind import KIND
from quizzes.models import Revision
from trainer.clubs.models import Club

MOST_CARDS = 20_000
MOST_KEPT = 768 * 1024
"""Bytes of a table that the page keeps from step to step; two stay below what a form may send as text."""

# A workbook is a zip archive, whatever its name says.
WORKBOOK = b"PK\x03\x04"


class OneOfTwo:
    """A field that looks required, since it or another one is; the form asks for one of them."""

    def validate(self, value):
        if value:
            super().validate(value)


class TableInput(forms.FileInput):
    """A file, or the table that the page kept from the step before."""

    def value_from_datadict(self, data, files, name):
        kept = data.get(f"{name}_kept", "")
        if name in files or not kept:
            return files.get(name)
        return ContentFile(kept.encode(), name=data.get(f"{name}_name") or "table.csv")


class TableField(forms.FileField):
    """A table in a file; its value is what `read` makes of the bytes."""

    widget = TableInput(attrs={"accept": ".csv,.txt,text/csv"})
    default_error_messages = {
        "required": gettext_lazy("Choose the file."),
        "empty": gettext_lazy("The file is empty. Save the table again as CSV."),
        "large": gettext_lazy(
            "The file is larger than %(most)s MB. Save only this table, as CSV."
        ),
        "swapped": gettext_lazy(
            "This is the other table: the key and the cards stand in each other's place."
        ),
        "workbook": gettext_lazy(
            "This is a workbook. In the spreadsheet save the sheet as CSV and choose that file."
        ),
    }

    def __init__(
        self,
        *,
        read: Callable[[bytes], Any],
        other: Callable[[bytes], Any],
        megabytes: int,
        **kwargs,
    ):
        """other : what reads the table that may be chosen here by mistake"""
        super().__init__(**kwargs)
        self.read, self.other, self.megabytes = read, other, megabytes
        self.kept, self.name = "", ""

    def clean(self, data, initial=None):
        file = super().clean(data, initial)
        if not file:
            return None
        if file.size > self.megabytes * 1024 * 1024:
            self.refuse("large", most=self.megabytes)
        content = file.read()
        if content.startswith(WORKBOOK):
            self.refuse("workbook")
        try:
            table = self.read(content)
        except grading.Problem as problem:
            if self.is_other(content):
                self.refuse("swapped")
            self.keep(file.name, content)
            found = getattr(problem, "problems", [problem])
            raise ValidationError([unusable(each) for each in found]) from problem
        self.keep(file.name, content)
        return table

    def keep(self, name, content):
        text = decoded(content)
        # A character that a page can't hold, as in a picture, would not come back as it was.
        if len(text.encode()) <= MOST_KEPT and "\0" not in text:
            self.kept, self.name = text, name

    def is_other(self, content) -> bool:
        try:
            return bool(self.other(content))
        except grading.Problem:
            return False

    def refuse(self, code, **params):
        raise ValidationError(self.error_messages[code], code=code, params=params)


def unusable(problem: grading.Problem) -> ValidationError:
    return ValidationError(
        _(problem.template), code="unusable", params=problem.values or None
    )


class KeyField(OneOfTwo, TableField):
    pass


class ClassField(OneOfTwo, forms.ModelChoiceField):
    def label_from_instance(self, revision):
        exercise = revision.exercise
        return f"{revision.title}. {exercise.module.breed}, {exercise.club}"


class PaperForm(forms.Form):
    use_required_attribute = False

    revision = ClassField(
        label=gettext_lazy("A class of your clubs"),
        queryset=Revision.objects.none(),
        empty_label=gettext_lazy("none: I choose a file"),
        help_text=gettext_lazy("Its key in force is used, with the numbers it has."),
    )
    # Both files together stay below what a request may hold (settings.REQUEST_BODY_LIMIT).
    key = KeyField(
        label=gettext_lazy("Or a key from a file"),
        help_text=gettext_lazy("A CSV file with the header armband,place,cut,ruling."),
        read=read_key,
        other=read_answers,
        megabytes=1,
    )
    answers = TableField(
        label=gettext_lazy("The cards"),
        help_text=gettext_lazy("A CSV file with the header name,placing,rulings."),
        read=read_answers,
        other=read_key,
        megabytes=5,
    )

    def __init__(self, *args, user, **kwargs):
        super().__init__(*args, **kwargs)
        if Club.objects.taught_by(user).exists():
            self.fields["revision"].queryset = keys_for(user)
        else:
            del self.fields["revision"]
            self.fields["key"].label = _("The key")

    def clean(self):
        """The key is one of two: that of a class, or that of a file."""
        sent = super().clean()
        chosen, table = sent.get("revision"), sent.get("key")
        if chosen and "key" not in self.files:
            # The class was chosen later than the file that the page has kept.
            table = None
            self.fields["key"].kept = ""
        if {"revision", "key"} & self.errors.keys():
            return sent
        if bool(chosen) == bool(table):
            text = (
                _("Choose a class or a file, not both.")
                if chosen
                else _("Choose a class above, or the file.")
                if "revision" in self.fields
                else _("Choose the file.")
            )
            self.add_error("key", ValidationError(text, code="one-key"))
        elif chosen:
            sent["key"] = key_of(chosen)
        return sent

    @property
    def kept(self) -> list[dict]:
        """The tables that the page keeps, so that nobody chooses their files again."""
        fields = [(name, self.fields[name]) for name in ("key", "answers")]
        return [
            {"name": name, "label": field.label, "file": field.name, "text": field.kept}
            for name, field in fields
            if field.kept
        ]

    @property
    def is_whole(self) -> bool:
        """Whether what the page keeps is enough to grade the cards again."""
        names = {table["name"] for table in self.kept}
        return "answers" in names and bool(
            "key" in names or self.cleaned_data.get("revision")
        )

    def clean_answers(self):
        cards = self.cleaned_data["answers"]
        if not cards:
            text = _("There is no card below the header.")
            raise ValidationError(text, code="none")
        if len(cards) > MOST_CARDS:
            text = _(
                "%(n)s cards are more than the page takes, which is %(most)s. The command "
                "grade_sheet on the server takes any number, or give the cards in parts."
            )
            values = {"n": f"{len(cards):,}", "most": f"{MOST_CARDS:,}"}
            raise ValidationError(text, code="many", params=values)
        return cards


def keys_for(user):
    """Classes in force whose key the person may grade cards with.

    Those of clubs they teach in: an organiser may train there as well, and a graded room tells the key.
    """
    shared = Revision.objects.in_force().shared()
    mine = shared.filter(
        exercise__club__in=Club.objects.taught_by(user), exercise__kind=KIND.slug
    )
    return mine.select_related("exercise__module__breed", "exercise__club").order_by(
        "title", "pk"
    )


def key_of(revision) -> grading.Key:
    """The key of a class with armbands in place of its dogs."""
    content = ClassContent.read(revision.content)
    key = ClassKey.read(revision.key).for_grading(content)
    worn = {dog.id: str(dog.armband) for dog in content}
    return grading.Key(
        order=tuple(tuple(worn[dog] for dog in group) for group in key.order),
        cuts=key.cuts,
        rulings={worn[dog]: ruling for dog, ruling in key.rulings.items()},
        unplaced=tuple(worn[dog] for dog in key.unplaced),
    )
