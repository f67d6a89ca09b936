"""The mentor's forms: which parts are asked, and what is said of each step."""

from __future__ import annotations

import random
from dataclasses import replace

from django import forms
from django.utils.translation import gettext_lazy as _

from quizzes.kinds.examination.content import (
    PART_LABELS,
    ExamContent,
    ExamKey,
)
from quizzes.kinds.examination.safety import Mark
from quizzes.kinds.examination.taking import finding, with_gap
from quizzes.models import Revision
from trainer.study.models import Step


class ExaminationForm(forms.ModelForm):
    """What trainees are told before they begin, the parts, and the step that is missing."""

    asked = forms.MultipleChoiceField(
        label=_("What is asked"),
        required=False,
        choices=list(PART_LABELS.items()),
        widget=forms.CheckboxSelectMultiple,
        help_text=_(
            "What to find is asked at the steps that are ticked for it below. The missing step comes last, on a page "
            "of its own, once the order can't be changed any more."
        ),
    )
    gap = forms.ChoiceField(
        label=_("The step that is missing"),
        required=False,
        help_text=_(
            "Trainees see the steps around it, and steps from elsewhere to choose from."
        ),
    )

    class Meta:
        model = Revision
        fields = ["title", "note"]
        widgets = {"note": forms.Textarea(attrs={"rows": 3})}
        help_texts = {
            "note": _("Shown before it is begun. Say nothing of the answers."),
        }

    def __init__(self, *args, content: ExamContent, key: ExamKey, **kwargs):
        initial = {"asked": content.asked, "gap": key.gap}
        super().__init__(*args, initial=initial, **kwargs)
        steps = [(pk, content.names[pk]) for pk in key.order]
        self.fields["gap"].choices = [("", _("not said")), *steps]
        self.fields["gap"].needed = True

    def revision_fields(self) -> dict:
        return {name: self.cleaned_data[name] for name in self.Meta.fields}


class StepForm(forms.Form):
    """What the mentor says of one step; its words are the module's."""

    find_asked = forms.BooleanField(label=_("Ask what to find here"), required=False)
    gate = forms.BooleanField(
        label=_("Hands may not go on before this step"), required=False
    )
    level = forms.BooleanField(
        label=_("May change places with the next step"), required=False
    )
    marks = forms.MultipleChoiceField(
        label=_("What it is, for unsafe orders"),
        required=False,
        choices=Mark.choices,
        widget=forms.CheckboxSelectMultiple,
    )
    why = forms.CharField(
        label=_("Why it stands here, shown afterwards"),
        required=False,
        max_length=600,
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def __init__(self, *args, step: str, content: ExamContent, key: ExamKey, **kwargs):
        self.step, self.known = step, key.of(step)
        self.name, self.find = (
            content.names[step],
            content.finds.get(self.known.find, ""),
        )
        at = key.order.index(step)
        self.number = at + 1
        initial = {
            "find_asked": step in {one.step for one in content.to_find},
            "gate": self.known.gate,
            "level": at in key.level,
            "marks": self.known.marks,
            "why": self.known.why,
        }
        super().__init__(*args, initial=initial, prefix=f"step-{step}", **kwargs)
        if not self.known.find:
            del self.fields["find_asked"]
        if self.number == len(key.order):
            del self.fields["level"]

    @property
    def sense(self):
        return Step.Sense(self.known.sense).label

    @property
    def said(self) -> list:
        """What is said of it, in a few words each, for the line that opens it."""
        marks = [Mark(one).label for one in self.known.marks]
        ticked = [
            field.label
            for field in self
            if field.name in ("find_asked", "gate", "level") and field.initial
        ]
        return [*marks, *ticked]

    def changed_step(self):
        sent = self.cleaned_data
        marks = tuple(sent["marks"])
        return replace(self.known, gate=sent["gate"], marks=marks, why=sent["why"])


def sent_documents(content, key, form, steps) -> tuple[ExamContent, ExamKey]:
    """Content and key as the page was sent."""
    known = {one.step: one.changed_step() for one in steps}
    level = frozenset(one.number - 1 for one in steps if one.cleaned_data.get("level"))
    key = replace(key, steps=known, level=level)
    told = [one.step for one in steps if one.cleaned_data.get("find_asked")]
    content = finding(content, key, told, random.SystemRandom())
    gap = form.cleaned_data["gap"]
    if gap != key.gap:
        content, key = with_gap(content, key, gap, random.SystemRandom())
    asked = ExamContent.read({"asked": form.cleaned_data["asked"]}).asked
    return replace(content, asked=asked), key
