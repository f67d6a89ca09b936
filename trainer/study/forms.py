"""What the reading pages send."""

from __future__ import annotations

from collections.abc import Mapping

from django import forms
from django.core.exceptions import ValidationError

from trainer.study.page_reads import PageRead
from trainer.study.places import Report
from trainer.study.sections import MOST_OPTIONS, MOST_SECTIONS

YEAR = 365 * 24 * 3600


class ReadForm(forms.Form):
    """A visit to a page, as the page tells it when it is left."""

    part = forms.ChoiceField(choices=PageRead.Part)
    slug = forms.CharField(max_length=50, required=False)
    visit = forms.CharField(max_length=36)
    seconds = forms.IntegerField(min_value=0)
    ago = forms.IntegerField(min_value=0, max_value=YEAR, required=False)
    section = forms.CharField(max_length=40, required=False)
    answers = forms.JSONField(required=False)

    def clean_answers(self):
        answers = self.cleaned_data["answers"] or {}
        if not _is_answers(answers):
            raise ValidationError("No answers to questions in passing.", code="form")
        return answers

    @property
    def report(self) -> Report:
        given = self.cleaned_data
        names = ("visit", "seconds", "section", "answers")
        return Report(ago=given["ago"] or 0, **{name: given[name] for name in names})


def _is_answers(answers) -> bool:
    return (
        isinstance(answers, Mapping)
        and len(answers) <= MOST_SECTIONS
        and all(
            isinstance(chosen, list)
            and len(chosen) <= MOST_OPTIONS
            and all(type(one) is int for one in chosen)
            for chosen in answers.values()
        )
    )
