"""The mentor's row of a question: its kind of answer, its options, what the key says."""

from __future__ import annotations

from dataclasses import replace

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from quizzes.kinds.question.grading import LARGEST, number_of, number_text
from quizzes.kinds.question.rows import (
    LETTERS,
    MOST_OPTIONS,
    Answer,
    Option,
    Question,
    Solution,
    new_option_id,
)
from quizzes.kinds.sheets.forms import RowForm


class NumberField(forms.CharField):
    """A number with a point or a comma; None where it is empty."""

    def __init__(self, *, least=-LARGEST, **kwargs):
        attrs = {"inputmode": "decimal", "autocomplete": "off"}
        super().__init__(max_length=20, widget=forms.TextInput(attrs), **kwargs)
        self.least = least

    def clean(self, value):
        text = super().clean(value)
        if not text:
            return None
        number = number_of(text)
        if number is None or number < self.least:
            raise ValidationError(
                _("Give a number, such as 12 or 12.5."), code="number"
            )
        return number

    def prepare_value(self, value):
        return number_text(value) if isinstance(value, int | float) else value


class QuestionForm(RowForm):
    """All fields of a question stand on the page; what the kind of answer does not need is passed over."""

    template = "quizzes/question/_row.html"

    text = forms.CharField(
        label=gettext_lazy("Question"),
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    answer = forms.ChoiceField(
        label=gettext_lazy("Kind of answer"),
        choices=Answer.choices,
        widget=forms.RadioSelect,
    )
    mixed = forms.BooleanField(
        label=gettext_lazy("Mix these for every attempt"), required=False
    )
    number = NumberField(label=gettext_lazy("The number"))
    unit = forms.CharField(label=gettext_lazy("In what (cm, degrees)"), max_length=20)
    within = NumberField(label=gettext_lazy("Right if no further off than"), least=0)
    nearly = NumberField(
        label=gettext_lazy("Half right if no further off than"), least=0
    )

    def __init__(self, *args, row: Question, known: Solution, **kwargs):
        super().__init__(*args, row=row, known=known, **kwargs)
        self.slots = [self._add_slot(n) for n in range(MOST_OPTIONS)]
        for name in ("unit", "nearly"):
            self.fields[name].needed = False

    def initial_of(self, part):
        if isinstance(part, Question):
            names = ("text", "answer", "mixed", "unit")
            return {name: getattr(part, name) for name in names}
        return {
            name: getattr(part, name) for name in ("why", "number", "within", "nearly")
        }

    def _add_slot(self, n: int) -> int:
        """Fields of one option, for one that is there or one that may come."""
        options = self.row.options
        option = options[n] if n < len(options) else Option()
        letter = LETTERS[n]
        self.fields[f"id-{n}"] = forms.CharField(
            widget=forms.HiddenInput, initial=option.id, required=False, max_length=20
        )
        self.fields[f"text-{n}"] = forms.CharField(
            label=_("Answer %(letter)s") % {"letter": letter},
            initial=option.text,
            required=False,
            max_length=200,
        )
        self.fields[f"right-{n}"] = forms.BooleanField(
            label=_("right"), initial=option.id in self.known.right, required=False
        )
        self.fields[f"said-{n}"] = forms.CharField(
            label=_("Said of %(letter)s afterwards") % {"letter": letter},
            initial=self.known.said.get(option.id, ""),
            required=False,
            max_length=400,
            widget=forms.Textarea(attrs={"rows": 1}),
        )
        # Six times “optional” says nothing.
        self.fields[f"text-{n}"].needed = self.fields[f"said-{n}"].needed = True
        return n

    def option_rows(self) -> list[dict]:
        """The fields of each option, for the page; `place` of one that is stored already."""
        stored = self.row.by_option
        return [
            {
                "letter": LETTERS[n],
                "id": self[f"id-{n}"],
                "text": self[f"text-{n}"],
                "right": self[f"right-{n}"],
                "said": self[f"said-{n}"],
                "place": place if (place := self[f"id-{n}"].value()) in stored else "",
            }
            for n in self.slots
        ]

    def _sent_options(self) -> list[tuple[Option, bool, str]]:
        """Each option that has words or a picture, whether it is right, and what is said of it."""
        if not hasattr(self, "_options"):
            self._options = list(self._read_options())
        return self._options

    def _read_options(self):
        stored = {one.id: one for one in self.row.options}
        seen = set()
        for n in self.slots:
            given = {name: self.cleaned_data[f"{name}-{n}"] for name in SLOT}
            pk = given["id"]
            if not pk.isalnum() or pk in seen:
                pk = new_option_id()
            seen.add(pk)
            text = given["text"].strip()
            option = replace(stored.get(pk, Option(id=pk)), text=text)
            if text or option.image:
                yield option, given["right"], given["said"]

    def sent_row(self):
        given = self.cleaned_data
        return replace(
            self.row,
            text=given["text"],
            answer=given["answer"] or Answer.ONE,
            mixed=given["mixed"],
            unit=given["unit"],
            options=tuple(option for option, _right, _said in self._sent_options()),
        )

    def sent_known(self):
        given, options = self.cleaned_data, self._sent_options()
        return replace(
            self.known,
            why=given["why"],
            right=tuple(option.id for option, right, _said in options if right),
            said={option.id: said for option, _right, said in options if said},
            number=given["number"],
            within=given["within"] or 0.0,
            nearly=given["nearly"],
        )


SLOT = ("id", "text", "right", "said")
